//! What one finished run teaches the runs after it, as a short row of numbers.
//!
//! A lesson is worked out once, when a run ends, with the eyes of the prior that its stocking carried. This room does not know whose cage it was or
//! where the row is kept.

use crate::biology::finished::{Finished, examine, own_reading};
use crate::biology::left_over::LeftOver;
use crate::biology::prior::Prior;
use crate::biology::residuals::Residuals;
use crate::biology::shape::{BINS, EMERGENCES, KERNELS, Shape, ShapeWeights};
use crate::biology::tables::Parameters;
use crate::domain::StockKind;
use serde::{Deserialize, Serialize};

/// Narrowest spread of delay, in degree-days, under which shapes are compared, so that none is judged for its timing.
const COMPARE_DELAY_SD: f32 = 18.0;

/// A quantity as one run has it: mean and variance, with what the prior had put there taken out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    pub(crate) mean: f32,
    pub(crate) variance: f32,
}

/// What one finished run teaches.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// One age or mixed.
    pub kind: StockKind,
    /// ln of eggs a pupa, delay in degree-days, ln of width: each against the table's.
    pub(crate) readings: [Reading; 3],
    /// ln of how well each shape of emergence and of laying explains the run, against the best of them.
    pub(crate) emergence: [f32; EMERGENCES],
    pub(crate) kernel: [f32; KERNELS],
    /// What was left over.
    pub(crate) left: LeftOver,
}

impl Lesson {
    /// What `run` teaches, seen with the eyes of `prior`: the better that is, the clearer the lesson.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)]
    pub fn of(run: &Finished, prior: &Prior, parameters: &Parameters) -> Self {
        let shape = Shape::new(&prior.shape);
        let seen = examine(prior, &shape, run, parameters);
        let reading = |moments, spread| {
            let (mean, variance): (f64, f64) = own_reading(moments, spread);
            Reading {
                mean: mean as f32,
                variance: variance as f32,
            }
        };
        let evidence = |shape: ShapeWeights| {
            let mut prior = prior.clone();
            prior.delay.sd = prior.delay.sd.max(COMPARE_DELAY_SD);
            prior.shape = shape;
            let shape = Shape::new(&prior.shape);
            examine(&prior, &shape, run, parameters).evidence
        };
        let emergence = std::array::from_fn(|which| {
            evidence(ShapeWeights {
                kernel: prior.shape.kernel,
                ..ShapeWeights::only(which, 0)
            })
        });
        let kernel = std::array::from_fn(|which| {
            evidence(ShapeWeights {
                emergence: prior.shape.emergence,
                ..ShapeWeights::only(0, which)
            })
        });
        let readings = [
            reading(seen.scale, prior.scale),
            reading(seen.delay, prior.delay),
            reading(seen.width, prior.width),
        ];
        let left = Residuals::of(prior, &[run], &[seen], parameters).left_over();
        Self {
            kind: run.kind,
            readings,
            emergence: against_best(emergence),
            kernel: against_best(kernel),
            left,
        }
    }
}

#[allow(clippy::cast_possible_truncation)]
fn against_best<const N: usize>(evidence: [f64; N]) -> [f32; N] {
    let best = evidence.iter().copied().fold(f64::MIN, f64::max);
    evidence.map(|one| (one - best) as f32)
}

/// Numbers of a lesson: readings, shapes, what was left over.
const NUMBERS: usize = 6 + EMERGENCES + KERNELS + 7 + 2 * BINS;

impl Lesson {
    /// The lesson in short: the kind, then each number's upper two bytes (IEEE 754 binary32 without its lower sixteen bits, good to 1 in 256).
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let left = &self.left;
        let readings = self.readings.iter().flat_map(|it| [it.mean, it.variance]);
        let shapes = self.emergence.iter().chain(&self.kernel).copied();
        let plain = [
            left.harvests,
            left.squares,
            left.product,
            left.neighbours,
            left.pairs,
            left.spells,
            left.days,
        ];
        let parts = left.seen.iter().chain(&left.expected).copied();
        let mut bytes = vec![u8::from(self.kind == StockKind::Mixed)];
        for number in readings.chain(shapes).chain(plain).chain(parts) {
            let [_, _, low, high] = number.to_le_bytes();
            bytes.extend([low, high]);
        }
        bytes
    }

    /// The lesson that [`Lesson::to_bytes`] wrote; none where it is not one.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (kind, rest) = bytes.split_first()?;
        let numbers: Vec<f32> = rest
            .chunks_exact(2)
            .map(|pair| f32::from_le_bytes([0, 0, pair[0], pair[1]]))
            .collect();
        if numbers.len() != NUMBERS || !numbers.iter().all(|number| number.is_finite()) {
            return None;
        }
        let mut rest = numbers.into_iter();
        let mut next = || rest.next().unwrap_or(0.0);
        Some(Self {
            kind: if *kind == 0 {
                StockKind::OneAge
            } else {
                StockKind::Mixed
            },
            readings: std::array::from_fn(|_| Reading {
                mean: next(),
                variance: next(),
            }),
            emergence: std::array::from_fn(|_| next()),
            kernel: std::array::from_fn(|_| next()),
            left: LeftOver {
                harvests: next(),
                squares: next(),
                product: next(),
                neighbours: next(),
                pairs: next(),
                spells: next(),
                days: next(),
                seen: std::array::from_fn(|_| next()),
                expected: std::array::from_fn(|_| next()),
            },
        })
    }
}
