//! What finished cages teach about the next ones: partial pooling of scale, delay and width, weights of shapes, noise.
//!
//! A farm with little history stays near its base, which is its ward's or cooperative's learned prior, or the table's. The weights of
//! shapes come from the evidence of whole finished runs. This room does not know whose cages it is given.

use crate::biology::finished::{Examined, Finished, examine, own_reading};
use crate::biology::prior::Prior;
use crate::biology::prior::Spread;
use crate::biology::residuals::Residuals;
use crate::biology::shape::BINS;
use crate::biology::shape::EMERGENCES;
use crate::biology::shape::KERNELS;
use crate::biology::shape::Shape;
use crate::biology::shape::ShapeWeights;
use crate::biology::tables::Parameters;
use crate::domain::StockKind;
use serde::{Deserialize, Serialize};

/// The latest finished cages of a kind that are learned from: older ones say little about today's stock, and learning must end in a second.
pub const MOST_FINISHED: usize = 24;
/// How many cages' worth of belief the table's cage-to-cage spread counts for.
const SPREAD_CAGES: f64 = 1.5;
/// How far the two stock kinds of one farm differ in eggs a pupa, ln.
const KIND_SD: f64 = 0.15;
/// Evidence is tempered: the days of a run are not independent, so their sum is too sure of itself.
const EVIDENCE_TEMPER: f64 = 0.5;
/// Narrowest spread of delay, in degree-days, under which shapes are compared, so that none is judged for its timing.
const COMPARE_DELAY_SD: f32 = 18.0;

/// Priors for both kinds of stock.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Priors {
    /// For stock of one age.
    pub one_age: Prior,
    /// For stock of mixed ages.
    pub mixed: Prior,
}

impl Priors {
    /// The table's.
    #[must_use]
    pub fn of_the_table(parameters: &Parameters) -> Self {
        Self {
            one_age: Prior::of_the_table(StockKind::OneAge, parameters),
            mixed: Prior::of_the_table(StockKind::Mixed, parameters),
        }
    }

    /// For a kind of stock.
    #[must_use]
    pub const fn of(&self, kind: StockKind) -> &Prior {
        match kind {
            StockKind::OneAge => &self.one_age,
            StockKind::Mixed => &self.mixed,
        }
    }

    /// This base moved by finished cages, latest last.
    #[must_use]
    pub fn learned(&self, finished: &[Finished], parameters: &Parameters) -> Self {
        let of = |kind| -> Vec<&Finished> {
            let all: Vec<_> = finished.iter().filter(|run| run.kind == kind).collect();
            all.get(all.len().saturating_sub(MOST_FINISHED)..)
                .unwrap_or_default()
                .to_vec()
        };
        let (one_age, mixed) = (of(StockKind::OneAge), of(StockKind::Mixed));
        let first = |base: &Prior, runs: &[&Finished]| {
            pooled(
                base,
                base,
                &examine_all(base, runs, parameters),
                None,
                parameters,
            )
        };
        let rough = (first(&self.one_age, &one_age), first(&self.mixed, &mixed));
        Self {
            one_age: refined(&self.one_age, &rough.0, &rough.1, &one_age, parameters),
            mixed: refined(&self.mixed, &rough.1, &rough.0, &mixed, parameters),
        }
    }
}

fn examine_all(prior: &Prior, runs: &[&Finished], parameters: &Parameters) -> Vec<Examined> {
    let shape = Shape::new(&prior.shape);
    runs.iter()
        .map(|run| examine(prior, &shape, run, parameters))
        .collect()
}

/// One quantity pooled: the farm's mean between its runs and the base, the cages' spread between its runs and the table.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn pool(base: Spread, cage_sd: f64, seen: &[(f64, f64)], hint: Option<(f64, f64)>) -> Spread {
    let n = seen.len() as f64;
    let farm_variance =
        (f64::from(base.sd).powi(2) - cage_sd * cage_sd).max(0.25 * cage_sd * cage_sd);
    let (mut mean, mut variance) = (f64::from(base.mean), cage_sd * cage_sd);
    let mut mean_variance = farm_variance;
    for _ in 0..4 {
        let hint_weight = hint.map_or(0.0, |(_, hint_variance)| 1.0 / hint_variance);
        let mut precision = 1.0 / farm_variance + hint_weight;
        let mut sum = f64::from(base.mean) / farm_variance
            + hint.map_or(0.0, |(value, _)| value * hint_weight);
        for (value, own) in seen {
            let weight = 1.0 / (variance + own);
            precision += weight;
            sum += value * weight;
        }
        mean = sum / precision;
        mean_variance = 1.0 / precision;
        let scatter: f64 = seen
            .iter()
            .map(|(value, own)| {
                let keep = variance / (variance + own);
                // What this run's own value is likely to be, given the others, and how unsure that is.
                (keep * (value - mean)).powi(2) + own * keep
            })
            .sum();
        variance = (SPREAD_CAGES * cage_sd * cage_sd + scatter) / (SPREAD_CAGES + n);
    }
    Spread {
        mean: mean as f32,
        sd: (variance + mean_variance).sqrt() as f32,
    }
}

