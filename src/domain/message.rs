//! A message on its way in and the answer on its way out.
//!
//! This room does not know any network's format; links make these values and read them.

use crate::domain::MemberNo;
use crate::domain::phone::PhoneNumber;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A cooperative on this gateway. Every key in the store carries it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct CoopId(pub u16);

/// The name of a configured link, as in `POST /in/{link}`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct LinkName(pub String);

impl fmt::Display for LinkName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// The gateway's own number for a received message: rising, never reused in one data folder.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct MessageNo(pub u64);

/// A text as a link received it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Inbound {
    /// The link it came in by; the answer goes out by it.
    pub link: LinkName,
    /// The network's id of the message, where it has one.
    pub id: Option<String>,
    /// Who sent it.
    pub from: PhoneNumber,
    /// The number it was sent to, as the network wrote it.
    pub to: Option<String>,
    /// The text. Kept as received, never logged.
    pub text: String,
    /// When the phone sent it, as far as the network says and the gateway accepts; the gateway's own time otherwise.
    pub sent_at: DateTime<Utc>,
    /// `sent_at` came from the network.
    pub sent_at_known: bool,
    /// When the gateway received it.
    pub received_at: DateTime<Utc>,
}

/// What became of a message; the words that the outside contract uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Outcome {
    /// A redelivery: answered the same, stored once.
    Duplicate,
    /// Something is held by a question.
    Asked,
    /// Something saved, something not understood.
    Partly,
    /// Nothing understood.
    Unreadable,
    /// Understood, but not possible or not allowed.
    Refused,
    /// Everything recorded.
    Saved,
    /// A question of the member's answered, nothing recorded.
    Answered,
}

impl Outcome {
    /// The word in the outside contract.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Duplicate => "duplicate",
            Self::Asked => "asked",
            Self::Partly => "partly",
            Self::Unreadable => "unreadable",
            Self::Refused => "refused",
            Self::Saved => "saved",
            Self::Answered => "answered",
        }
    }
}

/// A text on its way to a phone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outbound {
    /// To whom.
    pub to: PhoneNumber,
    /// The member it is for, where it is for one.
    pub member: Option<MemberNo>,
    /// The rendered text: one part.
    pub text: String,
}

/// What the counter says of one message, after the flush.
#[derive(Clone, Debug, PartialEq)]
pub struct Receipt {
    /// The gateway's number of the message (of the first copy, for a redelivery).
    pub message: MessageNo,
    /// What became of it.
    pub outcome: Outcome,
    /// The answer; at most one, and none for members who asked for silence.
    pub replies: Vec<Outbound>,
}
