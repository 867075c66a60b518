//! What curves did not explain of finished runs, as sums that add up over runs and fade with time.
//!
//! This room does not know how they were measured.

use crate::biology::prior::Prior;
use crate::biology::shape::BINS;
use serde::{Deserialize, Serialize};

/// Harvests' worth of belief in the base's noise, and days' worth in its trouble.
const NOISE_HARVESTS: f64 = 6.0;
const TROUBLE_BASE_DAYS: f64 = 120.0;
/// Cages' worth of belief that the shape is right.
const SHAPE_CAGES: f64 = 0.2;

/// Sums over what a curve did not explain; they add up over runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LeftOver {
    /// Harvests whose noise was measured, and their number times its variance (ln).
    pub(crate) harvests: f32,
    pub(crate) squares: f32,
    /// Sums of products of neighbouring misses and of their squares, and how many pairs.
    pub(crate) product: f32,
    pub(crate) neighbours: f32,
    pub(crate) pairs: f32,
    /// Spells of trouble that began, in how many days.
    pub(crate) spells: f32,
    pub(crate) days: f32,
    /// Share of a life's eggs seen and expected in each part of a life.
    pub(crate) seen: [f32; BINS],
    pub(crate) expected: [f32; BINS],
}

impl LeftOver {
    pub(crate) fn fade(&mut self, keeps: f32) {
        let plain = [
            &mut self.harvests,
            &mut self.squares,
            &mut self.product,
            &mut self.neighbours,
            &mut self.pairs,
            &mut self.spells,
            &mut self.days,
        ];
        let parts = self.seen.iter_mut().chain(&mut self.expected);
        for sum in plain.into_iter().chain(parts) {
            *sum *= keeps;
        }
    }

    pub(crate) fn add(&mut self, other: &Self) {
        self.harvests += other.harvests;
        self.squares += other.squares;
        self.product += other.product;
        self.neighbours += other.neighbours;
        self.pairs += other.pairs;
        self.spells += other.spells;
        self.days += other.days;
        for (sum, one) in self.seen.iter_mut().zip(other.seen) {
            *sum += one;
        }
        for (sum, one) in self.expected.iter_mut().zip(other.expected) {
            *sum += one;
        }
    }

    /// `prior` with what was measured; `base` holds where little was.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub(crate) fn into_prior(self, mut prior: Prior, base: &Prior) -> Prior {
        let n = f64::from(self.harvests);
        if n >= 4.0 {
            let before = NOISE_HARVESTS * f64::from(base.day_noise).powi(2);
            let variance = (before + f64::from(self.squares)) / (NOISE_HARVESTS + n);
            prior.day_noise = variance.sqrt().clamp(0.08, 0.9) as f32;
        }
        let (pairs, neighbours) = (f64::from(self.pairs), f64::from(self.neighbours));
        let memory = if neighbours > 0.0 {
            f64::from(self.product) / neighbours
        } else {
            0.0
        };
        let believed = NOISE_HARVESTS * 2.0;
        prior.noise_memory = ((believed * f64::from(base.noise_memory) + pairs * memory)
            / (believed + pairs))
            .clamp(0.0, 0.8) as f32;
        let started = TROUBLE_BASE_DAYS * f64::from(base.trouble_start) + f64::from(self.spells);
        prior.trouble_start = (started / (TROUBLE_BASE_DAYS + f64::from(self.days))) as f32;
        let trust = SHAPE_CAGES / BINS as f64;
        let measured = self.seen.iter().zip(self.expected);
        let factors = prior.shape.correction.iter_mut();
        for ((factor, before), (seen, expected)) in factors.zip(base.shape.correction).zip(measured)
        {
            let seen = f64::from(*seen) + trust * f64::from(before);
            *factor = (seen / (f64::from(expected) + trust)).clamp(0.25, 4.0) as f32;
        }
        prior
    }
}
