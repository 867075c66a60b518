//! The cooperative's own affairs: its permits, what it has promised to deliver, which texts to many are under way.
//!
//! This room does not decide anything.

use crate::domain::compact;
use crate::domain::dossier::Permit;
use crate::units::Grams;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// Eggs promised.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Promise {
    /// Of this ward; empty: of the whole cooperative.
    pub ward: String,
    /// From this day on, until the next promise for the same ward.
    #[serde(with = "compact::day")]
    pub from: FarmDay,
    /// A week; nothing: no promise any more.
    pub weekly: Grams,
}

/// What happened to the cooperative's affairs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum AffairsEvent {
    /// A permit, new or renewed.
    PermitKept(Permit),
    /// A permit is of no interest any more.
    PermitDropped {
        /// Its kind.
        kind: String,
        /// Its number.
        number: String,
    },
    /// Eggs were promised.
    Promised(Promise),
    /// A text to many was planned under this number.
    BroadcastOpened(u32),
    /// It is over.
    BroadcastClosed(u32),
}
