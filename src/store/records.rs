//! The shapes of what is kept, the same in the store's binary form and in exports.
//!
//! Fields are only ever added with a new record version. This room does not know keys.

use crate::desk::streams::StreamState;
use crate::domain::MemberNo;
use crate::domain::compact;
use crate::domain::event::StreamId;
use crate::domain::message::{Inbound, LinkName, Outbound, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::menu::Session;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// A phone number as an integer in binary forms, in full in text forms.
mod digits {
    use crate::domain::phone::PhoneNumber;
    use crate::store::keys::{phone_digits, phone_of};
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub(super) fn serialize<S: Serializer>(phone: &PhoneNumber, to: S) -> Result<S::Ok, S::Error> {
        if to.is_human_readable() {
            phone.serialize(to)
        } else {
            phone_digits(phone).serialize(to)
        }
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<PhoneNumber, D::Error> {
        let read = if from.is_human_readable() {
            PhoneNumber::new(&String::deserialize(from)?)
        } else {
            phone_of(u64::deserialize(from)?)
        };
        read.ok_or_else(|| serde::de::Error::custom("a phone number such as +255700000101"))
    }
}

/// A moment inside an `Option`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Moment(#[serde(with = "compact::moment")] pub DateTime<Utc>);

/// A stream's state as kept: a snapshot that replaying its events gives again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stream {
    /// How many events made it.
    pub version: u32,
    /// When the farm wakes up next; none for other streams.
    pub wake: Option<Moment>,
    /// The latest accepted sending time of a message that changed it.
    pub heard: Option<Moment>,
    /// What the events made.
    pub state: StreamState,
}

impl Stream {
    /// A stream without events.
    #[must_use]
    pub fn empty(id: &StreamId) -> Self {
        Self {
            version: 0,
            wake: None,
            heard: None,
            state: StreamState::empty(id),
        }
    }
}

/// A message as received, with everything that came of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MessageRecord {
    /// The link it came in by.
    pub link: LinkName,
    /// The network's id.
    pub id: Option<String>,
    /// The sender.
    #[serde(with = "digits")]
    pub from: PhoneNumber,
    /// The number it was sent to.
    pub to: Option<String>,
    /// As received.
    pub text: String,
    /// The moment it counts for.
    #[serde(with = "compact::moment")]
    pub sent_at: DateTime<Utc>,
    /// That moment came from the network.
    pub sent_at_known: bool,
    /// When the gateway received it.
    #[serde(with = "compact::moment")]
    pub received_at: DateTime<Utc>,
    /// Who spoke, where that was known.
    pub member: Option<MemberNo>,
    /// What became of it.
    pub outcome: Outcome,
    /// The same text again within ten minutes is a redelivery.
    pub covers_repeats: bool,
    /// What was answered.
    pub replies: Vec<ReplyRecord>,
    /// The events it caused: per stream the first version and how many.
    pub touched: Vec<Touched>,
}

/// An answer as kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReplyRecord {
    /// To whom.
    #[serde(with = "digits")]
    pub to: PhoneNumber,
    /// The member it is for.
    pub member: Option<MemberNo>,
    /// The text.
    pub text: String,
}

/// A run of events in one stream.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Touched {
    /// The stream.
    pub stream: StreamId,
    /// The version that the first of them made.
    pub first: u32,
    /// How many.
    pub events: u32,
}

impl MessageRecord {
    /// The message again, as the link gave it.
    #[must_use]
    pub fn inbound(&self) -> Inbound {
        Inbound {
            link: self.link.clone(),
            id: self.id.clone(),
            from: self.from.clone(),
            to: self.to.clone(),
            text: self.text.clone(),
            sent_at: self.sent_at,
            sent_at_known: self.sent_at_known,
            received_at: self.received_at,
        }
    }

    /// The answers, as they went out.
    #[must_use]
    pub fn outbounds(&self) -> Vec<Outbound> {
        self.replies
            .iter()
            .map(|reply| Outbound {
                to: reply.to.clone(),
                member: reply.member,
                text: reply.text.clone(),
            })
            .collect()
    }
}

/// The phone and link by which a member was last heard: reminders go there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Route {
    /// The link.
    pub link: LinkName,
    /// The phone.
    #[serde(with = "digits")]
    pub phone: PhoneNumber,
}

/// An outbox row as kept; its number and due key hold the rest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RowRecord {
    /// The commit that made it.
    pub step: u64,
    /// The row.
    pub row: crate::store::outbox::OutboxRow,
    /// Refused for good, and why; it is not in the due order any more.
    pub dead: Option<String>,
}

/// The next numbers, and the form of the folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Numbers {
    /// The next commit position and message number.
    pub step: u64,
    /// The next outbox row.
    pub row: u64,
}

impl Numbers {
    /// Of an empty folder.
    pub const FIRST: Self = Self { step: 1, row: 1 };
}

/// A phone's USSD session as it is kept between two steps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SessionRecord {
    /// The link.
    pub link: LinkName,
    /// The network's id; empty once the network has ended it.
    pub session: String,
    /// When the last step came, by the clock that governs days.
    pub at: Moment,
    /// When it came, by a clock that runs.
    pub arrived: Moment,
    /// Steps of the path that have been taken, where the network sends the whole path.
    pub path: u16,
    /// Steps taken in all: part of the id of what is said.
    pub steps: u32,
    /// The last step typed.
    pub typed: String,
    /// It typed a value or said something: the same again at once is the network's doing.
    pub weighty: bool,
    /// The screen that answered it.
    pub screen: String,
    /// Where the menu stands.
    pub state: Session,
}
