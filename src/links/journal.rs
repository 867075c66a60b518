//! What a link keeps beside the store until it is whole: parts of long texts, and octets that cannot be read. Two files for each link.
//!
//! A part is on disk when [`Journal::keep`] returns, so that it may be answered. One JSON object a line; a line that a crash cut is left out. What
//! is to go, because it is old or a person's who is erased, goes by writing the file anew. Does not know sessions or members.

use crate::domain::phone::PhoneNumber;
use crate::links::parts::reassembly::Part;
use crate::links::parts::{Body, Concat};
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::io::{Error, ErrorKind, Read, Result, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};

/// Unreadable octets kept at most: a peer that sends nonsense must not fill the disk. Beyond it they are refused for now.
const RAW_BYTES_MOST: u64 = 16 * 1024 * 1024;
/// A journal longer than this is not read: it cannot be ours. 4,096 texts of 255 parts would be half of it.
const BYTES_MOST: u64 = 512 * 1024 * 1024;

/// A part as kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptPart {
    /// Its number: rising.
    pub no: u64,
    from: String,
    to: String,
    concat: Concat,
    body: Body,
    received_at: DateTime<Utc>,
    /// The message centre's stamp, where it says one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stamp: Option<DateTime<Utc>>,
    /// Its text was completed or given up. Kept a while, to tell a redelivery.
    #[serde(default)]
    pub done: bool,
}

impl KeptPart {
    /// The message centre said when it took it.
    #[must_use]
    pub const fn is_stamped(&self) -> bool {
        self.stamp.is_some()
    }

    /// As the reassembly takes it.
    #[must_use]
    pub fn part(self) -> Part {
        Part {
            from: self.from,
            to: self.to,
            concat: self.concat,
            body: self.body,
            sent_at: self.stamp.unwrap_or(self.received_at),
            received_at: self.received_at,
            kept_as: self.no,
        }
    }
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Line {
    Part(KeptPart),
    Done(Vec<u64>),
}

/// The files of one link.
#[derive(Debug)]
pub struct Journal {
    dir: PathBuf,
    link: String,
    parts: File,
    next: u64,
}

impl Journal {
    /// Opens the files of `link` in `dir`, and says which parts are there, oldest first. Parts older than `forget` whose text is done are left out.
    ///
    /// # Errors
    /// What the disk says.
    pub fn open(
        dir: &Path,
        link: &str,
        forget: TimeDelta,
        now: DateTime<Utc>,
    ) -> Result<(Self, Vec<KeptPart>)> {
        std::fs::create_dir_all(dir)?;
        let mut kept = read(&parts_file(dir, link))?;
        let next = kept.iter().map(|part| part.no + 1).max().unwrap_or(1);
        kept.retain(|part| !part.done || now - part.received_at < forget);
        let parts = write_anew(dir, link, &kept)?;
        let (dir, link) = (dir.to_owned(), link.to_owned());
        let journal = Self {
            dir,
            link,
            parts,
            next,
        };
        Ok((journal, kept))
    }

    /// Leaves out what these numbers sent: parts, done or not, and octets in which one of them stands. How many entries went.
    ///
    /// # Errors
    /// What the disk says.
    pub fn forget(&mut self, phones: &BTreeSet<PhoneNumber>) -> Result<usize> {
        let theirs = |part: &KeptPart| phones.iter().any(|phone| phone.full() == part.from);
        let parts = self.leave_out(theirs)?;
        let traces: Vec<Trace> = phones.iter().map(Trace::of).collect();
        let raw = leave_out_raw(&self.dir, &self.link, |line| {
            traces.iter().any(|trace| trace.stands_in(&line.hex))
        })?;
        Ok(parts + raw)
    }

