//! The simulated networks: texts on their way in, copied, delayed, dropped and told again; texts taken on their way out.
//!
//! This room knows what was said and what was acknowledged; it does not know what the gateway made of it.

use crate::scene;
use chrono::{DateTime, Utc};
use clutchline::domain::message::{Inbound, MessageNo, Receipt};
use clutchline::store::outbox::{OutboxId, OutboxRow};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex};

/// A text that a phone sent. The network tells it again until it is acknowledged.
pub(crate) struct Said {
    pub(crate) inbound: Inbound,
    /// What came back, if anything did; an acknowledgement may be lost on its way.
    pub(crate) acks: Vec<Receipt>,
    /// Acknowledgements that the gateway sent, also lost ones.
    pub(crate) sent_acks: Arc<Mutex<Vec<Receipt>>>,
    /// The gateway said that it could not take it.
    pub(crate) refused: Arc<AtomicBool>,
}

impl Said {
    pub(crate) fn is_acked(&self) -> bool {
        !self.acks.is_empty()
    }
}

/// A copy on its way to the gateway.
pub(crate) struct Copy {
    pub(crate) said: usize,
    pub(crate) arrives: DateTime<Utc>,
}

/// What the outgoing network has seen.
#[derive(Default)]
pub(crate) struct Outgoing {
    /// Rows it took: by id, how the row looked.
    pub(crate) taken: BTreeMap<OutboxId, OutboxRow>,
    /// Rows that it was shown at all.
    pub(crate) shown: BTreeMap<OutboxId, OutboxRow>,
    /// Rows that it refused for good, and said so.
    pub(crate) dead: BTreeSet<OutboxId>,
}

impl Outgoing {
    /// Messages whose answer was delivered or refused for good.
    pub(crate) fn answered(&self) -> BTreeSet<MessageNo> {
        let dead = self.dead.iter().filter_map(|id| self.shown.get(id));
        let rows = self.taken.values().chain(dead);
        rows.filter_map(|row| row.answers).collect()
    }
}

/// A text of a keeper or of a stranger, by a drawn number.
pub(crate) fn text(draw: u32, count: usize) -> String {
    let cage = 1 + draw % scene::CAGES;
    // Each weight of a seed is another one, so that no harvest passes for the repetition of one before it.
    let tenths = 30 + count % 170;
    let weight = format!("{}.{}", tenths / 10, tenths % 10);
    match draw / scene::CAGES % 20 {
        0..8 => format!("C{cage} {weight}"),
        8 | 9 => format!("C{cage} {weight} bait"),
        10 => format!("C{cage} bait"),
        11 => "water all".to_owned(),
        12 => "tasks".to_owned(),
        13 => "undo".to_owned(),
        14 => "stop".to_owned(),
        15 | 16 => "start".to_owned(),
        17 => "yes".to_owned(),
        18 => format!("C{cage} 90{tenths}"),
        _ => "mambo vipi".to_owned(),
    }
}
