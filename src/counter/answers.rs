//! What the counter answers and how it fails.

use crate::desk::office;
use crate::domain::event::{Consent, DayTemperature, ModelBytes};
use crate::domain::lang::Lang;
use crate::domain::message::{CoopId, MessageNo, Outbound, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use crate::store::outbox::Settled;
use crate::units::Celsius;
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
    /// A file or thread of the folder.
    #[error("{what}: {why}")]
    Folder {
        /// What was tried.
        what: String,
        /// What the system said.
        why: String,
    },
}

/// An operator's command.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum OfficeRequest {
    /// Founds a cooperative.
    Found {
        /// Its number in this folder.
        coop: CoopId,
        /// Name, join code, time zone and the rest.
        rules: Box<Rules>,
    },
    /// Adds a member.
    AddMember {
        /// Cooperative.
        coop: CoopId,
        /// The number; none: the next free one.
        number: Option<MemberNo>,
        /// Name.
        name: String,
        /// Language.
        lang: Lang,
        /// Role.
        role: Role,
        /// Ward.
        ward: Option<String>,
        /// Phones, the first being where they are reached.
        phones: Vec<PhoneNumber>,
    },
    /// Lets a phone speak for a member.
    AddPhone {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Phone.
        phone: PhoneNumber,
    },
    /// Cuts a phone off, at once.
    CutPhone {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Phone.
        phone: PhoneNumber,
    },
    /// Sets a role.
    SetRole {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Role.
        role: Role,
    },
    /// Sets a ward.
    SetWard {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Ward.
        ward: String,
    },
    /// Sets a ward's climate.
    SetClimate {
        /// Cooperative.
        coop: CoopId,
        /// Ward; none: the whole cooperative.
        ward: Option<String>,
        /// Mean lowest and highest air of each month, January first.
        climate: Vec<(Celsius, Celsius)>,
    },
    /// Records readings of a ward's thermometer.
    ReadAir {
        /// Cooperative.
        coop: CoopId,
        /// Ward; none: the whole cooperative.
        ward: Option<String>,
        /// Readings.
        readings: Vec<DayTemperature>,
    },
    /// Replaces what wards know of their finished cages by what was counted from the farms.
    Recount {
        /// Cooperative.
        coop: CoopId,
        /// By ward; the empty name is the whole cooperative.
        lessons: Vec<(String, ModelBytes)>,
    },
    /// Sets a name.
    SetName {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Name.
        name: String,
    },
    /// Sets a language.
    SetLang {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Language.
        lang: Lang,
    },
    /// Sets the hour of reminders.
    SetHour {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Local hour.
        hour: u8,
    },
    /// Ends what is sent to a member, or lets it begin again.
    SetSilence {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// Nothing more is sent.
        stopped: bool,
    },
    /// Answers a member, who pays for replies, with questions and warnings only, or with everything again.
    SetQuestionsOnly {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// No plain confirmations.
        only: bool,
    },
    /// Notes that a member agreed, or withdrew it.
    NoteConsent {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
        /// What and how.
        consent: Consent,
    },
    /// Adds a ward.
    AddWard {
        /// Cooperative.
        coop: CoopId,
        /// Its name.
        ward: String,
    },
    /// Renames a ward.
    RenameWard {
        /// Cooperative.
        coop: CoopId,
        /// Its name.
        old: String,
        /// Its new name.
        new: String,
        /// Who lives there, as far as the caller saw.
        members: Vec<MemberNo>,
    },
    /// Replaces the rules.
    ChangeRules {
        /// Cooperative.
        coop: CoopId,
        /// As the caller saw them; others meanwhile refuse the change.
        from: Box<Rules>,
        /// As they are to be.
        to: Box<Rules>,
    },
    /// Takes a member out of the record for good.
    Erase {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
    },
    /// Ends a PIN that its member no longer knows.
    ClearPin {
        /// Cooperative.
        coop: CoopId,
        /// Member.
        member: MemberNo,
    },
}

impl OfficeRequest {
    /// Whose command it is.
    #[must_use]
    pub const fn coop(&self) -> CoopId {
        match self {
            Self::Found { coop, .. }
            | Self::AddMember { coop, .. }
            | Self::AddPhone { coop, .. }
            | Self::CutPhone { coop, .. }
            | Self::SetRole { coop, .. }
            | Self::SetWard { coop, .. }
            | Self::SetClimate { coop, .. }
            | Self::ReadAir { coop, .. }
            | Self::Recount { coop, .. }
            | Self::SetHour { coop, .. }
            | Self::SetSilence { coop, .. }
            | Self::SetQuestionsOnly { coop, .. }
            | Self::NoteConsent { coop, .. }
            | Self::AddWard { coop, .. }
            | Self::RenameWard { coop, .. }
            | Self::ChangeRules { coop, .. }
            | Self::SetName { coop, .. }
            | Self::SetLang { coop, .. }
            | Self::Erase { coop, .. }
            | Self::ClearPin { coop, .. } => *coop,
        }
    }
}

/// What an operator is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OfficeAnswer {
    /// Done.
    Done,
    /// The member has this number.
    Member(MemberNo),
}

/// Why an operator's command was not done.
#[derive(Debug, thiserror::Error)]
pub enum OfficeError {
    /// The desk refused it.
    #[error(transparent)]
    Refused(#[from] office::OfficeError),
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
    /// Who sent it.
    pub from: PhoneNumber,
    /// Who spoke, where that was known.
    pub member: Option<MemberNo>,
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
    /// Rows that a network may have.
    pub unknown: u64,
    /// Reminders made.
    pub reminders: u64,
    /// Failures of the store.
    pub store_failures: u64,
    /// The last commit failed: nothing is taken until one succeeds.
    pub failing: bool,
}

impl Counts {
    /// One message more.
    pub(crate) fn outcome(&mut self, outcome: Outcome) {
        *self.outcomes.entry(outcome.word().to_owned()).or_default() += 1;
    }

    /// One outbox row less.
    pub(crate) fn settle(&mut self, how: &Settled) {
        match how {
            Settled::Sent { .. } => self.sent += 1,
            Settled::Unknown { .. } => self.unknown += 1,
            Settled::Dead { .. } => self.dead += 1,
            Settled::Expired => self.expired += 1,
            Settled::Retry { .. } | Settled::RetryHere { .. } => {}
        }
    }

    /// What a batch gained.
    pub(crate) fn add(&mut self, gained: &Self) {
        for (word, count) in &gained.outcomes {
            *self.outcomes.entry(word.clone()).or_default() += count;
        }
        self.sent += gained.sent;
        self.dead += gained.dead;
        self.expired += gained.expired;
        self.unknown += gained.unknown;
        self.commits += gained.commits;
        self.reminders += gained.reminders;
    }
}
