//! What was done that may harm whoever did it.
//!
//! This room looks at what was recorded; it words nothing.

use crate::desk::reply::{Fragment, SavedNote, SavedWhat, Warning};
use crate::domain::CareJob;

/// Whether dead flies or a cage were swept out: dust makes a quarter of those who rear insects sneeze or wheeze (NIOSH, MMWR 1984;33(31)).
/// Not where a warning says so already.
pub(crate) fn raises_dust(fragments: &[Fragment]) -> bool {
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
