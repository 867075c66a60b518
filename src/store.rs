//! What is kept: messages as received, events, states, what is to be sent and when a farm wakes up.
//!
//! The rest of the program sees verbs, not keys: load a stream, commit what a batch of messages changed, find a redelivery, what is due, lease
//! and settle. This room does not decide anything and does not know how a message arrives.

pub mod cache;
pub mod check;
pub mod codec;
pub mod delivery;
pub mod draft;
pub mod erase;
pub mod events;
pub mod export;
pub mod keys;
pub mod ledger;
pub mod lines;
pub mod memory;
pub mod outbox;
pub mod person;
pub mod reading;
pub mod receipts;
pub mod records;
pub mod redelivery;
pub mod shelf;
mod shelves;
pub mod step;
mod tip;
mod trees;
mod upgrade;
pub mod wakeups;

use crate::desk::streams::StreamState;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::cache::Cache;
use crate::store::codec::CodecError;
use crate::store::draft::{Draft, Writes};
use crate::store::keys::Shelf;
use crate::store::memory::MemoryDisk;
use crate::store::records::{Numbers, Stream};
use crate::store::shelves::Backing;
use crate::store::trees::Trees;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The database failed.
    #[error("the database failed: {0}")]
    Database(#[from] sled::Error),
    /// A record is not what was written.
    #[error(transparent)]
    Record(#[from] CodecError),
    /// A key is not one of its shelf's.
    #[error("a key on shelf {0} does not read")]
    Key(String),
    /// A stream is not at the version a step was decided on.
    #[error("a stream is at version {found}, a step was decided on version {expected}")]
    Conflict {
        /// Decided on.
        expected: u32,
        /// Found.
        found: u32,
    },
    /// A stream's events do not run from one to its version.
    #[error("stream {stream} lacks its event {version}")]
    Gap {
        /// Which, with phones masked.
        stream: String,
        /// Which event.
        version: u32,
    },
    /// The database on disk cannot be read.
    #[error(
        "the database in {folder} is damaged: {why}. Nothing was changed. Keep a copy of that folder, then fill a new one from the last backup: clutchline restore --data NEW_FOLDER BACKUP"
    )]
    Damaged {
        /// Where it lies.
        folder: String,
        /// What the database said.
        why: String,
    },
    /// The database has lost its end.
    #[error(
        "the database in {folder} has lost its end: it holds {found} commits and had acknowledged {acknowledged}. Nothing was changed. Keep a copy of that folder, then fill a new one from the last backup: clutchline restore --data NEW_FOLDER BACKUP. To go on with what is left all the same, remove {folder}/tip"
    )]
    Behind {
        /// Where it lies.
        folder: String,
        /// Commits that are there.
        found: u64,
        /// Commits that had been acknowledged.
        acknowledged: u64,
    },
    /// A file beside the database.
    #[error("{what}: {why}")]
    File {
        /// What was done to which file.
        what: String,
        /// What the system said.
        why: std::io::Error,
    },
    /// What was to be read is not what an export or archive looks like.
    #[error("line {line}: {why}")]
    Line {
        /// Counted from one.
        line: usize,
        /// What was expected.
        why: String,
    },
}

/// How the store uses memory.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    /// Bytes of pages that the database may cache.
    pub cache_bytes: u64,
    /// Streams whose state is kept decoded.
    pub cached_streams: usize,
}

const NUMBERS: &[u8] = b"numbers";

