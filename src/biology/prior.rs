//! What is expected of a cage before its first harvest: how much, when, how spread, in which shape, how noisy.
//!
//! A prior is carried in the cage's stocking event, so that replay needs nothing else. This room does not know how a prior was learned.

use crate::biology::curve::Timing;
use crate::biology::shape::ShapeWeights;
use crate::biology::shape::kernel;
use crate::biology::shape::{BINS, EMERGENCES, KERNELS};
use crate::biology::tables::Parameters;
use crate::domain::StockKind;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Version of the model that a prior belongs to; a belief made under another version is made anew from the harvests.
pub const MODEL_VERSION: u16 = 2;

/// Numbers of a prior: three means with their standard deviations, the shape, noise, memory, trouble and cages.
const NUMBERS: usize = 6 + EMERGENCES + KERNELS + BINS + 4;

/// A normal distribution.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Mean.
    pub mean: f32,
    /// Standard deviation.
    pub sd: f32,
}

/// What is expected of a cage, and how surely.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prior {
    /// See [`MODEL_VERSION`].
    pub version: u16,
    /// ln of eggs a pupa against the table's.
    pub scale: Spread,
    /// Degree-days by which laying comes later than the table says.
    pub delay: Spread,
    /// ln of the spread of emergence against the table's.
    pub width: Spread,
    /// Shapes of emergence and laying.
    pub shape: ShapeWeights,
    /// Standard deviation of one day's laying, ln.
    pub day_noise: f32,
    /// How far one day's noise goes on to the next, 0 to 1.
    pub noise_memory: f32,
    /// Chance that a spell of trouble starts on a day.
    pub trouble_start: f32,
    /// Finished cages of this kind that it was learned from.
    pub cages: u16,
}

impl Prior {
    /// The table's prior, for a cooperative that has finished no cage yet.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn of_the_table(kind: StockKind, parameters: &Parameters) -> Self {
        let wide = |farm: f64, cage: f64| Spread {
            mean: 0.0,
            sd: farm.hypot(cage) as f32,
        };
        let mut shape = ShapeWeights::only(0, 0);
        shape.kernel = [0.5, 0.2, 0.1, 0.1, 0.1, 0.0];
        shape.emergence = match kind {
            StockKind::OneAge => [0.6, 0.1, 0.2, 0.1],
            StockKind::Mixed => [0.4, 0.4, 0.1, 0.1],
        };
        Self {
            version: MODEL_VERSION,
            scale: wide(parameters.scale_sd_farm, parameters.scale_sd_cage),
            delay: wide(parameters.delay_sd_farm, parameters.delay_sd_cage),
            width: wide(parameters.width_sd_farm, parameters.width_sd_cage),
            shape,
            day_noise: parameters.day_noise as f32,
            noise_memory: 0.3,
            trouble_start: parameters.trouble_start as f32,
            cages: 0,
        }
    }

    /// The prior as a row of numbers, in the order of [`Prior::from_numbers`]: what a stocking event carries.
    #[must_use]
    pub fn numbers(&self) -> Vec<f32> {
        let mut numbers = Vec::with_capacity(NUMBERS);
        for spread in [self.scale, self.delay, self.width] {
            numbers.extend([spread.mean, spread.sd]);
        }
        numbers.extend(self.shape.emergence);
        numbers.extend(self.shape.kernel);
        numbers.extend(self.shape.correction);
        numbers.extend([self.day_noise, self.noise_memory, self.trouble_start]);
        numbers.push(f32::from(self.cages));
        numbers
    }

    /// The prior that [`Prior::numbers`] wrote under this version of the model; none where they are not such numbers.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn from_numbers(numbers: &[f32]) -> Option<Self> {
        let fits = numbers.len() == NUMBERS && numbers.iter().all(|number| number.is_finite());
        let mut rest = numbers.iter().copied();
        let mut next = || rest.next().unwrap_or(0.0);
        let mut spread = || Spread {
            mean: next(),
            sd: next(),
        };
        let (scale, delay, width) = (spread(), spread(), spread());
        let shape = ShapeWeights {
            emergence: std::array::from_fn(|_| next()),
            kernel: std::array::from_fn(|_| next()),
            correction: std::array::from_fn(|_| next()),
        };
        let prior = Self {
            version: MODEL_VERSION,
            scale,
            delay,
            width,
            shape,
            day_noise: next(),
            noise_memory: next(),
            trouble_start: next(),
            cages: next() as u16,
        };
        let sure = [
            prior.scale.sd,
            prior.delay.sd,
            prior.width.sd,
            prior.day_noise,
        ];
        (fits && sure.iter().all(|sd| *sd > 0.0)).then_some(prior)
    }

    /// The same, less sure: of a cage stocked without a number, or where no temperature is known.
    #[must_use]
    pub fn less_sure(mut self, scale_sd: f32, delay_factor: f32) -> Self {
        self.scale.sd = self.scale.sd.hypot(scale_sd);
        self.delay.sd *= delay_factor;
        self
    }
}

/// Standard deviation of emergence by the table, in degree-days.
#[must_use]
pub fn table_spread(kind: StockKind, parameters: &Parameters) -> f64 {
    let cv = match kind {
        StockKind::OneAge => parameters.one_age_cv,
        StockKind::Mixed => parameters.mixed_cv,
    };
    cv * parameters.pupa_constant_dd
}

/// Mean age in days at which each of the library's kernels lays.
static MEAN_AGES: LazyLock<[f64; KERNELS]> = LazyLock::new(|| {
    std::array::from_fn(|which| {
        let ages = kernel(which).into_iter().zip(0_u32..);
        ages.map(|(mass, age)| mass * f64::from(age)).sum()
    })
});

/// Degree-days by which `shape`'s kernel lays later than the default one: a delay is about laying, whatever the kernel.
#[must_use]
pub fn kernel_shift(shape: &ShapeWeights, parameters: &Parameters) -> f64 {
    let weights = shape.kernel.iter().zip(&*MEAN_AGES);
    let mean: f64 = weights.map(|(weight, age)| f64::from(*weight) * age).sum();
    (mean - MEAN_AGES[0]) * (parameters.climate_mean_c - parameters.pupa_threshold_c)
}

/// Timing of emergence for a delay and a width.
#[must_use]
pub fn timing(shift: f64, spread: f64, parameters: &Parameters, delay: f64, width: f64) -> Timing {
    Timing {
        middle: parameters.pupa_constant_dd + delay - shift,
        spread: (spread * width.exp()).max(2.0),
    }
}
