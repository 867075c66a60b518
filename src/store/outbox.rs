//! Texts that wait to be sent: due rows are leased to a link's driver, and settled when the network has spoken.
//!
//! A lease is an expiry, not a lock: a driver that dies leaves its rows due again. This room does not know how anything is sent.

use crate::domain::message::CoopId;
use crate::domain::message::LinkName;
use crate::domain::message::MessageNo;
use crate::domain::message::Outbound;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// The number of an outbox row: rising, never reused in one data folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct OutboxId(pub u64);

/// What a row is, and with it how urgent: lower leaves first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Urgency {
    /// The answer to a message: somebody waits for it.
    Answer,
    /// A notice to another member concerned.
    Notice,
    /// A reminder; worthless by the evening.
    Reminder,
}

/// One text on its way out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OutboxRow {
    /// Its number; the network sees it as our reference, so that a repeated sending can be told.
    pub id: OutboxId,
    /// The cooperative that sends.
    pub coop: CoopId,
    /// The link that it leaves by.
    pub link: LinkName,
    /// What it is.
    pub urgency: Urgency,
    /// To whom and what.
    pub outbound: Outbound,
    /// The message that it answers, where it answers one.
    pub answers: Option<MessageNo>,
    /// Not before this moment. A leased row is due again when its lease ends.
    pub due: DateTime<Utc>,
    /// Worthless from this moment: never leased again.
    pub expires: DateTime<Utc>,
    /// How often it was leased before this lease.
    pub attempts: u16,
    /// Who leased it last.
    pub owner: Option<String>,
}

/// How a leased row ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Settled {
    /// The network took it.
    Sent,
    /// Not now; try again at this moment.
    Retry {
        /// Not before.
        at: DateTime<Utc>,
    },
    /// Never: refused for good. Kept for a person to see.
    Dead {
        /// Why, in the network's words, without personal data.
        why: String,
    },
    /// Too late to be of use.
    Expired,
}
