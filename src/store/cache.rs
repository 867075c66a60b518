//! The states used last, decoded, bounded by number.
//!
//! Farms are many and small; those that write today are few. This room does not read the store.

use crate::store::records::Stream;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// Least recently used goes first.
#[derive(Debug)]
pub struct Cache {
    most: usize,
    clock: u64,
    held: HashMap<Vec<u8>, (u64, Arc<Stream>)>,
    order: BTreeMap<u64, Vec<u8>>,
}

impl Cache {
    /// Holds at most `most` streams.
    #[must_use]
    pub fn new(most: usize) -> Self {
        Self {
            most,
            clock: 0,
            held: HashMap::new(),
            order: BTreeMap::new(),
        }
    }

    /// The stream of that key, which is then the last to go.
    pub fn get(&mut self, key: &[u8]) -> Option<Arc<Stream>> {
        let (used, stream) = self.held.get_mut(key)?;
        let name = self.order.remove(used)?;
        self.clock += 1;
        *used = self.clock;
        self.order.insert(self.clock, name);
        Some(Arc::clone(stream))
    }

    /// Keeps a stream; one that is there already is replaced.
    pub fn put(&mut self, key: Vec<u8>, stream: Arc<Stream>) {
        self.clock += 1;
        self.order.insert(self.clock, key.clone());
        if let Some((used, _)) = self.held.insert(key, (self.clock, stream)) {
            self.order.remove(&used);
        }
        while self.held.len() > self.most {
            let Some((_, oldest)) = self.order.pop_first() else {
                return;
            };
            self.held.remove(&oldest);
        }
    }

    /// Forgets one stream: it is no more.
    pub fn remove(&mut self, key: &[u8]) {
        if let Some((used, _)) = self.held.remove(key) {
            self.order.remove(&used);
        }
    }

    /// Forgets everything: what was written last may not be on disk.
    pub fn clear(&mut self) {
        self.held.clear();
        self.order.clear();
    }

    /// How many are held.
    #[must_use]
    pub fn len(&self) -> usize {
        self.held.len()
    }

    /// None is held.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.held.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::event::StreamId;

    #[test]
    fn the_least_used_goes_first() {
        let stream = Arc::new(Stream::empty(&StreamId::Rules));
        let mut cache = Cache::new(2);
        cache.put(vec![1], Arc::clone(&stream));
        cache.put(vec![2], Arc::clone(&stream));
        assert!(cache.get(&[1]).is_some());
        cache.put(vec![3], Arc::clone(&stream));
        assert!(cache.get(&[2]).is_none());
        assert!(cache.get(&[1]).is_some() && cache.get(&[3]).is_some());
        cache.put(vec![3], stream);
        assert_eq!((cache.len(), cache.order.len()), (2, 2));
    }
}
