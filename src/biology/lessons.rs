//! What many finished runs teach together: sums of lessons, and the priors that they make.
//!
//! Sums are what a farm, a ward and a cooperative know, so that a new stocking's prior asks for no old harvest. This room does not know whose runs
//! they are or where the sums are kept.

use crate::biology::left_over::LeftOver;
use crate::biology::lesson::{Lesson, Reading};
use crate::biology::pooling::Priors;
use crate::biology::prior::{Prior, Spread};
use crate::biology::shape::{EMERGENCES, KERNELS};
use crate::biology::tables::Parameters;
use crate::domain::StockKind;
use serde::{Deserialize, Serialize};

/// The evidence of a run's days is tempered: they are not independent, so their sum is too sure of itself.
const EVIDENCE_TEMPER: f64 = 0.5;
/// No shape of the library is ever ruled out wholly.
const WEIGHT_LEAST: f32 = 0.02;
/// How many runs' worth of belief the table's spread counts for.
const SPREAD_RUNS: f64 = 3.0;
/// How the two stock kinds of one group differ in eggs a pupa, ln.
const KIND_SD: f64 = 0.25;

/// What many runs of one kind teach together.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct KindLessons {
    /// Runs, older ones counting less.
    pub(crate) runs: f32,
    readings: [Summed; 3],
    emergence: [f32; EMERGENCES],
    kernel: [f32; KERNELS],
    left: LeftOver,
}

/// Readings summed by weight, one over their variance: weights, means, squares of means.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Summed {
    weight: f32,
    mean: f32,
    square: f32,
}

/// What many runs teach together, by kind of stock.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Lessons {
    one_age: KindLessons,
    mixed: KindLessons,
}

/// Of the variance between cages of different farms, what is left inside one ward or cooperative.
const GROUP_SHARE: f64 = 0.75;

/// Whose runs are summed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// One farm's: they differ as cages do.
    Farm,
    /// A ward's or a cooperative's: they differ as farms and cages do, and so does the next farm's.
    Group,
}

impl Whose {
    /// How single runs differ: scale, delay, width.
    fn spreads(self, parameters: &Parameters) -> [f64; 3] {
        let p = parameters;
        let pairs = [
            (p.scale_sd_cage, p.scale_sd_farm),
            (p.delay_sd_cage, p.delay_sd_farm),
            (p.width_sd_cage, p.width_sd_farm),
        ];
        pairs.map(|(cage, farm)| match self {
            Self::Farm => cage,
            Self::Group => (GROUP_SHARE * (cage * cage + farm * farm)).sqrt(),
        })
    }

    /// The least that the next run may differ from the mean, against the spread of single runs: a group whose runs so far are few farms' says little
    /// about the next farm's.
    const fn least(self) -> f64 {
        match self {
            Self::Farm => 0.5,
            Self::Group => 0.6,
        }
    }
}

impl Summed {
    #[allow(clippy::cast_possible_truncation)]
    fn add(&mut self, one: Reading, sd: f64) {
        let weight = (1.0 / (sd * sd + f64::from(one.variance))) as f32;
        self.weight += weight;
        self.mean += weight * one.mean;
        self.square += weight * one.mean * one.mean;
    }

    fn fade(&mut self, keeps: f32) {
        self.weight *= keeps;
        self.mean *= keeps;
        self.square *= keeps;
    }

    /// Partial pooling of normal means (Gelman et al. 2013, Bayesian Data Analysis, ch. 5): what the next run is expected to be.
    #[allow(clippy::cast_possible_truncation)]
    fn pooled(
        self,
        runs: f64,
        base: Spread,
        sd: f64,
        least: f64,
        hint: Option<(f64, f64)>,
    ) -> Spread {
        let (weight, mean, square) = (
            f64::from(self.weight),
            f64::from(self.mean),
            f64::from(self.square),
        );
        let scatter = (square - mean * mean / weight.max(1e-12)).max(0.0);
        let free = (runs - 1.0).max(0.0);
        let variance = sd * sd * (SPREAD_RUNS + scatter) / (SPREAD_RUNS + free);
        let variance = variance.max(least * least * sd * sd);
        let between = (f64::from(base.sd).powi(2) - sd * sd).max(0.25 * sd * sd);
        // Runs that turn out to differ less or more than the table says weigh more or less.
        let (weight, mean) = (weight * sd * sd / variance, mean * sd * sd / variance);
        let (hinted, hint) = hint.map_or((0.0, 0.0), |(value, v)| (value / v, 1.0 / v));
        let precision = 1.0 / between + weight + hint;
        Spread {
            mean: ((f64::from(base.mean) / between + mean + hinted) / precision) as f32,
            sd: (variance + 1.0 / precision).sqrt() as f32,
        }
    }
}

