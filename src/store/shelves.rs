//! The trees of the database: one a shelf, written together, read in order.
//!
//! This is the only room that speaks to the database's trees. It does not know what lies in them.

use crate::store::codec;
use crate::store::draft::Writes;
use crate::store::keys::Shelf;
use crate::store::{Store, StoreError, held};
use serde::de::DeserializeOwned;
use sled::transaction::{ConflictableTransactionError, TransactionError};
use sled::{Transactional, Tree};
use std::collections::BTreeMap;

impl Store {
    /// All writes in one transaction over their trees: after a crash either all of them are there or none is.
    pub(crate) fn apply(&self, writes: &BTreeMap<Shelf, Writes>) -> Result<(), StoreError> {
        let mut trees = Vec::new();
        let mut batches = Vec::new();
        for (shelf, writes) in writes.iter().filter(|(_, writes)| !writes.is_empty()) {
            trees.push(self.tree(*shelf)?);
            batches.push(writes);
        }
        if trees.is_empty() {
            return Ok(());
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
    pub(crate) fn tree(&self, shelf: Shelf) -> Result<Tree, StoreError> {
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

    /// Every shelf that is there, in the order of exports.
    #[must_use]
    pub fn shelves(&self) -> Vec<Shelf> {
        let seen = held(&self.seen)
            .keys()
            .map(|span| Shelf::Seen(*span))
            .collect::<Vec<_>>();
        Shelf::STANDING.into_iter().chain(seen).collect()
    }

    /// Takes away the redelivery shelves before `oldest`: no message asks for them any more. How many.
    ///
    /// # Errors
    /// When the database fails.
    pub fn drop_seen_before(&self, oldest: u32) -> Result<usize, StoreError> {
        let mut seen = held(&self.seen);
        let kept = seen.split_off(&oldest);
        let old = std::mem::replace(&mut *seen, kept);
        for span in old.keys() {
            self.db.drop_tree(Shelf::Seen(*span).name())?;
        }
        Ok(old.len())
    }

    pub(crate) fn get<T: DeserializeOwned>(
        &self,
        shelf: Shelf,
        key: &[u8],
    ) -> Result<Option<T>, StoreError> {
        let Some(tree) = self.tree_if_any(shelf) else {
            return Ok(None);
        };
        match tree.get(key)? {
            Some(bytes) => Ok(Some(codec::unseal(shelf, key, &bytes)?)),
            None => Ok(None),
        }
    }

    /// Records from `from` up to but without `to`.
    pub(crate) fn range(
        &self,
        shelf: Shelf,
        from: &[u8],
        to: Option<&[u8]>,
    ) -> impl DoubleEndedIterator<Item = Result<(sled::IVec, sled::IVec), StoreError>> + use<> {
        let tree = self.tree_if_any(shelf);
        let found = tree.map(|tree| match to {
            Some(to) => tree.range(from..to),
            None => tree.range(from..),
        });
        found
            .into_iter()
            .flatten()
            .map(|entry| entry.map_err(StoreError::from))
    }

    /// Bytes of the database on disk.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn size_on_disk(&self) -> Result<u64, StoreError> {
        Ok(self.db.size_on_disk()?)
    }
}
