//! Mixtures of log-normals: their quantiles, and the range that is shown of one.
//!
//! Checked against a reference library in `tests/reference`. This room does not know what the grams are of.

use crate::biology::normal::cdf_quick;

/// The middle and the ends of the 80 % range.
const QUANTILES: [f64; 3] = [0.1, 0.5, 0.9];

/// Grams as a range: 80 % between low and high.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Range {
    /// One chance in ten of less.
    pub low: f64,
    /// As likely more as less.
    pub middle: f64,
    /// One chance in ten of more.
    pub high: f64,
}

/// One log-normal of a mixture.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// Weight; those of a mixture sum to 1.
    pub weight: f64,
    /// Mean of ln grams.
    pub ln: f64,
    /// Standard deviation of ln grams.
    pub sd: f64,
}

/// The range of a mixture.
#[must_use]
pub fn quantiles(parts: &[Part]) -> Range {
    let [low, middle, high] = QUANTILES.map(|p| quantile(parts, p));
    Range { low, middle, high }
}

/// The grams that a mixture is below with chance `p`; 0 for an empty mixture.
#[must_use]
pub fn quantile(parts: &[Part], p: f64) -> f64 {
    let ends = parts
        .iter()
        .fold((f64::MAX, f64::MIN), |(low, high), part| {
            (
                low.min(part.ln - 4.0 * part.sd),
                high.max(part.ln + 4.0 * part.sd),
            )
        });
    if ends.0 > ends.1 {
        return 0.0;
    }
    let (mut low, mut high) = ends;
    for _ in 0..22 {
        let middle = f64::midpoint(low, high);
        let below: f64 = parts
            .iter()
            .map(|part| part.weight * cdf_quick((middle - part.ln) / part.sd))
            .sum();
        if below < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high).exp()
}
