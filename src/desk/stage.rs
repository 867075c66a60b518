//! Where a run stands on a day: waiting for its first eggs, laying, or past its time.
//!
//! When first eggs are due and when a run is over comes from the sums. This room does not know what anybody did or should do.

use crate::desk::forecast::Sums;
use crate::desk::reply::Stage;
use crate::desk::unit::Run;
use crate::units::day::FarmDay;

/// Where the run stands. Eggs on record prove that it lays, whatever was expected.
#[must_use]
pub fn stage(sums: &Sums, run: &Run, today: FarmDay) -> Stage {
    let days = u16::try_from(run.age(today).max(0)).unwrap_or(u16::MAX);
    if today > sums.retire_by(run) {
        return Stage::Spent { days };
    }
    if run.total().hundredths() > 0 {
        return Stage::Laying { days };
    }
    let first_eggs = sums.first_eggs(run);
    if today >= first_eggs {
        Stage::Laying { days }
    } else {
        Stage::Waiting { days, first_eggs }
    }
}