    /// Leaves out parts received before `done_before` whose text is done, and octets kept before `raw_before`. How many entries went.
    ///
    /// # Errors
    /// What the disk says.
    pub fn expire(
        &mut self,
        done_before: DateTime<Utc>,
        raw_before: DateTime<Utc>,
    ) -> Result<usize> {
        let parts = self.leave_out(|part| part.done && part.received_at < done_before)?;
        Ok(parts + expire_raw(&self.dir, &self.link, raw_before)?)
    }

    fn leave_out(&mut self, goes: impl Fn(&KeptPart) -> bool) -> Result<usize> {
        let mut kept = read(&parts_file(&self.dir, &self.link))?;
        let before = kept.len();
        kept.retain(|part| !goes(part));
        if kept.len() < before {
            self.parts = write_anew(&self.dir, &self.link, &kept)?;
        }
        Ok(before - kept.len())
    }

    /// Keeps a part; it is on disk when this returns, under the number in the part that comes back.
    ///
    /// # Errors
    /// What the disk says: do not answer the network then.
    pub fn keep(
        &mut self,
        [from, to]: [&str; 2],
        concat: Concat,
        body: Body,
        (received_at, stamp): (DateTime<Utc>, Option<DateTime<Utc>>),
    ) -> Result<Part> {
        let kept = KeptPart {
            no: self.next,
            from: from.to_owned(),
            to: to.to_owned(),
            concat,
            body,
            received_at,
            stamp,
            done: false,
        };
        self.append(&Line::Part(kept.clone()))?;
        self.next += 1;
        Ok(kept.part())
    }

    /// The text of these parts is done.
    ///
    /// # Errors
    /// What the disk says; the text is then completed once more after a restart, under the same id.
    pub fn done(&mut self, parts: Vec<u64>) -> Result<()> {
        self.append(&Line::Done(parts))
    }

    /// Keeps octets that cannot be used: when, why, and the octets as hexadecimal.
    ///
    /// # Errors
    /// What the disk says, or that too much is there already.
    pub fn keep_raw(&mut self, octets: &[u8], why: &str, now: DateTime<Utc>) -> Result<()> {
        use std::fmt::Write as _;
        let mut file = private()
            .append(true)
            .open(raw_file(&self.dir, &self.link))?;
        if file.metadata()?.len() >= RAW_BYTES_MOST {
            return Err(Error::new(
                ErrorKind::StorageFull,
                "too many unreadable messages are kept; look at them and move the file away",
            ));
        }
        let mut text = format!("{} {why}: ", now.to_rfc3339());
        for octet in octets {
            let _ = write!(text, "{octet:02x}");
        }
        text.push('\n');
        file.write_all(text.as_bytes())?;
        file.sync_data()
    }

    fn append(&mut self, entry: &Line) -> Result<()> {
        self.parts.write_all(line(entry)?.as_bytes())?;
        self.parts.sync_data()
    }
}

/// Something that could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawLine {
    /// When, as written (RFC 3339).
    pub at: String,
    /// Why.
    pub why: String,
    /// Its octets.
    pub hex: String,
}

/// What [`Journal::keep_raw`] kept of `link` in `dir`, oldest first. A line that a crash cut is left out.
///
/// # Errors
/// What the disk says; a file that is not there holds nothing.
pub fn raw_lines(dir: &Path, link: &str) -> Result<Vec<RawLine>> {
    let file = match File::open(raw_file(dir, link)) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let mut octets = Vec::new();
    // One line more than the most may have been begun.
    file.take(RAW_BYTES_MOST * 2).read_to_end(&mut octets)?;
    let text = String::from_utf8_lossy(&octets);
    let line = |line: &str| {
        let (at, rest) = line.split_once(' ')?;
        let (why, hex) = rest.rsplit_once(": ")?;
        Some(RawLine {
            at: at.to_owned(),
            why: why.to_owned(),
            hex: hex.to_owned(),
        })
    };
    Ok(text.lines().filter_map(line).collect())
}

fn parts_file(dir: &Path, link: &str) -> PathBuf {
    dir.join(format!("{link}.parts"))
}

