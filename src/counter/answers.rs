//! What the counter answers and how it fails.

use crate::domain::message::{MessageNo, Outbound, Outcome};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Why a message was not taken. It is not stored; the network may send it again.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TakeError {
    /// The queue is full.
    #[error("too many messages wait; try again in {retry_after_s} s")]
    Busy {
        /// Seconds after which to try again.
        retry_after_s: u32,
    },
    /// This number sends more than is allowed.
    #[error("this number sends too many messages; try again in {retry_after_s} s")]
    Flooded {
        /// Seconds after which to try again.
        retry_after_s: u32,
    },
    /// The gateway is shutting down.
    #[error("the gateway is shutting down; send it again later")]
    Closing,
    /// The store failed; nothing of the message was kept.
    #[error("the store failed: {0}")]
    Store(String),
}

/// Why the counter could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum CounterError {
    /// Another process has the folder.
    #[error("{0} is in use by another process; stop it, or let this command go through it")]
    InUse(String),
    /// The store failed.
    #[error("the store failed: {0}")]
    Store(String),
    /// The writer has ended.
    #[error("the gateway is shutting down")]
    Closing,
    /// Not built yet.
    #[error("not built yet")]
    NotYet,
}

/// An operator's command.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum OfficeRequest {}

/// What an operator is told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum OfficeAnswer {}

/// Why an operator's command was not done.
#[derive(Debug, thiserror::Error)]
pub enum OfficeError {
    /// The counter could not do it.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

/// A message as it was taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MessageRow {
    /// Its number.
    pub message: MessageNo,
    /// The moment it counts for.
    pub sent_at: DateTime<Utc>,
    /// When the gateway received it.
    pub received_at: DateTime<Utc>,
    /// As received.
    pub text: String,
    /// What became of it.
    pub outcome: Outcome,
    /// What was answered.
    pub replies: Vec<Outbound>,
}

/// Counts since opening.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counts {
    /// Messages by outcome word.
    pub outcomes: BTreeMap<String, u64>,
    /// Messages refused because the queue was full.
    pub busy: u64,
    /// Messages refused by the flood limit.
    pub flooded: u64,
    /// Commits.
    pub commits: u64,
    /// Messages waiting in the queue now.
    pub waiting: u64,
    /// Outbox rows sent, dead and expired.
    pub sent: u64,
    /// See `sent`.
    pub dead: u64,
    /// See `sent`.
    pub expired: u64,
    /// Reminders made.
    pub reminders: u64,
    /// Failures of the store.
    pub store_failures: u64,
}
