//! Expected share of a cage's eggs laid by each day: emergence in warmth, then laying by age.
//!
//! The share laid by day `t` is the sum over days `d` of (emerged on `d`) x (laid by age `t - d`). It ends at 1 whatever the weather, so the integral over a
//! cage's life is its total of eggs. This room does not know how many grams that is.

use crate::biology::shape::AGES;
use crate::biology::shape::Shape;
use crate::biology::tables::Parameters;
use std::ops::Range;

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
    laid: Laid,
}

/// Share laid by the end of a day, by the days since a fly emerged.
#[derive(Clone, Debug)]
enum Laid {
    /// A fly's age runs in days: the same row for every day.
    ByAge([f64; AGES]),
    /// Row by row.
    Rows(Vec<[f64; AGES]>),
}

/// Shares of the flies that have emerged by the end of a day and of each day before it whose flies may lay still, latest first; none before day 0.
type Emerged = [f64; AGES + 1];

/// Shares laid, day by day.
pub struct Daily<'a> {
    curve: &'a Curve<'a>,
    timing: Timing,
    /// As of the day before the next.
    emerged: Emerged,
    corrected: bool,
    days: Range<usize>,
    laid: f64,
}

impl Daily<'_> {
    /// Share of the life's eggs laid before the next day.
    #[must_use]
    pub const fn laid(&self) -> f64 {
        self.laid
    }

    fn by(&self, day: usize) -> f64 {
        let share = self.curve.laid(&self.emerged, day);
        if self.corrected {
            self.curve.shape.corrected(share)
        } else {
            share
        }
    }
}

impl Iterator for Daily<'_> {
    type Item = f64;

    fn next(&mut self) -> Option<f64> {
        let day = self.days.next()?;
        self.emerged.copy_within(..AGES, 1);
        self.emerged[0] = self.curve.emerged(self.timing, day);
        let share = self.by(day);
        let laid = (share - self.laid).max(0.0);
        self.laid = share;
        Some(laid)
    }
}

impl<'a> Curve<'a> {
    /// From the warmth of each day since stocking.
    ///
    /// A fly's age runs in days where `laying_clock` is 0, in warmth where it is 1; one day of age is a day at `climate_mean_c`.
    #[must_use]
    pub fn new(shape: &'a Shape, days: &[f64], parameters: &Parameters) -> Self {
        let days = days.get(..LIFE_DAYS).unwrap_or(days);
        let mut gone = 0.0;
        let warmth = days.iter().enumerate().map(|(t, day)| {
            // Pupae come in the course of the first day, so half of its warmth is theirs.
            gone += if t == 0 { day / 2.0 } else { *day };
            gone
        });
        let warmth = warmth.collect();
        let laid = if parameters.laying_clock == 0.0 {
            // Those of the same day are on their day of age 0, which ends one day on.
            let mut age = 0.0;
            Laid::ByAge(std::array::from_fn(|_| {
                age += 1.0;
                shape.laid_by(age)
            }))
        } else {
            Laid::Rows(rows(shape, days, parameters))
        };
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

    /// Share of the flies that has emerged by the end of `day`.
    fn emerged(&self, timing: Timing, day: usize) -> f64 {
        let warmth = self.warmth.get(day);
        warmth.map_or(0.0, |warmth| {
            self.shape.emerged((warmth - timing.middle) / timing.spread)
        })
    }

    fn emerged_until(&self, timing: Timing, day: usize) -> Emerged {
        let mut emerged = [0.0; AGES + 1];
        // Those before day 0 (older stock than said) count as emerged on day 0.
        for (share, day) in emerged.iter_mut().zip((0..=day).rev()) {
            *share = self.emerged(timing, day);
            // Nor had any emerged before.
            if *share <= 0.0 {
                break;
            }
        }
        emerged
    }

    /// Share of the life's eggs laid by the end of `day`, before the farm's correction.
    fn laid(&self, emerged: &Emerged, day: usize) -> f64 {
        let row = match &self.laid {
            Laid::ByAge(row) => Some(row),
            Laid::Rows(rows) => rows.get(day),
        };
        let [latest, earlier @ ..] = emerged;
        let (mut later, mut share) = (*latest, 0.0);
        for (laid, before) in row.into_iter().flatten().zip(earlier) {
            share += (later - before) * laid;
            later = *before;
            if later <= 0.0 {
                break;
            }
        }
        share + later
    }

    /// Share of the life's eggs laid by the end of `day`, before the farm's correction; the last day stands for those beyond the curve.
    #[must_use]
    pub fn uncorrected(&self, timing: Timing, day: usize) -> f64 {
        let day = day.min(self.len().saturating_sub(1));
        self.laid(&self.emerged_until(timing, day), day)
    }

    /// Shares laid on each day of `days`, counted from stocking; days beyond the curve are left out.
    #[must_use]
    #[inline]
    pub fn daily(&self, timing: Timing, days: Range<usize>) -> Daily<'_> {
        self.daily_as(timing, days, true)
    }

    /// The same before the farm's correction.
    pub(crate) fn daily_plain(&self, timing: Timing, days: Range<usize>) -> Daily<'_> {
        self.daily_as(timing, days, false)
    }

    #[inline]
    fn daily_as(&self, timing: Timing, days: Range<usize>, corrected: bool) -> Daily<'_> {
        let end = days.end.min(self.len());
        let start = days.start.min(end);
        let mut daily = Daily {
            curve: self,
            timing,
            emerged: [0.0; AGES + 1],
            corrected,
            days: start..end,
            laid: 0.0,
        };
        if let Some(day) = start.checked_sub(1) {
            daily.emerged = self.emerged_until(timing, day);
            daily.laid = daily.by(day);
        }
        daily
    }
}

/// The rows where a fly's age runs, in part or whole, in warmth.
fn rows(shape: &Shape, days: &[f64], parameters: &Parameters) -> Vec<[f64; AGES]> {
    let usual = (parameters.climate_mean_c - parameters.pupa_threshold_c).max(1.0);
    let (mut age, mut ages) = (0.0, Vec::with_capacity(days.len()));
    let row = |(t, day): (usize, &f64)| {
        let pace = (day / usual).clamp(0.3, 2.0);
        age += pace.powf(parameters.laying_clock);
        ages.push(age);
        std::array::from_fn(|lag| {
            let born = t.checked_sub(lag).and_then(|d| ages.get(d));
            born.map_or(0.0, |born| shape.laid_by(age - born + 1.0))
        })
    };
    days.iter().enumerate().map(row).collect()
}
