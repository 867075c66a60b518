//! That somebody agreed to be sent texts and to have records kept.
//!
//! This room does not know who asked, or what follows.

use crate::domain::compact;
use crate::domain::user::Login;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// That a member agreed, or withdrew it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Consent {
    /// Agreed; else withdrew.
    pub given: bool,
    /// How it was said.
    pub how: ConsentHow,
    /// On which day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// Who noted it.
    pub by: Login,
}

/// How consent was given or withdrawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ConsentHow {
    /// On paper, signed.
    Signed,
    /// By word of mouth.
    Spoken,
    /// By a call.
    Called,
}
