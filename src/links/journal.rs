//! What a link keeps beside the store until it is whole: parts of long texts, and octets that cannot be read. Two files for each link.
//!
//! A part is on disk when [`Journal::keep`] returns, so that it may be answered. One JSON object a line; a line that a crash cut is left out. Does
//! not know sessions or members.

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
    parts: File,
    raw: PathBuf,
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
        let path = dir.join(format!("{link}.parts"));
        let mut kept = read(&path)?;
        let next = kept.iter().map(|part| part.no + 1).max().unwrap_or(1);
        kept.retain(|part| !part.done || now - part.received_at < forget);
        // Written anew without what is forgotten, and put in place whole.
        let fresh = dir.join(format!("{link}.parts.new"));
        let mut file = private().write(true).truncate(true).open(&fresh)?;
        for part in &kept {
            file.write_all(line(&Line::Part(part.clone()))?.as_bytes())?;
        }
        file.sync_all()?;
        std::fs::rename(&fresh, &path)?;
        File::open(dir)?.sync_all()?;
        let parts = private().append(true).open(&path)?;
        let raw = dir.join(format!("{link}.raw"));
        Ok((Self { parts, raw, next }, kept))
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
        let mut file = private().append(true).open(&self.raw)?;
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
    let file = match File::open(dir.join(format!("{link}.raw"))) {
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
