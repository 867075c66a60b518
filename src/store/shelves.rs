//! What the shelves stand on: a database on disk, or memory that fails as a simulation asks.
//!
//! The rest of the store reads and writes here. This room does not know what lies on a shelf.

use crate::store::codec;
use crate::store::draft::Writes;
use crate::store::keys::Shelf;
use crate::store::memory::MemoryDisk;
use crate::store::trees::Trees;
use crate::store::{Store, StoreError};
use serde::de::DeserializeOwned;
use sled::IVec;
use std::collections::BTreeMap;

/// What a store stands on.
#[derive(Debug)]
pub(crate) enum Backing {
    /// A database on disk.
    Trees(Trees),
    /// Memory, for simulations.
    Memory(MemoryDisk),
}

/// Records in order, from either end.
enum Entries {
    None,
    Trees(Box<sled::Iter>),
    Memory(std::vec::IntoIter<(IVec, IVec)>),
}

type Entry = Result<(IVec, IVec), StoreError>;

impl Iterator for Entries {
    type Item = Entry;

    fn next(&mut self) -> Option<Entry> {
        match self {
            Self::None => None,
            Self::Trees(entries) => Some(entries.next()?.map_err(StoreError::from)),
            Self::Memory(entries) => entries.next().map(Ok),
        }
    }
}

impl DoubleEndedIterator for Entries {
    fn next_back(&mut self) -> Option<Entry> {
        match self {
            Self::None => None,
            Self::Trees(entries) => Some(entries.next_back()?.map_err(StoreError::from)),
            Self::Memory(entries) => entries.next_back().map(Ok),
        }
    }
}

impl Store {
    /// All writes together: after a crash either all of them are there or none is.
    pub(crate) fn apply(&self, writes: &BTreeMap<Shelf, Writes>) -> Result<(), StoreError> {
        if writes.values().all(BTreeMap::is_empty) {
            return Ok(());
        }
        match &self.backing {
            Backing::Trees(trees) => trees.apply(writes),
            Backing::Memory(disk) => disk.apply(writes),
        }
    }

    /// Every shelf that is there, in the order of exports.
    #[must_use]
    pub fn shelves(&self) -> Vec<Shelf> {
        let spans = match &self.backing {
            Backing::Trees(trees) => trees.spans(),
            Backing::Memory(disk) => disk.spans(),
        };
        let seen = spans.into_iter().map(Shelf::Seen);
        Shelf::STANDING.into_iter().chain(seen).collect()
    }

    /// Takes away the redelivery shelves before `oldest`: no message asks for them any more. How many.
    ///
    /// # Errors
    /// When the database fails.
    pub fn drop_seen_before(&self, oldest: u32) -> Result<usize, StoreError> {
        match &self.backing {
            Backing::Trees(trees) => trees.drop_spans_before(oldest),
            Backing::Memory(disk) => disk.drop_spans_before(oldest),
        }
    }

    pub(crate) fn get<T: DeserializeOwned>(
        &self,
        shelf: Shelf,
        key: &[u8],
    ) -> Result<Option<T>, StoreError> {
        match &self.backing {
            Backing::Trees(trees) => match trees.get(shelf, key)? {
                Some(bytes) => Ok(Some(codec::unseal(shelf, key, &bytes)?)),
                None => Ok(None),
            },
            Backing::Memory(disk) => match disk.get(shelf, key) {
                Some(bytes) => Ok(Some(codec::unseal(shelf, key, &bytes)?)),
                None => Ok(None),
            },
        }
    }

    /// Records from `from` up to but without `to`.
    pub(crate) fn range(
        &self,
        shelf: Shelf,
        from: &[u8],
        to: Option<&[u8]>,
    ) -> impl DoubleEndedIterator<Item = Entry> + use<> {
        match &self.backing {
            Backing::Trees(trees) => trees
                .range(shelf, from, to)
                .map_or(Entries::None, |entries| Entries::Trees(Box::new(entries))),
            Backing::Memory(disk) => Entries::Memory(disk.range(shelf, from, to).into_iter()),
        }
    }

    /// Everything written so far is on disk when this returns.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn flush(&self) -> Result<(), StoreError> {
        match &self.backing {
            Backing::Trees(trees) => trees.flush(),
            Backing::Memory(disk) => disk.flush(),
        }
    }

    /// Bytes of the database on disk.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn size_on_disk(&self) -> Result<u64, StoreError> {
        match &self.backing {
            Backing::Trees(trees) => trees.size_on_disk(),
            Backing::Memory(disk) => Ok(disk.size()),
        }
    }
}