fn pooled(
    base: &Prior,
    current: &Prior,
    seen: &[Examined],
    scale_hint: Option<(f64, f64)>,
    parameters: &Parameters,
) -> Prior {
    let all = |pick: fn(&Examined) -> (f64, f64), prior: Spread| -> Vec<(f64, f64)> {
        seen.iter().map(|it| own_reading(pick(it), prior)).collect()
    };
    Prior {
        scale: pool(
            base.scale,
            parameters.scale_sd_cage,
            &all(|it| it.scale, current.scale),
            scale_hint,
        ),
        delay: pool(
            base.delay,
            parameters.delay_sd_cage,
            &all(|it| it.delay, current.delay),
            None,
        ),
        width: pool(
            base.width,
            parameters.width_sd_cage,
            &all(|it| it.width, current.width),
            None,
        ),
        cages: base
            .cages
            .saturating_add(u16::try_from(seen.len()).unwrap_or(u16::MAX)),
        ..current.clone()
    }
}

/// The prior of one kind: shapes by evidence, then spreads, noise and correction under the chosen mixture.
fn refined(
    base: &Prior,
    rough: &Prior,
    other: &Prior,
    runs: &[&Finished],
    parameters: &Parameters,
) -> Prior {
    let hint = (other.cages > 0).then(|| {
        let farm = f64::from(other.scale.sd).powi(2) / f64::from(other.cages);
        (f64::from(other.scale.mean), KIND_SD * KIND_SD + farm)
    });
    if runs.is_empty() {
        return pooled(base, base, &[], hint, parameters);
    }
    let mut prior = rough.clone();
    prior.shape = weighed_shapes(rough, runs, parameters);
    for _ in 0..2 {
        let seen = examine_all(&prior, runs, parameters);
        let next = pooled(base, &prior, &seen, hint, parameters);
        let residuals = Residuals::of(&prior, runs, &seen, parameters);
        prior = residuals.into_prior(next, base);
    }
    prior
}

/// Weights of the library's shapes after the runs' evidence.
#[allow(clippy::cast_possible_truncation)]
fn weighed_shapes(rough: &Prior, runs: &[&Finished], parameters: &Parameters) -> ShapeWeights {
    let mut prior = rough.clone();
    prior.delay.sd = prior.delay.sd.max(COMPARE_DELAY_SD);
    let mut scores = [[0.0; KERNELS]; EMERGENCES];
    for (emergence, row) in scores.iter_mut().enumerate() {
        for (kernel, score) in row.iter_mut().enumerate() {
            prior.shape = ShapeWeights::only(emergence, kernel);
            let evidence: f64 = examine_all(&prior, runs, parameters)
                .iter()
                .map(|it| it.evidence)
                .sum();
            let before = rough
                .shape
                .emergence
                .get(emergence)
                .copied()
                .unwrap_or(0.0)
                .max(0.02)
                * rough
                    .shape
                    .kernel
                    .get(kernel)
                    .copied()
                    .unwrap_or(0.0)
                    .max(0.02);
            *score = EVIDENCE_TEMPER * evidence + f64::from(before).ln();
        }
    }
    let best = scores.iter().flatten().copied().fold(f64::MIN, f64::max);
    let mut weights = ShapeWeights {
        emergence: [0.0; EMERGENCES],
        kernel: [0.0; KERNELS],
        correction: [1.0; BINS],
    };
    let total: f64 = scores
        .iter()
        .flatten()
        .map(|score| (score - best).exp())
        .sum();
    for (row, emergence) in scores.iter().zip(&mut weights.emergence) {
        for (score, kernel) in row.iter().zip(&mut weights.kernel) {
            let share = ((score - best).exp() / total) as f32;
            *emergence += share;
            *kernel += share;
        }
    }
    weights
}
