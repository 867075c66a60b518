//! The data folder: what lies where in it, and that one process at a time has it.
//!
//! The lock is the system's, so that a killed process leaves none behind.

use crate::counter::answers::CounterError;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
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
        let failed = |why: io::Error| CounterError::Folder {
            what: format!("the data folder {}", dir.display()),
            why: why.to_string(),
        };
        fs::create_dir_all(dir).map_err(failed)?;
        let lock = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(dir.join("lock"))
            .map_err(failed)?;
        match lock.try_lock() {
            Ok(()) => {
                let folder = Self {
                    dir: dir.to_owned(),
                    _lock: lock,
                };
                folder.recover().map_err(failed)?;
                Ok(folder)
            }
            Err(TryLockError::WouldBlock) => Err(CounterError::InUse(dir.display().to_string())),
            Err(TryLockError::Error(why)) => Err(failed(why)),
        }
    }

    /// The folder itself.
    pub(crate) fn dir(&self) -> &Path {
        &self.dir
    }

    /// Where the database lies.
    pub(crate) fn store(&self) -> PathBuf {
        self.dir.join("store")
    }

    /// Where a new database is filled before it takes the old one's place.
    pub(crate) fn fresh(&self) -> PathBuf {
        self.dir.join("store.new")
    }

    /// Where the old one waits meanwhile.
    fn aside(&self) -> PathBuf {
        self.dir.join("store.old")
    }

    /// The lines that compaction goes through: the old database's and the new one's, which must be the same.
    pub(crate) fn copies(&self) -> [PathBuf; 2] {
        ["compact.ndjson", "compact.again.ndjson"].map(|name| self.dir.join(name))
    }

    /// Puts the filled database in the old one's place. A process killed on the way leaves either the old or the new one to [`Folder::lock`].
    pub(crate) fn swap(&self) -> io::Result<()> {
        if self.store().exists() {
            fs::rename(self.store(), self.aside())?;
        }
        fs::rename(self.fresh(), self.store())?;
        sync_folder(&self.dir)?;
        remove(&self.aside())
    }

    /// Finishes or takes back what a killed process left. The old database is whole until the new one stands in its place, so it counts.
    fn recover(&self) -> io::Result<()> {
        if self.aside().exists() && !self.store().exists() {
            fs::rename(self.aside(), self.store())?;
            sync_folder(&self.dir)?;
        }
        remove(&self.aside())?;
        remove(&self.fresh())?;
        for copy in self.copies() {
            match fs::remove_file(copy) {
                Err(why) if why.kind() != io::ErrorKind::NotFound => return Err(why),
                _ => {}
            }
        }
        Ok(())
    }
}

fn remove(dir: &Path) -> io::Result<()> {
    match fs::remove_dir_all(dir) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
        _ => Ok(()),
    }
}

/// Waits until the names in a folder are on disk, not only the files' bytes.
pub(crate) fn sync_folder(dir: &Path) -> io::Result<()> {
    File::open(dir)?.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn holds(folder: &Folder) -> Option<String> {
        fs::read_to_string(folder.store().join("what")).ok()
    }

    fn put(dir: &Path, name: &str, what: &str) {
        fs::create_dir_all(dir.join(name)).unwrap();
        fs::write(dir.join(name).join("what"), what).unwrap();
    }

    #[test]
    fn a_swap_cut_short_anywhere_leaves_one_whole_database() {
        for (left, expected) in [
            (&["store", "store.new"][..], "store"),
            (&["store.old", "store.new"][..], "store.old"),
            (&["store.old", "store"][..], "store"),
        ] {
            let dir = tempfile::tempdir().unwrap();
            for name in left {
                put(dir.path(), name, name);
            }
            fs::write(dir.path().join("compact.ndjson"), "texts").unwrap();
            let folder = Folder::lock(dir.path()).unwrap();
            assert_eq!(holds(&folder).as_deref(), Some(expected), "{left:?}");
            assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2, "lock, store");
        }
    }

    #[test]
    fn a_swap_puts_the_new_database_in_place() {
        let dir = tempfile::tempdir().unwrap();
        put(dir.path(), "store", "old");
        let folder = Folder::lock(dir.path()).unwrap();
        put(dir.path(), "store.new", "new");
        folder.swap().unwrap();
        assert_eq!(holds(&folder).as_deref(), Some("new"));
        assert!(!folder.aside().exists() && !folder.fresh().exists());
    }
}
