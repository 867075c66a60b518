//! Everything that can have happened, by stream.
//!
//! Events are the record; state is what `apply` makes of them. This room does not decide anything.

use crate::domain::MemberNo;
use crate::domain::message::MessageNo;
use crate::domain::phone::PhoneNumber;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// A stream of events inside one cooperative.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum StreamId {
    /// The cooperative's rules.
    Rules,
    /// One member: name, language, role, phones.
    Member(MemberNo),
    /// One phone: whom it serves.
    Phone(PhoneNumber),
    /// One member's farm.
    Farm(MemberNo),
}

/// One event with who, when and by which message.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Recorded {
    /// The moment it counts for (the message's accepted sending time).
    pub at: DateTime<Utc>,
    /// Who caused it; none for the operator's own commands.
    pub by: Option<MemberNo>,
    /// The message that caused it, where one did.
    pub message: Option<MessageNo>,
    /// What happened.
    pub event: Event,
}

/// What happened, in one stream.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Event {
    // To be filled by the desk's builder: Farm(FarmEvent), Member(MemberEvent), Phone(PhoneEvent), Rules(RulesEvent).
}