impl KindLessons {
    /// Adds a run; what was there before counts `keeps` of what it did.
    fn add(&mut self, lesson: &Lesson, spreads: [f64; 3], keeps: f32) {
        self.fade(keeps);
        self.runs += 1.0;
        for ((sum, one), sd) in self.readings.iter_mut().zip(lesson.readings).zip(spreads) {
            sum.add(one, sd);
        }
        let shapes = self.emergence.iter_mut().chain(&mut self.kernel);
        for (sum, one) in shapes.zip(lesson.emergence.iter().chain(&lesson.kernel)) {
            *sum += one;
        }
        self.left.add(&lesson.left);
    }

    fn fade(&mut self, keeps: f32) {
        self.runs *= keeps;
        for sum in &mut self.readings {
            sum.fade(keeps);
        }
        for sum in self.emergence.iter_mut().chain(&mut self.kernel) {
            *sum *= keeps;
        }
        self.left.fade(keeps);
    }

    /// The prior of the next run, on top of `base`; `hint` is what the other kind says of scale.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn prior(
        &self,
        base: &Prior,
        whose: Whose,
        hint: Option<(f64, f64)>,
        parameters: &Parameters,
    ) -> Prior {
        let [scale, delay, width] = self.readings;
        let [scale_sd, delay_sd, width_sd] = whose.spreads(parameters);
        let (runs, least) = (f64::from(self.runs), whose.least());
        let mut prior = base.clone();
        prior.scale = scale.pooled(runs, base.scale, scale_sd, least, hint);
        if self.runs <= 0.0 {
            return prior;
        }
        prior.delay = delay.pooled(runs, base.delay, delay_sd, least, None);
        prior.width = width.pooled(runs, base.width, width_sd, least, None);
        prior.shape.emergence = weighed(base.shape.emergence, self.emergence);
        prior.shape.kernel = weighed(base.shape.kernel, self.kernel);
        prior.cages = base.cages.saturating_add(self.runs.round() as u16);
        self.left.into_prior(prior, base)
    }
}

/// Weights of shapes after the runs' evidence.
#[allow(clippy::cast_possible_truncation)]
fn weighed<const N: usize>(before: [f32; N], evidence: [f32; N]) -> [f32; N] {
    let best = evidence.iter().copied().fold(f32::MIN, f32::max);
    let mut weights: [f32; N] = std::array::from_fn(|which| {
        let shown = EVIDENCE_TEMPER * f64::from(evidence[which] - best);
        before[which].max(WEIGHT_LEAST) * shown.exp() as f32
    });
    let sum: f32 = weights.iter().sum();
    for weight in &mut weights {
        *weight /= sum;
    }
    weights
}

impl Lessons {
    /// Adds a run's lesson; what was known before counts `keeps` of what it did, so that old stock is forgotten in time.
    pub fn add(&mut self, lesson: &Lesson, whose: Whose, keeps: f32, parameters: &Parameters) {
        let spreads = whose.spreads(parameters);
        match lesson.kind {
            StockKind::OneAge => self.one_age.add(lesson, spreads, keeps),
            StockKind::Mixed => self.mixed.add(lesson, spreads, keeps),
        }
    }

    /// The priors of the next runs, on top of `base`.
    #[must_use]
    pub fn priors(&self, base: &Priors, whose: Whose, parameters: &Parameters) -> Priors {
        let hint = |other: &KindLessons, base: &Prior| {
            (other.runs > 0.0).then(|| {
                let alone = other.prior(base, whose, None, parameters).scale;
                let farm = f64::from(alone.sd).powi(2) / f64::from(other.runs.max(1.0));
                (f64::from(alone.mean), KIND_SD * KIND_SD + farm)
            })
        };
        let hints = (
            hint(&self.mixed, &base.mixed),
            hint(&self.one_age, &base.one_age),
        );
        Priors {
            one_age: self
                .one_age
                .prior(&base.one_age, whose, hints.0, parameters),
            mixed: self.mixed.prior(&base.mixed, whose, hints.1, parameters),
        }
    }

    /// Makes each kind's runs count for no more than `most`.
    pub fn weigh_at_most(&mut self, most: f32) {
        for kind in [&mut self.one_age, &mut self.mixed] {
            if kind.runs > most {
                kind.fade(most / kind.runs);
            }
        }
    }

    /// Runs learned from, older ones counting less.
    #[must_use]
    pub fn runs(&self) -> f32 {
        self.one_age.runs + self.mixed.runs
    }
}