/// An open store.
#[derive(Debug)]
pub struct Store {
    backing: Backing,
    cache: Mutex<Cache>,
    numbers: Mutex<Numbers>,
    /// A commit failed: what it wrote may be readable without being safe.
    unsure: AtomicBool,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Store {
    /// Opens the database in `dir`, or makes one there.
    ///
    /// # Errors
    /// When another process has it, the disk fails, or it was written by a newer program.
    pub fn open(dir: &Path, sizes: Sizes) -> Result<Self, StoreError> {
        Self::on(Backing::Trees(Trees::open(dir, sizes.cache_bytes)?), sizes)
    }

    /// Opens the store on a disk in memory, for simulations.
    ///
    /// # Errors
    /// When it was written by a newer program.
    pub fn in_memory(disk: &MemoryDisk, sizes: Sizes) -> Result<Self, StoreError> {
        Self::on(Backing::Memory(disk.clone()), sizes)
    }

    fn on(backing: Backing, sizes: Sizes) -> Result<Self, StoreError> {
        let store = Self {
            backing,
            cache: Mutex::new(Cache::new(sizes.cached_streams)),
            numbers: Mutex::new(Numbers::FIRST),
            unsure: AtomicBool::new(false),
        };
        store.read_numbers()?;
        if let Backing::Trees(trees) = &store.backing {
            trees.compare_tip(store.numbers().step)?;
        }
        store.upgrade()?;
        Ok(store)
    }

    fn read_numbers(&self) -> Result<(), StoreError> {
        if let Some(numbers) = self.get(Shelf::Meta, NUMBERS)? {
            *held(&self.numbers) = numbers;
        }
        Ok(())
    }

    /// The next numbers, as of the last commit.
    #[must_use]
    pub fn numbers(&self) -> Numbers {
        *held(&self.numbers)
    }

    /// A stream's state as of the last commit; empty where there is none.
    ///
    /// # Errors
    /// When the database fails or the record is damaged.
    pub fn load(&self, coop: CoopId, id: &StreamId) -> Result<Arc<Stream>, StoreError> {
        self.load_key(&keys::stream(coop, id), id)
    }

    pub(crate) fn load_key(&self, key: &[u8], id: &StreamId) -> Result<Arc<Stream>, StoreError> {
        if let Some(stream) = held(&self.cache).get(key) {
            return Ok(stream);
        }
        let stream = match self.get::<Stream>(Shelf::States, key) {
            Ok(Some(stream)) => stream,
            Ok(None) => return Ok(Arc::new(Stream::empty(id))),
            Err(StoreError::Record(error)) => {
                tracing::warn!(%error, "a state does not read; it is made again from its events");
                self.rebuilt(key, id)?
            }
            Err(error) => return Err(error),
        };
        let stream = Arc::new(stream);
        held(&self.cache).put(key.to_vec(), Arc::clone(&stream));
        Ok(stream)
    }

    /// A stream made again from its events; a farm then has no wake-up until its next message or round.
    fn rebuilt(&self, key: &[u8], id: &StreamId) -> Result<Stream, StoreError> {
        let (coop, _, _) =
            keys::read_stream(key).ok_or_else(|| StoreError::Key(Shelf::States.name()))?;
        let (version, state) = self.replay(coop, id)?;
        Ok(Stream {
            version,
            state,
            ..Stream::empty(id)
        })
    }

    /// A stream's events from the first, and the state that they make.
    ///
    /// # Errors
    /// When one is damaged or missing.
    pub fn replay(&self, coop: CoopId, id: &StreamId) -> Result<(u32, StreamState), StoreError> {
        let mut state = StreamState::empty(id);
        let mut version = 0;
        self.events(coop, id, |at, recorded| {
            version += 1;
            if at != version {
                return Err(StoreError::Gap {
                    stream: format!("{id:?}"),
                    version,
                });
            }
            state.apply(&recorded.recorded);
            Ok(())
        })?;
        Ok((version, state))
    }

    /// A batch on top of the last commit. One at a time: the writer's.
    #[must_use]
    pub fn draft(&self) -> Draft<'_> {
        Draft::new(self, self.numbers())
    }

    /// Commits a batch: all of it or nothing, on disk when this returns.
    ///
    /// # Errors
    /// When the database fails; nothing of the batch may then be acknowledged, and cached states are forgotten.
    pub fn commit(&self, draft: Draft<'_>) -> Result<(), StoreError> {
        let Draft {
            mut writes,
            streams,
            numbers,
            ..
        } = draft;
        let done = self
            .seal_streams(&mut writes, &streams, numbers)
            .and_then(|()| self.apply(&writes))
            .and_then(|()| self.flush());
        if let Err(error) = done {
            self.unsure.store(true, Ordering::Release);
            held(&self.cache).clear();
            self.read_numbers()?;
            return Err(error);
        }
        self.unsure.store(false, Ordering::Release);
        *held(&self.numbers) = numbers;
        if let Backing::Trees(trees) = &self.backing {
            trees.note_tip(numbers.step);
        }
        let mut cache = held(&self.cache);
        for (key, written) in writes.get(&Shelf::States).into_iter().flatten() {
            if written.is_none() {
                cache.remove(key);
            }
        }
        for (key, stream) in streams {
            cache.put(key, stream);
        }
        Ok(())
    }

    fn seal_streams(
        &self,
        writes: &mut BTreeMap<Shelf, Writes>,
        streams: &BTreeMap<Vec<u8>, Arc<Stream>>,
        numbers: Numbers,
    ) -> Result<(), StoreError> {
        let states = writes.entry(Shelf::States).or_default();
        for (key, stream) in streams {
            states.insert(
                key.clone(),
                Some(codec::seal(Shelf::States, key, &**stream)?),
            );
        }
        if numbers != self.numbers() {
            let sealed = codec::seal(Shelf::Meta, NUMBERS, &numbers)?;
            writes
                .entry(Shelf::Meta)
                .or_default()
                .insert(NUMBERS.to_vec(), Some(sealed));
        }
        Ok(())
    }

    /// Forgets cached states: a draft that built on them is not committed.
    pub fn forget(&self) {
        held(&self.cache).clear();
    }

    /// What can be read is safe when this returns: a redelivery of a message whose commit failed writes nothing, and may be acknowledged only then.
    ///
    /// # Errors
    /// When the disk fails still.
    pub fn settle(&self) -> Result<(), StoreError> {
        if self.unsure.load(Ordering::Acquire) {
            self.flush()?;
            self.unsure.store(false, Ordering::Release);
        }
        Ok(())
    }
}
