//! The most that a cage can give, when a weight is implausible, and when eggs have hatched in the trap.
//!
//! Hard limits, apart from what is believed of a cage. This room does not know what was harvested before.

use crate::biology::stages::Stage;
use crate::biology::tables::Parameters;
use crate::biology::warmth::Temperatures;
use crate::units::Grams;
use crate::units::Pupae;
use crate::units::day::FarmDay;

/// The most that one harvest may weigh: the life's ceiling, the day's share of it, times the days since the last harvest up to three.
#[must_use]
pub fn ceiling(pupae: Option<Pupae>, days_since: u16, parameters: &Parameters) -> Grams {
    let pupae = pupae.map_or(parameters.unknown_pupae * 4.0, |it| f64::from(it.count()));
    let life = parameters.life_ceiling_g * pupae / 1000.0;
    let days = f64::from(days_since.max(1)).min(parameters.ceiling_days);
    Grams::from_f64(life * (parameters.day_ceiling_share * days).min(1.0)).unwrap_or(Grams::MAX)
}

/// Whether eggs `day` days after stocking come before any fly can have laid, so that they are asked about.
#[must_use]
pub fn before_laying(day: u16, parameters: &Parameters) -> bool {
    f64::from(day) < parameters.earliest_eggs_d
}

/// How far the oldest eggs in a trap emptied last on `last` have grown by the end of `today`, as a share of the egg stage: 1 is hatched.
#[must_use]
pub fn grown_in_trap(
    last: FarmDay,
    today: FarmDay,
    temperatures: &Temperatures,
    parameters: &Parameters,
) -> f64 {
    let days = usize::try_from((today - last).num_days())
        .unwrap_or(0)
        .min(60);
    let gone: f64 = last
        .iter_days()
        .skip(1)
        .take(days)
        .map(|day| Stage::Egg.degree_days(parameters, temperatures.on(day, parameters).0))
        .sum();
    gone / parameters.egg_constant_dd
}

/// Whether eggs laid since `last` have begun to hatch in the trap by the end of `today`: a loss and a warning, not a low yield.
#[must_use]
pub fn hatched_in_trap(
    last: FarmDay,
    today: FarmDay,
    temperatures: &Temperatures,
    parameters: &Parameters,
) -> bool {
    grown_in_trap(last, today, temperatures, parameters) >= 1.0
}