fn raw_file(dir: &Path, link: &str) -> PathBuf {
    dir.join(format!("{link}.raw"))
}

/// Writes the parts of a link anew and puts them in place whole; open for what comes.
fn write_anew(dir: &Path, link: &str, kept: &[KeptPart]) -> Result<File> {
    let mut lines = String::new();
    for part in kept {
        lines += &line(&Line::Part(part.clone()))?;
    }
    let path = parts_file(dir, link);
    put(&path, &lines)?;
    private().append(true).open(&path)
}

fn put(path: &Path, text: &str) -> Result<()> {
    let fresh = path.with_added_extension("new");
    let mut file = private().write(true).truncate(true).open(&fresh)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    std::fs::rename(&fresh, path)?;
    File::open(path.parent().unwrap_or(Path::new(".")))?.sync_all()
}

/// Leaves octets of a link out that were kept before a moment; a line whose moment does not read goes too. How many.
fn expire_raw(dir: &Path, link: &str, before: DateTime<Utc>) -> Result<usize> {
    leave_out_raw(dir, link, |line| {
        let at = line.at.parse::<DateTime<Utc>>();
        at.is_ok_and(|at| at < before) || at.is_err()
    })
}

fn leave_out_raw(dir: &Path, link: &str, goes: impl Fn(&RawLine) -> bool) -> Result<usize> {
    let mut lines = raw_lines(dir, link)?;
    let before = lines.len();
    lines.retain(|line| !goes(line));
    if lines.len() < before {
        let text: String = lines
            .iter()
            .map(|line| format!("{} {}: {}\n", line.at, line.why, line.hex))
            .collect();
        put(&raw_file(dir, link), &text)?;
    }
    Ok(before - lines.len())
}

/// How a number may stand in octets: one digit an octet in ASCII (SMPP), or two, the first in the lower half (3GPP TS 23.040, 9.1.2.5).
struct Trace {
    digits: String,
    ascii: String,
}

/// Digits at a number's end that are looked for: networks write numbers with their country's digits or without. As many as make a chance
/// meeting rare; where two numbers meet all the same, octets that nobody could read go early.
const DIGITS: usize = 8;

impl Trace {
    fn of(phone: &PhoneNumber) -> Self {
        let all = phone.full().trim_start_matches('+');
        let digits = all.get(all.len().saturating_sub(DIGITS)..).unwrap_or(all);
        Self {
            digits: digits.to_owned(),
            ascii: digits.chars().map(|digit| format!("3{digit}")).collect(),
        }
    }

    fn stands_in(&self, hex: &str) -> bool {
        let octets = hex.as_bytes().chunks(2);
        let swapped: Vec<u8> = octets.flat_map(|pair| pair.iter().rev()).copied().collect();
        hex.contains(&self.ascii) || String::from_utf8_lossy(&swapped).contains(&self.digits)
    }
}

/// Files that hold what members wrote: for their owner only.
fn private() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.create(true).mode(0o600);
    options
}

fn line(entry: &Line) -> Result<String> {
    // The line break before it ends a line that a crash cut.
    Ok(format!("\n{}\n", serde_json::to_string(entry)?))
}

fn read(path: &Path) -> Result<Vec<KeptPart>> {
    let file = match File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let mut octets = Vec::new();
    file.take(BYTES_MOST).read_to_end(&mut octets)?;
    let text = String::from_utf8_lossy(&octets);
    let (mut parts, mut done) = (Vec::new(), BTreeSet::new());
    for line in text.lines().filter(|line| !line.is_empty()) {
        match serde_json::from_str(line) {
            Ok(Line::Part(part)) => parts.push(part),
            Ok(Line::Done(numbers)) => done.extend(numbers),
            // Cut by a crash before its part was answered: the network sends it again.
            Err(_) => {}
        }
    }
    for part in &mut parts {
        part.done |= done.contains(&part.no);
    }
    Ok(parts)
}
