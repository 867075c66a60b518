//! The database on disk: one tree a shelf, written together, read in order.
//!
//! This is the only room that speaks to the database. It does not know what lies in it.

use crate::store::draft::Writes;
use crate::store::keys::Shelf;
use crate::store::tip::Tip;
use crate::store::{StoreError, held};
use sled::transaction::{ConflictableTransactionError, TransactionError};
use sled::{Transactional, Tree};
use std::collections::BTreeMap;
use std::fs::File;
use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

/// An open database.
#[derive(Debug)]
pub(crate) struct Trees {
    db: sled::Db,
    standing: BTreeMap<Shelf, Tree>,
    seen: Mutex<BTreeMap<u32, Tree>>,
    /// The database's log, to wait for it ourselves.
    log: File,
    tip: Tip,
}

impl Trees {
    pub(crate) fn open(dir: &Path, cache_bytes: u64) -> Result<Self, StoreError> {
        // sled's own flush every half second stays on: without it unflushed pages pile up in memory. Durability does not hang on it.
        let config = sled::Config::new().path(dir).cache_capacity(cache_bytes);
        let db = unlocked(|| config.open()).map_err(|why| match why {
            sled::Error::Corruption { .. } => StoreError::Damaged {
                folder: dir.display().to_string(),
                why: "what is on the disk does not match its checksums".to_owned(),
            },
            other => StoreError::Database(other),
        })?;
        // A killed process leaves what it wrote in the system's memory, where it can be read without being safe: a redelivery of it writes nothing
        // and would be acknowledged on the word of that memory.
        settle_files(dir)?;
        let mut standing = BTreeMap::new();
        for shelf in Shelf::STANDING.into_iter().chain(Shelf::FOLLOWING) {
            standing.insert(shelf, db.open_tree(shelf.name())?);
        }
        let mut seen = BTreeMap::new();
        for name in db.tree_names() {
            if let Some(span) = Shelf::span_of(&name) {
                seen.insert(span, db.open_tree(name)?);
            }
        }
        Ok(Self {
            db,
            standing,
            seen: Mutex::new(seen),
            log: File::open(dir.join("db")).map_err(|why| StoreError::File {
                what: format!("opening {}", dir.join("db").display()),
                why,
            })?,
            tip: Tip::open(dir)?,
        })
    }

    /// Complains of a database that ends before what was acknowledged.
    pub(crate) fn compare_tip(&self, found: u64) -> Result<(), StoreError> {
        self.tip.compare(found)
    }

    /// Notes how far commits are safe.
    pub(crate) fn note_tip(&self, step: u64) {
        self.tip.note(step);
    }

    /// All writes in one transaction over their trees: after a crash either all of them are there or none is.
    pub(crate) fn apply(&self, writes: &BTreeMap<Shelf, Writes>) -> Result<(), StoreError> {
        let mut trees = Vec::new();
        let mut batches = Vec::new();
        for (shelf, writes) in writes.iter().filter(|(_, writes)| !writes.is_empty()) {
            trees.push(self.tree(*shelf)?);
            batches.push(writes);
        }
        let done = trees.as_slice().transaction(|trees| {
            for (tree, writes) in trees.iter().zip(&batches) {
                for (key, bytes) in *writes {
                    match bytes {
                        Some(bytes) => tree.insert(key.as_slice(), bytes.as_slice())?,
                        None => tree.remove(key.as_slice())?,
                    };
                }
            }
            Ok::<(), ConflictableTransactionError<StoreError>>(())
        });
        done.map_err(|error| match error {
            TransactionError::Abort(error) => error,
            TransactionError::Storage(error) => StoreError::Database(error),
        })
    }

    /// The tree of a shelf; a redelivery shelf is made when it is first needed.
    fn tree(&self, shelf: Shelf) -> Result<Tree, StoreError> {
        if let Shelf::Seen(span) = shelf {
            let mut seen = held(&self.seen);
            if let Some(tree) = seen.get(&span) {
                return Ok(tree.clone());
            }
            let tree = self.db.open_tree(shelf.name())?;
            seen.insert(span, tree.clone());
            return Ok(tree);
        }
        match self.standing.get(&shelf) {
            Some(tree) => Ok(tree.clone()),
            None => Ok(self.db.open_tree(shelf.name())?),
        }
    }

    /// The tree of a shelf, where the shelf is there.
    fn tree_if_any(&self, shelf: Shelf) -> Option<Tree> {
        match shelf {
            Shelf::Seen(span) => held(&self.seen).get(&span).cloned(),
            _ => self.standing.get(&shelf).cloned(),
        }
    }

    pub(crate) fn spans(&self) -> Vec<u32> {
        held(&self.seen).keys().copied().collect()
    }

    pub(crate) fn drop_spans_before(&self, oldest: u32) -> Result<usize, StoreError> {
        let mut seen = held(&self.seen);
        let kept = seen.split_off(&oldest);
        let old = std::mem::replace(&mut *seen, kept);
        for span in old.keys() {
            self.db.drop_tree(Shelf::Seen(*span).name())?;
        }
        Ok(old.len())
    }

    pub(crate) fn get(&self, shelf: Shelf, key: &[u8]) -> Result<Option<sled::IVec>, StoreError> {
        match self.tree_if_any(shelf) {
            Some(tree) => Ok(tree.get(key)?),
            None => Ok(None),
        }
    }

    pub(crate) fn range(&self, shelf: Shelf, from: &[u8], to: Option<&[u8]>) -> Option<sled::Iter> {
        let tree = self.tree_if_any(shelf)?;
        Some(match to {
            Some(to) => tree.range(from..to),
            None => tree.range(from..),
        })
    }

    pub(crate) fn flush(&self) -> Result<(), StoreError> {
        self.db.flush()?;
        // On Linux the database waits with sync_file_range(2), which by its manual page leaves the file's length and the disk's own cache out:
        // after a power cut what was written past the old end could be gone. This waits for both.
        self.log.sync_data().map_err(|why| StoreError::File {
            what: "waiting until the database's log is on disk".to_owned(),
            why,
        })
    }

    pub(crate) fn size_on_disk(&self) -> Result<u64, StoreError> {
        Ok(self.db.size_on_disk()?)
    }
}

/// Looks at a lock that is held, and how often: its own threads keep a database that this process has closed for a moment, milliseconds as a rule.
const LOOK_EVERY: Duration = Duration::from_millis(5);
const LOOKS_MOST: usize = 400;

/// Opens a database as soon as nobody holds it. Another process is kept out by the folder's lock before it comes to this.
fn unlocked(open: impl Fn() -> sled::Result<sled::Db>) -> sled::Result<sled::Db> {
    for _ in 0..LOOKS_MOST {
        match open() {
            // The kind of the system's error is lost on the way here.
            Err(sled::Error::Io(why)) if why.to_string().contains("could not acquire lock") => {
                std::thread::sleep(LOOK_EVERY);
            }
            other => return other,
        }
    }
    open()
}

/// Waits until every file of the folder is on disk, with its name.
fn settle_files(dir: &Path) -> Result<(), StoreError> {
    let settle = || {
        for entry in std::fs::read_dir(dir)? {
            let entry = entry?;
            if entry.file_type()?.is_file() {
                File::open(entry.path())?.sync_all()?;
            }
        }
        File::open(dir)?.sync_all()
    };
    settle().map_err(|why| StoreError::File {
        what: format!("waiting until {} is on disk", dir.display()),
        why,
    })
}
