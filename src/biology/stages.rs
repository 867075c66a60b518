//! How long each stage takes at a temperature: `K / (T - T0)`, and when the air is too hot or too cool for that to hold.
//!
//! Development stops at the stage's lower threshold and runs no faster above the cut-off. This room does not know about cages or eggs by weight.

use crate::biology::degree_days::DayRange;
use crate::biology::degree_days::single_sine;
use crate::biology::tables::Parameters;

/// A stage of development.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Laid to hatched.
    Egg,
    /// Hatched to prepupa, on enriched feed.
    LarvaRich,
    /// Hatched to prepupa, on plain feed or waste.
    LarvaPlain,
    /// Prepupa to pupa.
    Prepupa,
    /// Pupa to fly.
    Pupa,
}

impl Stage {
    /// Lower threshold in °C and thermal constant in degree-days.
    #[must_use]
    pub const fn thermal(self, parameters: &Parameters) -> (f64, f64) {
        match self {
            Self::Egg => (parameters.egg_threshold_c, parameters.egg_constant_dd),
            Self::LarvaRich => (
                parameters.larva_rich_threshold_c,
                parameters.larva_rich_constant_dd,
            ),
            Self::LarvaPlain => (
                parameters.larva_plain_threshold_c,
                parameters.larva_plain_constant_dd,
            ),
            Self::Prepupa => (
                parameters.prepupa_threshold_c,
                parameters.prepupa_constant_dd,
            ),
            Self::Pupa => (parameters.pupa_threshold_c, parameters.pupa_constant_dd),
        }
    }

    /// Days at a constant temperature; `None` where the stage does not develop at all.
    #[must_use]
    pub fn days_at(self, parameters: &Parameters, celsius: f64) -> Option<f64> {
        let (threshold, constant) = self.thermal(parameters);
        let rate = celsius.min(parameters.upper_cutoff_c) - threshold;
        (rate > 0.0).then(|| constant / rate)
    }

    /// This stage's degree-days of one day.
    #[must_use]
    pub fn degree_days(self, parameters: &Parameters, day: DayRange) -> f64 {
        single_sine(day, self.thermal(parameters).0, parameters.upper_cutoff_c)
    }
}

/// Days from egg to fly at a constant temperature, on the feed that `larva` names.
#[must_use]
pub fn egg_to_fly_days(parameters: &Parameters, larva: Stage, celsius: f64) -> Option<f64> {
    [Stage::Egg, larva, Stage::Prepupa, Stage::Pupa]
        .into_iter()
        .map(|stage| stage.days_at(parameters, celsius))
        .sum()
}
