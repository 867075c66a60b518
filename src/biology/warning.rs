//! When a run of harvests is so poor that the keeper is told.
//!
//! The belief weighs trouble against good order after every line; a warning is due where trouble is the likelier and something is at stake.
//! This room does not know what to check first; the farm's own records of care say that.

use crate::biology::belief::Surprise;
use crate::biology::tables::Parameters;
use crate::units::day::FarmDay;

/// Harvests that are looked at together: the third of a spell is to be warned of at the latest.
const RUN_LENGTH: usize = 3;
/// Least grams expected of the run for which a warning is worth a message.
const WORTH_G: f64 = 0.6;
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
///
/// Two signs count: trouble has become likely enough, or the last harvests were so improbable one by one, in a cage in good order,
/// that together (Fisher's method) they would come about by chance less often than the table's false-alarm rate.
#[must_use]
pub fn low_yield(run: &[Seen], parameters: &Parameters) -> Vec<LowYield> {
    run.iter()
        .enumerate()
        .filter(|(at, (_, grams, it))| {
            let recent = run
                .get((*at + 1).saturating_sub(RUN_LENGTH)..=*at)
                .unwrap_or_default();
            let stake: f64 = recent.iter().map(|(_, _, it)| it.expected).sum();
            let tails: Vec<f64> = recent.iter().rev().map(|(_, _, it)| it.tail).collect();
            let improbable = (1..=tails.len())
                .filter_map(|length| tails.get(..length))
                .any(|latest| together(latest) < parameters.warning_chance);
            stake >= WORTH_G
                && *grams < POOR_SHARE * it.expected
                && (it.trouble >= parameters.warning_odds || improbable)
        })
        .map(|(_, (day, grams, it))| LowYield {
            day: *day,
            grams: *grams,
            expected: it.expected,
            trouble: it.trouble,
        })
        .collect()
}

/// Chance that independent tails are together as small as these: survival function of chi-square with twice as many degrees of freedom.
#[must_use]
pub fn together(tails: &[f64]) -> f64 {
    let half: f64 = tails.iter().map(|tail| -tail.clamp(1e-12, 1.0).ln()).sum();
    let (mut term, mut sum) = (1.0, 1.0);
    for k in (1_u32..).take(tails.len().saturating_sub(1)) {
        term *= half / f64::from(k);
        sum += term;
    }
    (-half).exp() * sum
}
