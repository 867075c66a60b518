//! A normal over ln scale with its weight, as reals while it is computed with and in whole numbers while it is kept.
//!
//! This room does not know what moves a weight.

use serde::{Deserialize, Serialize};

/// Weights below this (ln, against the best) are forgotten: e^-9 moves no quantile.
const FORGET_BELOW: f64 = -9.0;
/// Steps in which modes are kept.
const WEIGHT_STEPS: f64 = 24.0;
const MEAN_STEPS: f64 = 2000.0;
const SD_STEPS: f64 = 50.0;
/// The largest standard deviation of ln scale that is kept: nobody knows less than a factor of four.
const SD_MOST: f64 = 1.5;

/// One grid point's normal over ln scale and its weight, for one of the two states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Mode {
    /// Weight; all weights of a belief sum to 1.
    pub(crate) weight: f64,
    /// Mean of ln scale.
    pub(crate) mean: f64,
    /// Variance of ln scale.
    pub(crate) variance: f64,
}

/// No weight: nobody believes it.
pub(crate) const NOTHING: Mode = Mode {
    weight: 0.0,
    mean: 0.0,
    variance: 1.0,
};

/// A mode in whole numbers: ln weight against the best in steps of 1/24, mean in 1/2000, standard deviation in steps of a fiftieth below 1.5.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Kept {
    /// Which point of the grid.
    pub(crate) point: u8,
    weight: u8,
    mean: i16,
    sd: u8,
}

impl Kept {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    /// None for a mode that is forgotten.
    pub(crate) fn of(point: u8, mode: Mode, best: f64) -> Option<Self> {
        let ln = (mode.weight / best).max(1e-300).ln();
        (ln > FORGET_BELOW).then(|| Self {
            point,
            weight: (-ln * WEIGHT_STEPS).round() as u8,
            mean: (mode.mean * MEAN_STEPS).round().clamp(-32_000.0, 32_000.0) as i16,
            sd: ((SD_MOST / mode.variance.sqrt()).ln() * SD_STEPS)
                .round()
                .clamp(0.0, 255.0) as u8,
        })
    }

    /// As reals.
    pub(crate) fn mode(self) -> Mode {
        let sd = SD_MOST * (-f64::from(self.sd) / SD_STEPS).exp();
        Mode {
            weight: (-f64::from(self.weight) / WEIGHT_STEPS).exp(),
            mean: f64::from(self.mean) / MEAN_STEPS,
            variance: sd * sd,
        }
    }
}

/// The modes of a grid, in good order and in trouble.
pub(crate) type Modes = Vec<[Mode; 2]>;

/// Scales weights to sum 1; returns the ln of what they summed to.
pub(crate) fn normalise(modes: &mut Modes) -> f64 {
    let sum: f64 = modes.iter().flatten().map(|mode| mode.weight).sum();
    if sum > 0.0 {
        for mode in modes.iter_mut().flatten() {
            mode.weight /= sum;
        }
    }
    sum.max(1e-300).ln()
}

/// One normal with the weight, mean and variance of two.
pub(crate) fn merge(a: Mode, b: Mode) -> Mode {
    let weight = a.weight + b.weight;
    if weight <= 0.0 {
        return a;
    }
    let mean = (a.weight * a.mean + b.weight * b.mean) / weight;
    let second = |mode: Mode| mode.weight * (mode.variance + (mode.mean - mean).powi(2));
    Mode {
        weight,
        mean,
        variance: (second(a) + second(b)) / weight,
    }
}

/// The same, less likely by `factor`.
pub(crate) fn scaled(mode: Mode, factor: f64) -> Mode {
    Mode {
        weight: mode.weight * factor,
        ..mode
    }
}
