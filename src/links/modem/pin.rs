//! The SIM's PIN: where it comes from, and when it may be tried. A SIM takes three wrong ones and then wants its PUK; this room leaves one to people.
//!
//! A try is on disk before it is made, so that a crash counts as a try. Does not know commands.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

/// Where the SIM does not say how many tries are left, so many different wrong PINs end them: one of the usual three stays (from memory).
const REFUSED_MOST: usize = 2;
/// Octets of a PIN file that are looked at.
const FILE_MOST: usize = 64;

/// Four to eight digits (3GPP TS 27.007 clause 8.3 and ETSI TS 102 221, from memory). `Debug` hides them.
#[derive(Clone, PartialEq, Eq)]
pub struct Pin(String);

impl std::fmt::Debug for Pin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("***")
    }
}

impl Pin {
    /// From four to eight digits; none for anything else.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        let fits = (4..=8).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        fits.then(|| Self(text.to_owned()))
    }

    /// The digits, for the modem only.
    #[must_use]
    pub fn digits(&self) -> &str {
        &self.0
    }
}

/// Why a file gives no PIN. The file's content is not repeated.
#[derive(Debug, thiserror::Error)]
pub enum PinFileError {
    /// It cannot be read.
    #[error("the PIN file {path} cannot be read: {why}")]
    Unread {
        /// Which.
        path: String,
        /// What the system said.
        why: io::Error,
    },
    /// Others can read it.
    #[error("others can read the PIN in {0}; do: chmod 600 {0}")]
    Open(String),
    /// Something else stands in it.
    #[error("expected four to eight digits in the PIN file {0}, such as 1234, and nothing else")]
    NoPin(String),
}

/// The PIN in a file that only its owner can read.
///
/// # Errors
/// The file is not there, others can read it, or no PIN stands in it.
pub fn from_file(path: &Path) -> Result<Pin, PinFileError> {
    let shown = path.display().to_string();
    let unread = |why| PinFileError::Unread {
        path: shown.clone(),
        why,
    };
    let mode = fs::metadata(path).map_err(unread)?.permissions().mode();
    if mode & 0o077 != 0 {
        return Err(PinFileError::Open(shown));
    }
    let octets = fs::read(path).map_err(unread)?;
    std::str::from_utf8(&octets)
        .ok()
        .filter(|text| text.len() <= FILE_MOST)
        .and_then(|text| Pin::new(text.trim()))
        .ok_or(PinFileError::NoPin(shown))
}

/// Why a PIN is not tried.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Withheld {
    /// There is none.
    #[error("the SIM wants a PIN and none is set; set modem.pin or modem.pin_file")]
    None,
    /// One try is left, or none.
    #[error("the SIM has {0} PIN tries left; none is made here: unlock the SIM in a phone")]
    LastTry(u8),
    /// It was refused before, or a try ended without a word.
    #[error(
        "this PIN was tried before and the SIM did not take it; set the right one, or delete {0}"
    )]
    TriedBefore(String),
    /// Others were refused, and the SIM does not say what is left.
    #[error(
        "{REFUSED_MOST} PINs were refused and the SIM does not say how many tries are left: unlock it in a phone, then delete {0}"
    )]
    TriedOthers(String),
    /// The try could not be written down.
    #[error("the PIN is not tried: the try cannot be written to {file}: {why}")]
    Unwritten {
        /// The record.
        file: String,
        /// What the system said.
        why: String,
    },
}

#[derive(Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
struct Tries {
    /// Of each PIN that was tried since a SIM last took one: its digest and when.
    tried: Vec<(String, DateTime<Utc>)>,
}

/// The record of tries of one link.
#[derive(Debug)]
pub struct PinRecord {
    path: PathBuf,
    link: String,
}

impl PinRecord {
    /// The record of `link` in `dir`.
    #[must_use]
    pub fn new(dir: &Path, link: &str) -> Self {
        Self {
            path: dir.join(format!("{link}.pin")),
            link: link.to_owned(),
        }
    }

    /// Whether `pin` may be tried, `left` being what the SIM says of its tries. Where it may, the try is on disk when this returns.
    ///
    /// # Errors
    /// Why it may not.
    pub fn may_try(
        &self,
        pin: Option<&Pin>,
        left: Option<u8>,
        now: DateTime<Utc>,
    ) -> Result<Pin, Withheld> {
        let pin = pin.ok_or(Withheld::None)?;
        if let Some(left @ 0..=1) = left {
            return Err(Withheld::LastTry(left));
        }
        let file = self.path.display().to_string();
        let failed = |why: io::Error| Withheld::Unwritten {
            file: file.clone(),
            why: why.to_string(),
        };
        let mut tries = self.read().map_err(failed)?;
        let digest = self.digest(pin);
        if tries.tried.iter().any(|(tried, _)| *tried == digest) {
            return Err(Withheld::TriedBefore(file));
        }
        if left.is_none() && tries.tried.len() >= REFUSED_MOST {
            return Err(Withheld::TriedOthers(file));
        }
        tries.tried.push((digest, now));
        self.write(&tries).map_err(failed)?;
        Ok(pin.clone())
    }

    /// A SIM is open: what was tried before counts no more.
    ///
    /// # Errors
    /// What the disk says.
    pub fn opened(&self) -> io::Result<()> {
        match fs::remove_file(&self.path) {
            Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
            _ => Ok(()),
        }
    }

    /// Tells equal PINs, no more: whoever can read the record can guess four digits, so it is for its owner only.
    fn digest(&self, pin: &Pin) -> String {
        let hash = Sha256::digest(format!("{}:{}", self.link, pin.0));
        hash.iter().map(|octet| format!("{octet:02x}")).collect()
    }

    /// A record that cannot be read counts as an error, not as none: a try too many cannot be taken back.
    fn read(&self) -> io::Result<Tries> {
        match fs::read(&self.path) {
            Ok(octets) => Ok(serde_json::from_slice(&octets)?),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(Tries::default()),
            Err(error) => Err(error),
        }
    }

    fn write(&self, tries: &Tries) -> io::Result<()> {
        let dir = self.path.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(dir)?;
        let fresh = self.path.with_added_extension("new");
        let mut options = OpenOptions::new();
        options.create(true).truncate(true).write(true).mode(0o600);
        let mut file = options.open(&fresh)?;
        file.write_all(&serde_json::to_vec(tries)?)?;
        file.sync_all()?;
        fs::rename(&fresh, &self.path)?;
        File::open(dir)?.sync_all()
    }
}
