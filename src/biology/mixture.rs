//! Mixtures of log-normals: their quantiles, and the range that is shown of one.
//!
//! Checked against a reference library in `tests/reference`. This room does not know what the grams are of.

use crate::biology::normal::Tabled;

/// The ends of the 80 % range and its middle, and where they lie in one log-normal: standard deviations from its mean.
const QUANTILES: [(f64, f64); 3] = [(0.1, -Z90), (0.5, 0.0), (0.9, Z90)];
/// A standard normal's nine tenths.
const Z90: f64 = 1.281_551_565_545;

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
    let (mean, sd) = mean_and_sd(parts);
    let [low, middle, high] = QUANTILES.map(|(p, z)| search(parts, p, mean + z * sd));
    Range { low, middle, high }
}

/// The grams that a mixture is below with chance `p`; 0 for an empty mixture.
#[must_use]
pub fn quantile(parts: &[Part], p: f64) -> f64 {
    search(parts, p, mean_and_sd(parts).0)
}

/// Of ln grams.
fn mean_and_sd(parts: &[Part]) -> (f64, f64) {
    let mean: f64 = parts.iter().map(|part| part.weight * part.ln).sum();
    let square = |part: &Part| part.weight * (part.sd * part.sd + (part.ln - mean).powi(2));
    (mean, parts.iter().map(square).sum::<f64>().sqrt())
}

/// Looks at every part at the most: halving alone needs some thirty.
const LOOKS: usize = 40;
/// A step of Newton's this short, in ln grams, leaves about its square: well below a millionth of the grams.
const CLOSE: f64 = 1e-4;

/// The grams that a mixture is below with chance `p`, by Newton's steps from `start`, and by halving where one would leave the bracket.
fn search(parts: &[Part], p: f64, start: f64) -> f64 {
    let ends = parts
        .iter()
        .map(|part| [part.ln - 4.0 * part.sd, part.ln + 4.0 * part.sd]);
    let ends = ends.reduce(|[low, high], [a, b]| [low.min(a), high.max(b)]);
    let Some([mut low, mut high]) = ends else {
        return 0.0;
    };
    let mut at = start.clamp(low, high);
    let normal = Tabled::ready();
    for _ in 0..LOOKS {
        let (below, slope) = below(parts, at, &normal);
        if below < p {
            low = at;
        } else {
            high = at;
        }
        let newton = at + (p - below) / slope;
        if newton > low && newton < high {
            let step = (newton - at).abs();
            at = newton;
            if step < CLOSE {
                break;
            }
        } else {
            at = f64::midpoint(low, high);
        }
    }
    at.exp()
}

/// The chance that a mixture is below `ln`, and how fast it grows there.
fn below(parts: &[Part], ln: f64, normal: &Tabled) -> (f64, f64) {
    parts.iter().fold((0.0, 0.0), |(chance, slope), part| {
        let (cdf, density) = normal.at((ln - part.ln) / part.sd);
        (
            chance + part.weight * cdf,
            slope + part.weight * density / part.sd,
        )
    })
}
