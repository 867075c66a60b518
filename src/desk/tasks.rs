//! Not built yet.

use crate::desk::farm::Farm;
use crate::desk::reply::Task;
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;

/// What is due at a farm.
#[must_use]
pub fn due(rules: &Rules, farm: &Farm, today: FarmDay) -> Vec<Task> {
    let _ = (rules, farm, today);
    Vec::new()
}
