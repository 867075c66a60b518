//! The normal and log-normal distributions: density, distribution function, quantile.
//!
//! Written out here so that the same bits come out on every machine of one build; checked against a reference library in `tests/reference`.
//! This room does not know what is being measured.

use std::f64::consts::{PI, SQRT_2};
use std::sync::LazyLock;

/// ln(sqrt(2 pi)).
pub const LN_SQRT_2PI: f64 = 0.918_938_533_204_672_7;

/// Complementary error function. Series below 2.5, continued fraction above (Abramowitz & Stegun 7.1.6 and 7.1.14); about 1e-13 relative.
fn erfc(x: f64) -> f64 {
    if x < 0.0 {
        return 2.0 - erfc(-x);
    }
    let square = x * x;
    if x < 2.5 {
        let (mut term, mut sum, mut k) = (x, x, 0.0);
        while term > sum * 1e-17 && k < 200.0 {
            k += 1.0;
            term *= 2.0 * square / (2.0 * k + 1.0);
            sum += term;
        }
        return 1.0 - 2.0 / PI.sqrt() * (-square).exp() * sum;
    }
    let mut fraction = x;
    for k in (1..=60).rev() {
        fraction = x + f64::from(k) / 2.0 / fraction;
    }
    (-square).exp() / (PI.sqrt() * fraction)
}

/// Chance that a standard normal is below `z`.
#[must_use]
pub fn cdf(z: f64) -> f64 {
    0.5 * erfc(-z / SQRT_2)
}

/// A quicker [`cdf`] that keeps its relative accuracy in the tails; within 7.5e-8 (Abramowitz & Stegun 26.2.17).
#[must_use]
pub fn cdf_quick(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let polynomial = t
        * (0.319_381_530
            + t * (-0.356_563_782
                + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = (-0.5 * z * z - LN_SQRT_2PI).exp() * polynomial;
    if z > 0.0 { 1.0 - tail } else { tail }
}

/// Knots of the table for each standard deviation, and how many standard deviations it covers on each side.
const KNOTS_PER_SD: f64 = 32.0;
const COVERED_SD: f64 = 8.0;
const KNOTS: usize = 513;

/// The distribution function and, per step of the table, its slope.
static TABLE: LazyLock<[(f64, f64); KNOTS]> = LazyLock::new(|| {
    let mut z = -COVERED_SD - 1.0 / KNOTS_PER_SD;
    std::array::from_fn(|_| {
        z += 1.0 / KNOTS_PER_SD;
        (cdf(z), density(z, 1.0) / KNOTS_PER_SD)
    })
});

/// Distribution function and density, from a table by cubics with the right slopes: within 5e-9 and 1e-6, for mixtures of hundreds of parts.
pub struct Tabled(&'static [(f64, f64); KNOTS]);

impl Tabled {
    /// Makes the table ready.
    #[must_use]
    pub fn ready() -> Self {
        Self(&TABLE)
    }

    /// At `z`; 0 or 1 and no density beyond eight standard deviations.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn at(&self, z: f64) -> (f64, f64) {
        let at = (z + COVERED_SD) * KNOTS_PER_SD;
        if at < 0.0 {
            return (0.0, 0.0);
        }
        let whole = at as u32;
        let knot = whole as usize;
        let (Some((a, rise)), Some((b, end))) = (self.0.get(knot), self.0.get(knot + 1)) else {
            return (1.0, 0.0);
        };
        let x = at - f64::from(whole);
        let step = b - a;
        // Hermite's cubic: a + rise x + (3 step - 2 rise - end) x^2 + (rise + end - 2 step) x^3.
        let (second, third) = (3.0 * step - 2.0 * rise - end, rise + end - 2.0 * step);
        let value = a + x * (rise + x * (second + x * third));
        let slope = rise + x * (2.0 * second + 3.0 * x * third);
        (value, slope * KNOTS_PER_SD)
    }
}

/// The `z` that a standard normal is below with chance `p`, by bisection and Newton steps on [`cdf`]; infinite at 0 and 1.
#[must_use]
pub fn quantile(p: f64) -> f64 {
    if p <= 0.0 {
        return f64::NEG_INFINITY;
    }
    if p >= 1.0 {
        return f64::INFINITY;
    }
    let (mut low, mut high) = (-38.0, 38.0);
    for _ in 0..24 {
        let middle = f64::midpoint(low, high);
        if cdf(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    let mut z = f64::midpoint(low, high);
    for _ in 0..4 {
        let slope = density(z, 1.0);
        if slope > 0.0 {
            z -= (cdf(z) - p) / slope;
        }
    }
    z
}

/// The normal density with mean 0 and variance `variance` at `x`.
#[must_use]
pub fn density(x: f64, variance: f64) -> f64 {
    (-0.5 * x * x / variance - LN_SQRT_2PI).exp() / variance.sqrt()
}
