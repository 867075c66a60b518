//! Sums over cages: own variances add up, and the weather that cages share acts on their days together.
//!
//! A sum takes one cage after the other and keeps none. This room does not know which farm or ward is summed.

use crate::biology::mixture::Range;
use crate::biology::tables::Parameters;

/// 0.9 quantile of the standard normal.
const Z90: f64 = 1.281_551_565_544_600_4;

/// What adds up over cages.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moments {
    /// Expected grams.
    pub mean: f64,
    /// Variance that is this cage's own, in square grams.
    pub own: f64,
    /// Expected grams of each day: what shared weather acts on.
    pub days: Vec<f64>,
}

/// The range of a sum of cages: own variances add up, the shared weather acts on their days together.
#[derive(Clone, Debug, Default)]
pub struct Sum {
    mean: f64,
    own: f64,
    shared: Vec<f64>,
}

impl Sum {
    /// Adds a cage, whose laying has day noise `day_noise`.
    pub fn add(&mut self, cage: &Moments, day_noise: f64, parameters: &Parameters) {
        self.mean += cage.mean;
        self.own += cage.own;
        self.shared
            .resize(self.shared.len().max(cage.days.len()), 0.0);
        let noise = day_noise * parameters.shared_noise.sqrt();
        for (sum, grams) in self.shared.iter_mut().zip(&cage.days) {
            *sum += noise * grams;
        }
    }

    /// Middle and 80 % range, as of a log-normal.
    #[must_use]
    pub fn range(&self) -> Range {
        if self.mean <= 0.0 {
            return Range::default();
        }
        let variance = self.own + self.shared.iter().map(|sd| sd * sd).sum::<f64>();
        let spread = (1.0 + variance / (self.mean * self.mean)).ln();
        let (ln, sd) = (self.mean.ln() - spread / 2.0, spread.sqrt());
        Range {
            low: (ln - Z90 * sd).exp(),
            middle: ln.exp(),
            high: (ln + Z90 * sd).exp(),
        }
    }
}
