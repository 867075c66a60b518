//! What one message, tick or command changes: one entry of a commit.
//!
//! A step names the version of every stream it was decided on. This room holds shapes only.

use crate::domain::event::{Recorded, StreamId};
use crate::domain::message::{CoopId, LinkName, MessageNo, Outbound};
use crate::store::outbox::Urgency;
use crate::store::records::MessageRecord;
use chrono::{DateTime, Utc};

/// One step.
#[derive(Clone, Debug)]
pub struct Step {
    /// The cooperative.
    pub coop: CoopId,
    /// The message, where one caused it; its `touched` is filled in by the draft.
    pub received: Option<MessageRecord>,
    /// The accepted sending time of that message.
    pub heard: Option<DateTime<Utc>>,
    /// Events by stream; each stream at most once.
    pub changes: Vec<Change>,
    /// Texts that go out later.
    pub outgoing: Vec<Outgoing>,
}

/// Events of one stream.
#[derive(Clone, Debug)]
pub struct Change {
    /// The stream.
    pub stream: StreamId,
    /// The version it was decided on.
    pub expected: u32,
    /// In order.
    pub events: Vec<Recorded>,
}

/// A text that goes out later.
#[derive(Clone, Debug)]
pub struct Outgoing {
    /// By which link.
    pub link: LinkName,
    /// How urgent.
    pub urgency: Urgency,
    /// To whom and what.
    pub outbound: Outbound,
    /// The message that it answers.
    pub answers: Option<MessageNo>,
    /// Not before.
    pub due: DateTime<Utc>,
    /// Worthless from then on.
    pub expires: DateTime<Utc>,
}
