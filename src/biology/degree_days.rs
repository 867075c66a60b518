//! Degree-days of one day from its lowest and highest temperature.
//!
//! Single sine with horizontal cut-off (Baskerville & Emin 1969, Ecology 50:514-517) is what the sums use; the simpler forms
//! are here because published tables are worked with them. All temperatures in one call share one unit; the result is in its degree-days.
//! This room does not know which stage is growing.

use std::f64::consts::PI;

/// One day's lowest and highest air temperature; the highest is never below the lowest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayRange {
    min: f64,
    max: f64,
}

impl DayRange {
    /// From a lowest and a highest; `None` where they are swapped or not numbers.
    #[must_use]
    pub fn new(min: f64, max: f64) -> Option<Self> {
        (min.is_finite() && max.is_finite() && min <= max).then_some(Self { min, max })
    }

    /// The lowest.
    #[must_use]
    pub const fn min(self) -> f64 {
        self.min
    }

    /// The highest.
    #[must_use]
    pub const fn max(self) -> f64 {
        self.max
    }

    /// Half-way between.
    #[must_use]
    pub const fn mean(self) -> f64 {
        f64::midpoint(self.min, self.max)
    }
}

/// Area under the day's sine above `threshold`.
fn sine_above(day: DayRange, threshold: f64) -> f64 {
    if day.max <= threshold {
        return 0.0;
    }
    if day.min >= threshold {
        return day.mean() - threshold;
    }
    let half = (day.max - day.min) / 2.0;
    let angle = ((threshold - day.mean()) / half).asin();
    ((day.mean() - threshold) * (PI / 2.0 - angle) + half * angle.cos()) / PI
}

/// Area under the day's triangle above `threshold`.
fn triangle_above(day: DayRange, threshold: f64) -> f64 {
    if day.max <= threshold {
        0.0
    } else if day.min >= threshold {
        day.mean() - threshold
    } else {
        (day.max - threshold).powi(2) / (2.0 * (day.max - day.min))
    }
}

/// Single sine, horizontal cut-off: above `upper` the clock runs no faster.
#[must_use]
pub fn single_sine(day: DayRange, lower: f64, upper: f64) -> f64 {
    sine_above(day, lower) - sine_above(day, upper)
}

/// Single triangle, horizontal cut-off.
#[must_use]
pub fn single_triangle(day: DayRange, lower: f64, upper: f64) -> f64 {
    triangle_above(day, lower) - triangle_above(day, upper)
}

/// The day's mean above `lower`, never negative.
#[must_use]
pub fn simple_average(day: DayRange, lower: f64) -> f64 {
    (day.mean() - lower).max(0.0)
}

/// Both ends first clamped into `lower..=upper`, then the simple average.
#[must_use]
pub fn clamped_average(day: DayRange, lower: f64, upper: f64) -> f64 {
    f64::midpoint(day.min.clamp(lower, upper), day.max.clamp(lower, upper)) - lower
}

/// The form that meteorological offices use: quarter corrections where the day crosses the base.
#[must_use]
pub fn meteorological(day: DayRange, base: f64) -> f64 {
    if day.min >= base {
        day.mean() - base
    } else if day.mean() >= base {
        (day.max - base) / 2.0 - (base - day.min) / 4.0
    } else if day.max > base {
        (day.max - base) / 4.0
    } else {
        0.0
    }
}
