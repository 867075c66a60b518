//! What officers keep on a farm beside its record: visits and calls, what to follow up, how its row on the morning's page stands, its permits.
//!
//! Nothing of it comes from the keeper or changes what is recorded of a cage. This room does not decide anything.

use crate::domain::compact;
use crate::domain::user::Login;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// How an officer was in touch with a farm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Touch {
    /// Was there.
    Visit,
    /// Called.
    Call,
}

/// What is to be followed up, and by when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FollowUp {
    /// By this day.
    #[serde(with = "compact::day")]
    pub by: FarmDay,
    /// What.
    pub what: String,
}

/// A visit or call as noted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitNote {
    /// How.
    pub touch: Touch,
    /// On which day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// Who.
    pub by: Login,
    /// What was seen or heard.
    pub seen: String,
    /// What was done.
    pub done: String,
    /// What is left to do.
    pub follow_up: Option<FollowUp>,
}

/// How somebody dealt with a farm's row on the morning's page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Handled {
    /// Somebody called; the row rests while the keeper sees to it.
    Called,
    /// The trouble is over; the row rests while the figures follow.
    Resolved,
    /// Not now.
    Snoozed,
}

/// A row that rests, and until when.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// Why.
    pub how: Handled,
    /// Back on the page on this day.
    #[serde(with = "compact::day")]
    pub until: FarmDay,
    /// Eggs at stake when it was said, hundredths of a gram.
    pub at_stake: u32,
    /// Who.
    pub by: Login,
}

/// A licence or permit, as its paper says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Permit {
    /// What it allows, in the words of the paper.
    pub kind: String,
    /// Its number.
    pub number: String,
    /// The last day on which it holds.
    #[serde(with = "compact::day")]
    pub valid_until: FarmDay,
}

impl Permit {
    /// Whether it is the same paper: one that is renewed keeps its kind and number.
    #[must_use]
    pub fn is(&self, kind: &str, number: &str) -> bool {
        self.kind == kind && self.number == number
    }
}

/// What happened to a farm's dossier.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum DossierEvent {
    /// A visit or call was noted; what was to be followed up before is done with it.
    Visited(VisitNote),
    /// What was to be followed up is done.
    FollowedUp,
    /// The row rests.
    Marked(Mark),
    /// The row rests no more.
    Unmarked,
    /// A permit, new or renewed.
    PermitKept(Permit),
    /// A permit is of no interest any more.
    PermitDropped {
        /// Its kind.
        kind: String,
        /// Its number.
        number: String,
    },
}
