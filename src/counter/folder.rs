//! The data folder: what lies where in it, and that one process at a time has it.
//!
//! The lock is the system's, so that a killed process leaves none behind.

use crate::counter::answers::CounterError;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};

/// A locked data folder.
#[derive(Debug)]
pub(crate) struct Folder {
    dir: PathBuf,
    /// Held open: the lock ends with it.
    _lock: File,
}

impl Folder {
    /// Makes the folder where there is none, and locks it.
    pub(crate) fn lock(dir: &Path) -> Result<Self, CounterError> {
        let failed = |why: std::io::Error| CounterError::Folder {
            what: format!("the data folder {}", dir.display()),
            why: why.to_string(),
        };
        std::fs::create_dir_all(dir).map_err(failed)?;
        let lock = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(dir.join("lock"))
            .map_err(failed)?;
        match lock.try_lock() {
            Ok(()) => Ok(Self {
                dir: dir.to_owned(),
                _lock: lock,
            }),
            Err(TryLockError::WouldBlock) => Err(CounterError::InUse(dir.display().to_string())),
            Err(TryLockError::Error(why)) => Err(failed(why)),
        }
    }

    /// Where the database lies.
    pub(crate) fn store(&self) -> PathBuf {
        self.dir.join("store")
    }
}
