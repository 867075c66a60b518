//! Texts that were given up as unknown, and the answers that come late all the same.
//!
//! No IO, no clock. A late answer makes known; it never sends again. Does not know networks.

use crate::store::outbox::{OutboxId, OutboxRow, Settled};
use std::collections::BTreeMap;

/// Texts that a late answer is waited for; beyond it the oldest is left to receipts and people.
const DOUBTS_MOST: usize = 1_000;

#[derive(Debug)]
struct Doubt {
    row: OutboxRow,
    ids: Vec<String>,
    parts: u16,
    missing: Vec<u64>,
}

/// Texts of which every part was given to the network, and the tokens whose answers are missing.
#[derive(Debug, Default)]
pub(super) struct Doubts {
    texts: BTreeMap<OutboxId, Doubt>,
    tokens: BTreeMap<u64, OutboxId>,
}

impl Doubts {
    /// The answers to `missing` may still come; `ids` are those of the parts that were taken.
    pub(super) fn hold(&mut self, row: OutboxRow, ids: Vec<String>, parts: u16, missing: Vec<u64>) {
        let id = row.id;
        self.tokens.extend(missing.iter().map(|token| (*token, id)));
        let doubt = Doubt {
            row,
            ids,
            parts,
            missing,
        };
        self.texts.insert(id, doubt);
        if self.texts.len() > DOUBTS_MOST
            && let Some((oldest, _)) = self.texts.pop_first()
        {
            self.tokens.retain(|_, row| *row != oldest);
        }
    }

    /// The network took the message of `token` after all, under `id` (empty: none). The text's fate, where it is known now.
    pub(super) fn taken(&mut self, token: u64, id: String) -> Option<(OutboxRow, Settled)> {
        let row = self.tokens.remove(&token)?;
        let doubt = self.texts.get_mut(&row)?;
        doubt.ids.extend(Some(id).filter(|id| !id.is_empty()));
        doubt.missing.retain(|missing| *missing != token);
        if !doubt.missing.is_empty() {
            return None;
        }
        let Doubt {
            row, ids, parts, ..
        } = self.texts.remove(&row)?;
        Some((row, Settled::Sent { ids, parts }))
    }
}
