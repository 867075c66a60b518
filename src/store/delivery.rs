//! A text that a network has or may have, what is known of its delivery, and how lists of such texts are read.
//!
//! This room does not know how a network writes a receipt, and changes nothing.

use crate::domain::compact;
use crate::domain::message::{CoopId, LinkName};
use crate::store::keys::{self, Shelf};
use crate::store::outbox::{OutboxId, OutboxRow};
use crate::store::records::{Moment, RowRecord};
use crate::store::{Store, StoreError, codec};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What a delivery receipt says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum DeliveryState {
    /// On its way; another receipt will come.
    OnItsWay,
    /// The phone has it.
    Delivered,
    /// It will never arrive.
    Failed {
        /// The network's word or code, without personal data.
        why: String,
    },
    /// The network gave up in time.
    Expired,
    /// The network does not know, or what happened is not known here.
    Unknown {
        /// What is known, without personal data.
        why: String,
    },
}

impl DeliveryState {
    /// The word for people.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::OnItsWay => "on its way",
            Self::Delivered => "delivered",
            Self::Failed { .. } => "failed",
            Self::Expired => "expired",
            Self::Unknown { .. } => "unknown",
        }
    }

    pub(crate) const fn is_last(&self) -> bool {
        matches!(self, Self::Delivered | Self::Failed { .. } | Self::Expired)
    }
}

/// One id of the network's, and the last word about it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PartSent {
    /// The network's id; ours (`out-N`) where the network's is not known.
    pub id: String,
    /// What its last receipt said, and when that was.
    pub said: Option<(DeliveryState, Moment)>,
}

/// A text that a network has or may have.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SentRecord {
    /// The row. Its text is empty where the network took it: only one in doubt may have to be sent again.
    pub row: OutboxRow,
    /// When it was settled.
    #[serde(with = "compact::moment")]
    pub settled: DateTime<Utc>,
    /// Parts of the whole text.
    pub parts: u16,
    /// By id.
    pub ids: Vec<PartSent>,
    /// Why it is not known whether the network has it; none: the network took it.
    pub doubt: Option<String>,
}

impl SentRecord {
    /// What is known of the whole text: failed where one part failed, delivered where every one is.
    #[must_use]
    pub fn state(&self) -> DeliveryState {
        let said = || self.ids.iter().filter_map(|part| part.said.as_ref());
        let lost = |state: &&DeliveryState| {
            matches!(state, DeliveryState::Failed { .. } | DeliveryState::Expired)
        };
        if let Some(lost) = said().map(|(state, _)| state).find(lost) {
            return lost.clone();
        }
        let whole = self
            .ids
            .iter()
            .all(|part| matches!(part.said, Some((DeliveryState::Delivered, _))));
        if whole && !self.ids.is_empty() {
            return DeliveryState::Delivered;
        }
        if let Some(why) = &self.doubt {
            return DeliveryState::Unknown { why: why.clone() };
        }
        said()
            .map(|(state, _)| state)
            .find(|state| matches!(state, DeliveryState::Unknown { .. }))
            .cloned()
            .unwrap_or(DeliveryState::OnItsWay)
    }
}

/// A receipt that waits for its id.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EarlyRecord {
    /// What it says.
    pub state: DeliveryState,
    /// When that was.
    #[serde(with = "compact::moment")]
    pub at: DateTime<Utc>,
    /// Dropped then.
    #[serde(with = "compact::moment")]
    pub until: DateTime<Utc>,
}

/// What became of a receipt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Matched {
    /// It is this row's.
    Row(OutboxId),
    /// No row has its id yet: it waits for a day.
    Early,
    /// Too many wait already.
    Dropped,
}

impl Store {
    /// Texts that a network has or may have, newest first, while `visit` says to go on.
    ///
    /// # Errors
    /// When the database fails or a record is damaged.
    pub fn sent_back(
        &self,
        coop: CoopId,
        mut visit: impl FnMut(SentRecord) -> bool,
    ) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes().to_vec();
        let end = keys::after(&start);
        for entry in self.range(Shelf::Sent, &start, end.as_deref()).rev() {
            let (key, bytes) = entry?;
            if !visit(codec::unseal(Shelf::Sent, &key, &bytes)?) {
                break;
            }
        }
        Ok(())
    }

    /// One text that a network has or may have.
    ///
    /// # Errors
    /// When the database fails or the record is damaged.
    pub fn sent(&self, id: OutboxId) -> Result<Option<SentRecord>, StoreError> {
        self.get(Shelf::Sent, &keys::outbox(id))
    }

    /// Rows of the outbox, oldest first, while `visit` says to go on.
    ///
    /// # Errors
    /// When the database fails or a record is damaged.
    pub fn rows(
        &self,
        coop: CoopId,
        mut visit: impl FnMut(RowRecord) -> bool,
    ) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes().to_vec();
        let end = keys::after(&start);
        for entry in self.range(Shelf::Outbox, &start, end.as_deref()) {
            let (key, bytes) = entry?;
            if !visit(codec::unseal(Shelf::Outbox, &key, &bytes)?) {
                break;
            }
        }
        Ok(())
    }

    /// Rows of a link that wait to be sent, counted up to `most`.
    ///
    /// # Errors
    /// When the database fails.
    pub fn waiting(&self, link: &LinkName, most: usize) -> Result<usize, StoreError> {
        let start = keys::link(link);
        let end = keys::after(&start);
        let mut waiting = 0;
        for entry in self.range(Shelf::Due, &start, end.as_deref()).take(most) {
            entry?;
            waiting += 1;
        }
        Ok(waiting)
    }
}
