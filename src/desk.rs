//! Where a reading meets a farm: `decide` judges what was said and answers it; `tick` decides what a farm is reminded of.
//!
//! Pure: the farm, the rules and the time are arguments, events and replies come back. The desk does not know how messages arrive, what bytes
//! anything is kept in, or that other farms exist.

pub mod reply;

use crate::desk::reply::Reply;
use crate::domain::MemberNo;
use crate::domain::event::{Event, StreamId};
use crate::domain::message::Outcome;

/// What the desk decided about one message or one tick.
#[derive(Clone, Debug, PartialEq)]
pub struct Decision {
    /// What became of the message.
    pub outcome: Outcome,
    /// Facts were recorded or held: the same text again within ten minutes is a redelivery even under another id.
    pub covers_repeats: bool,
    /// Events for named streams, in order.
    pub changes: Vec<(StreamId, Event)>,
    /// The answer to the sender; none where silence was asked for.
    pub reply: Option<Reply>,
    /// Notices to other members concerned (the keeper for whom an officer entered).
    pub notices: Vec<(MemberNo, Reply)>,
}
