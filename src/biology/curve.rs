//! Expected share of a cage's eggs laid by each day: emergence in warmth, then laying by age.
//!
//! The share laid by day `t` is the sum over days `d` of (emerged on `d`) x (laid by age `t - d`). It ends at 1 whatever the weather, so the integral over a
//! cage's life is its total of eggs. This room does not know how many grams that is.

use crate::biology::shape::AGES;
use crate::biology::shape::Shape;
use crate::biology::tables::Parameters;

/// Days of a cage's life that are summed over: a retired cage is at most 90 days old by the table, and forecasts reach 30 days on.
pub const LIFE_DAYS: usize = 126;

/// The unknowns of one cage's timing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Timing {
    /// Warmth from stocking to the middle of emergence, in degree-days.
    pub middle: f64,
    /// Standard deviation of emergence, in degree-days.
    pub spread: f64,
}

/// A cage's warmth made ready for the sums, for one shape.
#[derive(Clone, Debug)]
pub struct Curve<'a> {
    shape: &'a Shape,
    /// Warmth gone by the end of each day.
    warmth: Vec<f64>,
    /// Share laid by the end of day `t` of flies that emerged on day `t - lag`, row by row.
    laid: Vec<[f64; AGES]>,
}

impl<'a> Curve<'a> {
    /// From the warmth of each day since stocking.
    ///
    /// A fly's age runs in days where `laying_clock` is 0, in warmth where it is 1; one day of age is a day at `climate_mean_c`.
    #[must_use]
    pub fn new(shape: &'a Shape, days: &[f64], parameters: &Parameters) -> Self {
        let usual = (parameters.climate_mean_c - parameters.pupa_threshold_c).max(1.0);
        let (mut gone, mut age) = (0.0, 0.0);
        let mut warmth = Vec::with_capacity(days.len());
        let mut ages = Vec::with_capacity(days.len());
        let mut laid = Vec::with_capacity(days.len());
        for (t, day) in days.iter().take(LIFE_DAYS).enumerate() {
            // Pupae come in the course of the first day, so half of its warmth is theirs.
            gone += if t == 0 { day / 2.0 } else { *day };
            let pace = (day / usual).clamp(0.3, 2.0);
            let step = if parameters.laying_clock == 0.0 {
                1.0
            } else {
                pace.powf(parameters.laying_clock)
            };
            age += step;
            warmth.push(gone);
            ages.push(age);
            let row = std::array::from_fn(|lag| {
                // Those of the same day are on their day of age 0, which ends one day on.
                let born = t.checked_sub(lag).and_then(|d| ages.get(d));
                born.map_or(0.0, |born| shape.laid_by(age - born + 1.0))
            });
            laid.push(row);
        }
        Self {
            shape,
            warmth,
            laid,
        }
    }

    /// Days that the curve covers.
    #[must_use]
    pub fn len(&self) -> usize {
        self.warmth.len()
    }

    /// Whether it covers none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.warmth.is_empty()
    }

    fn emerged(&self, timing: Timing, day: usize) -> f64 {
        let last = self.warmth.len().saturating_sub(1);
        self.warmth.get(day.min(last)).map_or(0.0, |warmth| {
            self.shape.emerged((warmth - timing.middle) / timing.spread)
        })
    }

    /// Share of the life's eggs laid by the end of `day`, before the farm's correction.
    #[must_use]
    pub fn uncorrected(&self, timing: Timing, day: usize) -> f64 {
        let day = day.min(self.warmth.len().saturating_sub(1));
        let Some(row) = self.laid.get(day) else {
            return 0.0;
        };
        let mut later = self.emerged(timing, day);
        let mut share = 0.0;
        for (lag, laid) in row.iter().enumerate() {
            // Those before day 0 (older stock than said) count as emerged on day 0.
            let before = match day.checked_sub(lag + 1) {
                Some(d) => self.emerged(timing, d),
                None => 0.0,
            };
            share += (later - before) * laid;
            later = before;
            if later <= 0.0 {
                break;
            }
        }
        share + later
    }

    /// Share of the life's eggs laid by the end of `day`.
    #[must_use]
    pub fn laid_by(&self, timing: Timing, day: usize) -> f64 {
        self.shape.corrected(self.uncorrected(timing, day))
    }

    /// Shares laid on each day of `from..to`, before the farm's correction.
    pub(crate) fn daily_plain(
        &self,
        timing: Timing,
        from: usize,
        to: usize,
    ) -> impl Iterator<Item = f64> + use<'_, 'a> {
        let day_before = from.checked_sub(1);
        let mut before = day_before.map_or(0.0, |day| self.uncorrected(timing, day));
        (from..to).map(move |day| {
            let share = self.uncorrected(timing, day);
            let laid = (share - before).max(0.0);
            before = share;
            laid
        })
    }

    /// Shares laid on each day of `from..to`.
    pub fn daily(
        &self,
        timing: Timing,
        from: usize,
        to: usize,
    ) -> impl Iterator<Item = f64> + use<'_, 'a> {
        let mut before = match from.checked_sub(1) {
            Some(day) => self.laid_by(timing, day),
            None => 0.0,
        };
        (from..to).map(move |day| {
            let share = self.laid_by(timing, day);
            let laid = (share - before).max(0.0);
            before = share;
            laid
        })
    }
}
