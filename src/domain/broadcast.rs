//! One text to many members: to whom, when, and how far it has come.
//!
//! This room does not know how anybody is reached.

use crate::domain::MemberNo;
use crate::domain::compact;
use crate::domain::lang::Lang;
use crate::domain::user::Login;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Whom a text is for; every condition has to hold.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Audience {
    /// Members of these wards; none: of all, and those without one.
    pub wards: Vec<String>,
    /// Who speak this language.
    pub lang: Option<Lang>,
    /// Of whom nothing was heard for so many days.
    pub silent_days: Option<u16>,
    /// With cages that lay.
    pub laying: bool,
}

/// A text to many as it was planned.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BroadcastPlan {
    /// The text.
    pub text: String,
    /// For whom.
    pub audience: Audience,
    /// Not before.
    #[serde(with = "compact::moment")]
    pub due: DateTime<Utc>,
    /// Who planned it.
    pub by: Login,
    /// To so many people, as counted when it was planned.
    pub people: u32,
}

/// Texts of one turn.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BroadcastTurn {
    /// Members up to this number have been looked at.
    pub past: MemberNo,
    /// The rows of the outbox that were made, by number.
    pub rows: Vec<u64>,
    /// Members of the audience who were left out: they want no texts, or have no phone.
    pub left_out: u32,
}

/// What happened to a text to many.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum BroadcastEvent {
    /// Planned.
    Planned(BroadcastPlan),
    /// Some texts went into the outbox.
    Went(BroadcastTurn),
    /// Every member has been looked at.
    Finished,
    /// A user stopped it; so many texts were taken back out of the outbox.
    Stopped {
        /// Who.
        by: Login,
        /// How many no network had yet.
        taken_back: u32,
    },
    /// These rows have left the outbox: sent, refused or too old.
    Left(Vec<u64>),
}
