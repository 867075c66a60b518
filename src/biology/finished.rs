//! A finished run, and what it says with the eyes of a prior.
//!
//! This room does not know whose cage it was, nor what is made of what it says.

use crate::biology::belief::Belief;
use crate::biology::belief::Stocking;
use crate::biology::belief::place;
use crate::biology::curve::Curve;
use crate::biology::prior::Prior;
use crate::biology::prior::Spread;
use crate::biology::shape::Shape;
use crate::biology::tables::Parameters;
use crate::domain::StockKind;

/// A finished run: all there is to learn from.
#[derive(Clone, Debug, PartialEq)]
pub struct Finished {
    /// Pupae stocked; runs without a number teach nothing about scale and are left out.
    pub pupae: u32,
    /// One age or mixed.
    pub kind: StockKind,
    /// Degree-days of each day from stocking to retiring.
    pub warmth: Vec<f64>,
    /// Day since stocking and grams, in order of days.
    pub harvests: Vec<(u16, f64)>,
}

/// What one run says under a prior.
pub(crate) struct Examined {
    /// Mean and variance of ln scale, delay, width.
    pub(crate) scale: (f64, f64),
    pub(crate) delay: (f64, f64),
    pub(crate) width: (f64, f64),
    /// Chance of trouble after each harvest.
    pub(crate) trouble: Vec<f64>,
    pub(crate) evidence: f64,
}

/// Learns a run's harvests one after the other, with the eyes of a prior.
pub(crate) fn examine(
    prior: &Prior,
    shape: &Shape,
    run: &Finished,
    parameters: &Parameters,
) -> Examined {
    let stocking = Stocking {
        pupae: Some(run.pupae),
        kind: run.kind,
        prior: prior.clone(),
    };
    let curve = Curve::new(shape, &run.warmth, parameters);
    let mut belief = Belief::default();
    let (mut evidence, mut trouble) = (0.0, Vec::new());
    for (day, grams) in &run.harvests {
        let surprise = belief.harvest(&stocking, &curve, parameters, *day, *grams);
        evidence += surprise.map_or(0.0, |it| it.evidence);
        trouble.push(surprise.map_or(0.0, |it| it.trouble));
    }
    let (mut first, mut second) = ([0.0; 3], [0.0; 3]);
    for (point, pair) in belief.modes(prior).iter().enumerate() {
        let (delay, width) = place(prior, point);
        for mode in pair {
            for (index, value, variance) in [
                (0, mode.mean, mode.variance),
                (1, delay, 0.0),
                (2, width, 0.0),
            ] {
                first[index] += mode.weight * value;
                second[index] += mode.weight * (value * value + variance);
            }
        }
    }
    let moments = |index: usize| {
        let mean: f64 = first[index];
        (mean, (second[index] - mean * mean).max(0.0))
    };
    Examined {
        scale: moments(0),
        delay: moments(1),
        width: moments(2),
        trouble,
        evidence,
    }
}

/// A run's own reading, as mean and variance: what the prior did not put there.
pub(crate) fn own_reading((mean, variance): (f64, f64), prior: Spread) -> (f64, f64) {
    let before = f64::from(prior.sd).powi(2);
    let after = variance.clamp(1e-8, 0.97 * before);
    let reading = 1.0 / (1.0 / after - 1.0 / before);
    (
        f64::from(prior.mean) + (mean - f64::from(prior.mean)) * before / (before - after),
        reading,
    )
}
