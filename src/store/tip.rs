//! How far commits were acknowledged, in a file of its own beside the database's.
//!
//! A database that recovers from a torn end shows an older moment and says nothing. This file knows better: it is written after each flush, without
//! one of its own, so that after a power cut it may lag behind the database, and never run ahead of it. This room does not know what a commit holds.

use crate::store::StoreError;
use std::fs::{File, OpenOptions};
use std::os::unix::fs::FileExt;
use std::path::{Path, PathBuf};

/// A commit's number and its checksum.
const BYTES: usize = 12;

/// The open file.
#[derive(Debug)]
pub(crate) struct Tip {
    folder: PathBuf,
    file: File,
}

impl Tip {
    pub(crate) fn open(folder: &Path) -> Result<Self, StoreError> {
        let path = folder.join("tip");
        let file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(&path)
            .map_err(|why| StoreError::File {
                what: format!("opening {}", path.display()),
                why,
            })?;
        Ok(Self {
            folder: folder.to_owned(),
            file,
        })
    }

    /// The last number noted; none where there is none, or where the file itself was torn.
    fn noted(&self) -> Option<u64> {
        let mut bytes = [0; BYTES];
        self.file.read_exact_at(&mut bytes, 0).ok()?;
        let (step, sum) = bytes.split_first_chunk::<8>()?;
        (crc32fast::hash(step).to_be_bytes() == *sum).then(|| u64::from_be_bytes(*step))
    }

    pub(crate) fn compare(&self, found: u64) -> Result<(), StoreError> {
        match self.noted() {
            Some(acknowledged) if acknowledged > found => Err(StoreError::Behind {
                folder: self.folder.display().to_string(),
                found: found.saturating_sub(1),
                acknowledged: acknowledged.saturating_sub(1),
            }),
            _ => Ok(()),
        }
    }

    /// A failure is told and borne: the commit itself is safe, only a later loss would be found less surely.
    pub(crate) fn note(&self, step: u64) {
        let mut bytes = step.to_be_bytes().to_vec();
        bytes.extend(crc32fast::hash(&step.to_be_bytes()).to_be_bytes());
        if let Err(error) = self.file.write_all_at(&bytes, 0) {
            tracing::warn!(%error, "how far commits are safe could not be noted");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_database_that_lost_its_end_is_told_from_one_that_did_not() {
        let dir = tempfile::tempdir().unwrap();
        let tip = Tip::open(dir.path()).unwrap();
        assert!(tip.compare(1).is_ok(), "a folder of old has no number");
        tip.note(70);
        assert!(tip.compare(70).is_ok() && tip.compare(71).is_ok());
        let why = tip.compare(69).unwrap_err().to_string();
        assert!(why.contains("68 commits") && why.contains("69"), "{why}");
        std::fs::write(dir.path().join("tip"), [7; BYTES]).unwrap();
        assert!(tip.compare(1).is_ok(), "a torn note says nothing");
    }
}
