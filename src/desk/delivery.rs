//! A day's eggs as those weighed them who received them, beside the farm's own weights.
//!
//! This room does not know prices.

use crate::domain::compact;
use crate::units::Grams;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// Days with deliveries kept: this month and the last, for the sheet that is paid from.
pub const DELIVERIES_MAX: usize = 62;

/// A day's eggs received.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayDelivery {
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// All of that day, as weighed by those who received them.
    pub grams: Grams,
    /// The farm's own weights for the same eggs, as far as known.
    pub own: Option<Grams>,
}
