//! Memory that behaves like a disk that fails: what a store stands on in a simulation.
//!
//! What was written is seen at once and is safe only after a flush; a power cut takes what was not flushed, from the end, a whole write at a time,
//! as the database promises. A handle outlives the store, as a disk outlives the process. This room does not know what is written.

use crate::store::draft::Writes;
use crate::store::keys::Shelf;
use crate::store::{StoreError, held};
use std::collections::BTreeMap;
use std::io;
use std::sync::{Arc, Mutex};

type Shelves = BTreeMap<Shelf, BTreeMap<Vec<u8>, Vec<u8>>>;

/// How a commit meets the disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The write is refused; nothing of it is there.
    WriteFails,
    /// The write is there and can be read, but the flush after it fails; a later flush may carry it.
    FlushFails,
    /// The power goes before the write.
    CutBeforeWrite,
    /// The power goes between the write and its flush.
    CutBeforeFlush,
    /// The power goes after the flush: the commit is safe, and nobody hears of it.
    CutAfterFlush,
}

#[derive(Clone, Debug, Default)]
struct Disk {
    safe: Shelves,
    seen: Shelves,
    waiting: Vec<BTreeMap<Shelf, Writes>>,
    fault: Option<Fault>,
    cut: bool,
}

/// A disk in memory. Clones are the same disk.
#[derive(Clone, Debug, Default)]
pub struct MemoryDisk(Arc<Mutex<Disk>>);

fn put(shelves: &mut Shelves, writes: &BTreeMap<Shelf, Writes>) {
    for (shelf, writes) in writes {
        let records = shelves.entry(*shelf).or_default();
        for (key, bytes) in writes {
            match bytes {
                Some(bytes) => records.insert(key.clone(), bytes.clone()),
                None => records.remove(key),
            };
        }
    }
}

fn failed(what: &str) -> StoreError {
    StoreError::File {
        what: what.to_owned(),
        why: io::Error::other("the simulated disk failed"),
    }
}

impl MemoryDisk {
    /// The next commit meets this fault.
    pub fn plan(&self, fault: Fault) {
        held(&self.0).fault = Some(fault);
    }

    /// The power is gone: everything fails until [`MemoryDisk::restart`].
    #[must_use]
    pub fn is_cut(&self) -> bool {
        held(&self.0).cut
    }

    /// Writes that a power cut could take.
    #[must_use]
    pub fn waiting(&self) -> usize {
        held(&self.0).waiting.len()
    }

    /// The power goes and comes back: what was safe is there, and the first `kept` of the writes that were not.
    pub fn restart(&self, kept: usize) {
        let mut disk = held(&self.0);
        let waiting = std::mem::take(&mut disk.waiting);
        for writes in waiting.iter().take(kept) {
            put(&mut disk.safe, writes);
        }
        disk.seen = disk.safe.clone();
        disk.fault = None;
        disk.cut = false;
    }

    /// Another disk with the same on it.
    #[must_use]
    pub fn copy(&self) -> Self {
        Self(Arc::new(Mutex::new(held(&self.0).clone())))
    }

    pub(crate) fn apply(&self, writes: &BTreeMap<Shelf, Writes>) -> Result<(), StoreError> {
        let mut disk = held(&self.0);
        match disk.fault {
            Some(Fault::CutBeforeWrite) => disk.cut = true,
            Some(Fault::WriteFails) => {
                disk.fault = None;
                return Err(failed("a write"));
            }
            _ => {}
        }
        if disk.cut {
            return Err(failed("a write after the cut"));
        }
        put(&mut disk.seen, writes);
        disk.waiting.push(writes.clone());
        Ok(())
    }

    pub(crate) fn flush(&self) -> Result<(), StoreError> {
        let mut disk = held(&self.0);
        match disk.fault {
            Some(Fault::CutBeforeFlush) => disk.cut = true,
            Some(Fault::FlushFails) => {
                disk.fault = None;
                return Err(failed("a flush"));
            }
            _ => {}
        }
        if disk.cut {
            return Err(failed("a flush after the cut"));
        }
        for writes in std::mem::take(&mut disk.waiting) {
            put(&mut disk.safe, &writes);
        }
        if disk.fault == Some(Fault::CutAfterFlush) {
            disk.cut = true;
            return Err(failed("a flush, after it was done"));
        }
        Ok(())
    }

    pub(crate) fn spans(&self) -> Vec<u32> {
        let disk = held(&self.0);
        disk.seen.keys().filter_map(|shelf| shelf.span()).collect()
    }

    pub(crate) fn drop_spans_before(&self, oldest: u32) -> Result<usize, StoreError> {
        let mut disk = held(&self.0);
        if disk.cut {
            return Err(failed("dropping a shelf"));
        }
        let is_old = |shelf: &Shelf| shelf.span().is_some_and(|span| span < oldest);
        let before = disk.seen.len();
        disk.seen.retain(|shelf, _| !is_old(shelf));
        let gone = before - disk.seen.len();
        disk.safe.retain(|shelf, _| !is_old(shelf));
        Ok(gone)
    }

    pub(crate) fn get(&self, shelf: Shelf, key: &[u8]) -> Option<Vec<u8>> {
        held(&self.0).seen.get(&shelf)?.get(key).cloned()
    }

    pub(crate) fn range(
        &self,
        shelf: Shelf,
        from: &[u8],
        to: Option<&[u8]>,
    ) -> Vec<(sled::IVec, sled::IVec)> {
        let disk = held(&self.0);
        let Some(records) = disk.seen.get(&shelf) else {
            return Vec::new();
        };
        let found = records.range(from.to_vec()..).take_while(|(key, _)| {
            // The end is not part of a range.
            to.is_none_or(|to| key.as_slice() < to)
        });
        found
            .map(|(key, bytes)| (key.as_slice().into(), bytes.as_slice().into()))
            .collect()
    }

    pub(crate) fn size(&self) -> u64 {
        let disk = held(&self.0);
        let records = disk.safe.values().flat_map(BTreeMap::iter);
        records
            .map(|(key, bytes)| (key.len() + bytes.len()) as u64)
            .sum()
    }
}
