//! When a run of harvests is so poor that the keeper is told.
//!
//! The belief weighs trouble against good order after every line; a warning is due where trouble is the likelier and something is at stake.
//! This room does not know what to check first; the farm's own records of care say that.

use crate::biology::belief::Surprise;
use crate::biology::tables::Parameters;
use crate::units::day::FarmDay;

/// Least grams expected of a harvest for which a warning is worth a message.
const WORTH_G: f64 = 0.3;
/// A harvest above this share of what was expected is never warned of.
const POOR_SHARE: f64 = 0.75;

/// A harvest as it was learned: day, grams, and how it compared.
pub type Seen = (FarmDay, f64, Surprise);

/// A harvest that was worth a warning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowYield {
    /// The harvest's day.
    pub day: FarmDay,
    /// Grams taken.
    pub grams: f64,
    /// Grams expected.
    pub expected: f64,
    /// Chance that something is wrong, 0 to 1.
    pub trouble: f64,
}

/// The harvests of a run, in order, that were worth a warning.
#[must_use]
pub fn low_yield(run: &[Seen], parameters: &Parameters) -> Vec<LowYield> {
    run.iter()
        .filter(|(_, grams, it)| {
            it.trouble >= parameters.warning_odds
                && it.expected >= WORTH_G
                && *grams < POOR_SHARE * it.expected
        })
        .map(|(day, grams, it)| LowYield {
            day: *day,
            grams: *grams,
            expected: it.expected,
            trouble: it.trouble,
        })
        .collect()
}
