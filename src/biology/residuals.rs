//! What is left of finished runs after their own best curve: noise of a day, its memory, spells of trouble, and where the shape is wrong.
//!
//! This room does not choose curves; it only measures what they miss.

use crate::biology::belief::CLUTCH_VARIANCE_G;
use crate::biology::curve::Curve;
use crate::biology::finished::Examined;
use crate::biology::finished::Finished;
use crate::biology::left_over::LeftOver;
use crate::biology::prior::Prior;
use crate::biology::prior::kernel_shift;
use crate::biology::prior::table_spread;
use crate::biology::prior::timing;
use crate::biology::shape::BINS;
use crate::biology::shape::Shape;
use crate::biology::shape::bin_of;
use crate::biology::tables::Parameters;

/// Grams expected of a harvest from which its noise is measured: below it the scale's step drowns the noise.
const NOISE_FROM_G: f64 = 0.8;
/// Median of absolute values to standard deviation, of a normal.
const MEDIAN_TO_SD: f64 = 1.4826;

/// Sums over finished runs.
#[derive(Debug, Default)]
pub(crate) struct Residuals {
    /// ln of seen over expected, made comparable to one day's.
    misses: Vec<f64>,
    /// Sum of products of neighbouring misses, and of squares.
    neighbours: (f64, f64),
    pairs: f64,
    runs: f64,
    spells: f64,
    days: f64,
    seen: [f64; BINS],
    expected: [f64; BINS],
    life: f64,
}

impl Residuals {
    pub(crate) fn of(
        prior: &Prior,
        runs: &[&Finished],
        examined: &[Examined],
        parameters: &Parameters,
    ) -> Self {
        let shape = Shape::new(&prior.shape);
        let mut all = Self::default();
        for (run, it) in runs.iter().zip(examined) {
            all.add(prior, &shape, run, it, parameters);
        }
        all
    }

    fn add(
        &mut self,
        prior: &Prior,
        shape: &Shape,
        run: &Finished,
        it: &Examined,
        parameters: &Parameters,
    ) {
        let curve = Curve::new(shape, &run.warmth, parameters);
        let at = timing(
            kernel_shift(&prior.shape, parameters),
            table_spread(run.kind, parameters),
            parameters,
            it.delay.0,
            it.width.0,
        );
        let life = f64::from(run.pupae) * parameters.grams_per_pupa() * it.scale.0.exp();
        self.runs += 1.0;
        self.life += life;
        let (mut from, mut before, mut was_bad) = (0_usize, None, false);
        for ((day, grams), trouble) in run.harvests.iter().zip(&it.trouble) {
            let to = usize::from(*day);
            if to < from || to >= curve.len() {
                continue;
            }
            let shares: Vec<f64> = curve.daily(at, from..to + 1).collect();
            let sum: f64 = shares.iter().sum();
            let squares: f64 = shares.iter().map(|share| share * share).sum();
            let expected = life * sum;
            let bad = *trouble > 0.5;
            self.days += f64::from(u32::try_from(to + 1 - from).unwrap_or(1));
            self.spells += if bad && !was_bad { 1.0 } else { 0.0 };
            was_bad = bad;
            if !bad {
                let mut plain = curve.daily_plain(at, from..to + 1);
                for share in &shares {
                    let plain_share = plain.next().unwrap_or(0.0);
                    let bin = bin_of(plain.laid());
                    self.expected[bin] += life * plain_share;
                    self.seen[bin] += if sum > 0.0 { grams * share / sum } else { 0.0 };
                }
            }
            let miss = (expected >= NOISE_FROM_G && !bad).then(|| {
                ((grams + parameters.scale_grain_g) / (expected + parameters.scale_grain_g)).ln()
                    * (sum * sum / squares).sqrt()
                    * (1.0
                        - (CLUTCH_VARIANCE_G / expected / parameters.day_noise.powi(2)).min(0.75))
                    .sqrt()
            });
            if let Some(miss) = miss {
                self.misses.push(miss);
                if let Some(before) = before.filter(|_| to == from) {
                    self.neighbours.0 += miss * before;
                    self.neighbours.1 += f64::midpoint(miss * miss, before * before);
                    self.pairs += 1.0;
                }
            }
            before = miss;
            from = to + 1;
        }
    }

    /// `prior` with what was measured; `base` holds where little was.
    pub(crate) fn into_prior(self, prior: Prior, base: &Prior) -> Prior {
        self.left_over().into_prior(prior, base)
    }

    /// The sums, which add up over runs.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub(crate) fn left_over(mut self) -> LeftOver {
        let n = self.misses.len() as f64;
        for miss in &mut self.misses {
            *miss = miss.abs();
        }
        self.misses.sort_by(f64::total_cmp);
        let middle = self.misses.get(self.misses.len() / 2);
        // Three unknowns were fitted to each run.
        let freedom = n / (n - 3.0 * self.runs).max(n / 2.0).max(1.0);
        let sd = MEDIAN_TO_SD * middle.copied().unwrap_or(0.0);
        let life = self.life / self.runs.max(1.0);
        LeftOver {
            harvests: n as f32,
            squares: (n * sd * sd * freedom) as f32,
            product: self.neighbours.0 as f32,
            neighbours: self.neighbours.1 as f32,
            pairs: self.pairs as f32,
            spells: self.spells as f32,
            days: self.days as f32,
            seen: self.seen.map(|grams| (grams / life.max(1e-9)) as f32),
            expected: self.expected.map(|grams| (grams / life.max(1e-9)) as f32),
        }
    }
}
