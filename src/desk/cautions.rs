//! What was done that may harm whoever did it.
//!
//! This room looks at what was recorded; it words nothing.

use crate::desk::farm::Farm;
use crate::desk::reply::{Fragment, Saved, SavedNote, SavedWhat, Warning};
use crate::domain::CareJob;

/// The caution that what was recorded calls for, if any: one is read, two are not.
pub(crate) fn caution(fragments: &[Fragment], farm: &Farm) -> Option<Fragment> {
    if raises_dust(fragments) {
        Some(Fragment::Dust)
    } else {
        handles_waste(fragments, farm).then_some(Fragment::BaitCare)
    }
}

/// Whether dead flies or a cage were swept out: dust makes a quarter of those who rear insects sneeze or wheeze (NIOSH, MMWR 1984;33(31)).
/// Not where a warning says so already.
fn raises_dust(fragments: &[Fragment]) -> bool {
    let told = |fragment: &Fragment| matches!(fragment, Fragment::Warning(Warning::ManyDead(_)));
    let dusty = |fragment: &Fragment| match fragment {
        Fragment::Saved(saved) if saved.note != SavedNote::TakenBack => match &saved.what {
            SavedWhat::Care(jobs) => jobs.contains(&CareJob::Swept),
            SavedWhat::Dead(_) | SavedWhat::Retire => true,
            _ => false,
        },
        _ => false,
    };
    !fragments.iter().any(told) && fragments.iter().any(dusty)
}

/// Days from stocking in which a keeper who sets bait is reminded of gloves: a new cage's first bait, without saying it at every later one.
const BAIT_CAUTION_DAYS: i64 = 14;

/// Whether rotting bait was handled for a cage that is new: gloves, no meat waste, washed hands (common practice, no source).
fn handles_waste(fragments: &[Fragment], farm: &Farm) -> bool {
    let new = |saved: &Saved| {
        let run = saved
            .unit
            .and_then(|code| farm.unit(code)?.running.as_ref());
        run.is_some_and(|run| (0..=BAIT_CAUTION_DAYS).contains(&run.age(saved.day)))
    };
    fragments.iter().any(|fragment| match fragment {
        Fragment::Saved(saved) => match &saved.what {
            SavedWhat::Care(jobs) => jobs.contains(&CareJob::Bait) && new(saved),
            _ => false,
        },
        _ => false,
    })
}
