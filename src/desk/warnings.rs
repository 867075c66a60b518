//! Not built yet.

use crate::desk::farm::Farm;
use crate::desk::reply::Warning;
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;

/// What may harm a farm.
#[must_use]
pub fn standing(rules: &Rules, farm: &Farm, today: FarmDay) -> Vec<Warning> {
    let _ = (rules, farm, today);
    Vec::new()
}
