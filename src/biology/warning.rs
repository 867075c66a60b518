//! When a run of harvests is so poor that the keeper is told.
//!
//! The belief weighs trouble against good order after every line; a warning is due where trouble is likely enough and something is at stake.
//! This room does not know what to check first; the farm's own records of care say that.

use crate::biology::belief::Surprise;
use crate::biology::tables::Parameters;
use crate::units::day::FarmDay;

/// Harvests that are looked at together: the third of a spell is to be warned of at the latest.
pub(crate) const RUN_LENGTH: usize = 3;
/// Least grams expected of the run for which a warning is worth a message.
const WORTH_G: f64 = 0.6;
/// A harvest above this share of what was expected is never warned of.
const POOR_SHARE: f64 = 0.75;

/// Where trouble is only likely, the harvest itself must be among the lowest fifth that good order gives.
const LOW_TAIL: f64 = 0.2;

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

/// The harvests of a run, in order, that were worth a warning; `memory` is the prior's `noise_memory`.
///
/// Two signs count: trouble has become likely enough, or the last harvests were so improbable one by one, in a cage in good order,
/// that together (Fisher's method) they would come about by chance less often than the table's false-alarm rate.
#[must_use]
pub fn low_yield(run: &[Seen], memory: f64, parameters: &Parameters) -> Vec<LowYield> {
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
                .any(|latest| together(latest, memory) < parameters.warning_chance);
            stake >= WORTH_G
                && *grams < POOR_SHARE * it.expected
                && (improbable || (it.trouble >= parameters.warning_odds && it.tail < LOW_TAIL))
        })
        .map(|(_, (day, grams, it))| LowYield {
            day: *day,
            grams: *grams,
            expected: it.expected,
            trouble: it.trouble,
        })
        .collect()
}

/// Chance that tails are together as small as these: Fisher's method, the survival function of chi-square with twice as many degrees of freedom.
///
/// Where one day's noise goes on to the next (`memory` above 0) the tails are not independent: what they show beyond their mean
/// is shrunk by how much more a sum of `n` such days scatters, `1 + 2 memory (n - 1) / n`.
#[must_use]
pub fn together(tails: &[f64], memory: f64) -> f64 {
    let count = f64::from(u32::try_from(tails.len().max(1)).unwrap_or(1));
    let shown: f64 = tails.iter().map(|tail| -tail.clamp(1e-12, 1.0).ln()).sum();
    let scatter = (1.0 + 2.0 * memory * (count - 1.0) / count).sqrt();
    let half = (count + (shown - count) / scatter).max(0.0);
    let (mut term, mut sum) = (1.0, 1.0);
    for k in (1_u32..).take(tails.len().saturating_sub(1)) {
        term *= half / f64::from(k);
        sum += term;
    }
    (-half).exp() * sum
}
