//! A farm's own yield from the totals of its finished runs: all that is known of runs that ended before lessons were kept.
//!
//! This room does not know harvests of single days.

use crate::biology::prior::Spread;
use crate::biology::tables::Parameters;
use crate::desk::farm::Farm;
use crate::desk::unit::Unit;
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// Runs shorter than this say nothing about a cage's yield.
pub(crate) const LESSON_DAYS: i64 = 21;
/// Finished runs that a farm's own yield is learned from.
const LESSONS_MAX: usize = 24;

/// The farm's own yield, from the totals of its finished runs: mean and standard deviation of ln eggs a pupa against the table's; none for a
/// farm that has finished no run. Partial pooling of normal means (Gelman et al. 2013, Bayesian Data Analysis, ch. 2.5).
pub(crate) fn own_yield(farm: &Farm, parameters: &Parameters) -> Option<Spread> {
    let mut lessons: Vec<(FarmDay, f64)> = farm
        .units
        .iter()
        .flat_map(ended)
        .filter_map(|(stocked, retired, pupae, grams)| {
            let table = f64::from(pupae?.count()) * parameters.grams_per_pupa();
            let long = retired.signed_duration_since(stocked).num_days() >= LESSON_DAYS;
            (long && grams > Grams::ZERO && table > 0.0)
                .then(|| (retired, (grams.as_f64() / table).ln()))
        })
        .collect();
    if lessons.is_empty() {
        return None;
    }
    lessons.sort_by_key(|(retired, _)| std::cmp::Reverse(*retired));
    lessons.truncate(LESSONS_MAX);
    let count = f64::from(u32::try_from(lessons.len()).ok()?);
    let cage = parameters.scale_sd_cage.powi(2);
    let variance = 1.0 / (1.0 / parameters.scale_sd_farm.powi(2) + count / cage);
    let sum: f64 = lessons.iter().map(|(_, ln)| ln).sum();
    Some(Spread {
        mean: (variance * sum / cage) as f32,
        sd: (variance + cage).sqrt() as f32,
    })
}

type Ended = (FarmDay, FarmDay, Option<Pupae>, Grams);

fn ended(unit: &Unit) -> impl Iterator<Item = Ended> {
    let last = unit.last.iter().filter_map(|run| {
        let retired = run.retired?;
        Some((run.stocked, retired, run.pupae, run.total()))
    });
    let earlier = unit.finished.iter();
    last.chain(earlier.map(|run| (run.stocked, run.retired, run.pupae, run.grams)))
}
