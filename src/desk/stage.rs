//! Where a run stands on a day: waiting for its first eggs, laying, or past its time.
//!
//! The one place that says when first eggs are due. It does not know what anybody did or should do.

use crate::desk::reply::Stage;
use crate::desk::unit::Run;
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;
use chrono::Duration;

/// The day on which a run's first eggs are due.
#[must_use]
pub fn first_eggs(rules: &Rules, run: &Run) -> FarmDay {
    run.stocked + Duration::days(i64::from(rules.first_eggs_days))
}

/// The day by which a run is to be retired.
#[must_use]
pub fn retire_by(rules: &Rules, run: &Run) -> FarmDay {
    run.stocked + Duration::days(i64::from(rules.retire_days))
}

/// Where the run stands. Eggs on record prove that it lays, whatever was expected.
#[must_use]
pub fn stage(rules: &Rules, run: &Run, today: FarmDay) -> Stage {
    let days = u16::try_from(run.age(today).max(0)).unwrap_or(u16::MAX);
    let first_eggs = first_eggs(rules, run);
    if today > retire_by(rules, run) {
        Stage::Spent { days }
    } else if run.total().hundredths() > 0 || today >= first_eggs {
        Stage::Laying { days }
    } else {
        Stage::Waiting { days, first_eggs }
    }
}
