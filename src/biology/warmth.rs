//! The warmth that a farm's cages have had, day by day, from whatever temperatures are known.
//!
//! Sources, best first: the farm's own readings, the ward's, the ward's monthly climate. A day without any is filled from its neighbours
//! and is marked, so that what is computed from it can be less sure. This room does not know who sent a reading.

use crate::biology::degree_days::DayRange;
use crate::biology::stages::Stage;
use crate::biology::tables::Parameters;
use crate::units::day::FarmDay;
use chrono::Datelike;
use std::collections::BTreeMap;

/// How far on each side a missing day looks for readings: about the time that weather takes to change for good.
const NEIGHBOUR_DAYS: i64 = 7;

/// Temperatures by day and source.
#[derive(Clone, Debug, Default)]
pub struct Temperatures {
    /// The farm's own readings.
    pub farm: BTreeMap<FarmDay, DayRange>,
    /// An officer's or sensor's readings for the ward.
    pub ward: BTreeMap<FarmDay, DayRange>,
    /// The ward's climate, January first.
    pub climate: Option<[DayRange; 12]>,
}

/// Where a day's temperature came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// Measured at the farm.
    Farm,
    /// Measured in the ward.
    Ward,
    /// Between measured days.
    Filled,
    /// The month's climate.
    Climate,
    /// Nothing is known: the table's stand-in.
    Assumed,
}

impl Temperatures {
    /// The day's range and where it came from. Never fails: the last resort is the table's stand-in climate.
    #[must_use]
    pub fn on(&self, day: FarmDay, parameters: &Parameters) -> (DayRange, Known) {
        if let Some(range) = self.farm.get(&day) {
            return (*range, Known::Farm);
        }
        if let Some(range) = self.ward.get(&day) {
            return (*range, Known::Ward);
        }
        if let Some(range) = self.near(day) {
            return (range, Known::Filled);
        }
        let month = usize::try_from(day.month0()).unwrap_or(0);
        if let Some(range) = self.climate.and_then(|year| year.get(month).copied()) {
            return (range, Known::Climate);
        }
        if let Some(range) = self.overall() {
            return (range, Known::Climate);
        }
        let (mean, swing) = (parameters.climate_mean_c, parameters.climate_swing_c);
        let range = DayRange::new(mean - swing, mean + swing)
            .expect("a mean and a swing that is not negative make a range");
        (range, Known::Assumed)
    }

    /// Mean of the readings within a week on both sides, nearer ones counting more.
    fn near(&self, day: FarmDay) -> Option<DayRange> {
        let reach = chrono::Duration::days(NEIGHBOUR_DAYS);
        let (from, to) = (
            day.checked_sub_signed(reach)?,
            day.checked_add_signed(reach)?,
        );
        let (mut weight, mut min, mut max) = (0.0, 0.0, 0.0);
        for (other, range) in self.farm.range(from..=to).chain(self.ward.range(from..=to)) {
            let nearness = 1.0
                / f64::from(i32::try_from((*other - day).num_days().abs()).unwrap_or(1)).max(1.0);
            weight += nearness;
            min += nearness * range.min();
            max += nearness * range.max();
        }
        (weight > 0.0).then(|| DayRange::new(min / weight, max / weight))?
    }

    /// Mean of the last readings there are, for days beyond every neighbour.
    fn overall(&self) -> Option<DayRange> {
        let source = if self.farm.is_empty() {
            &self.ward
        } else {
            &self.farm
        };
        let (mut n, mut min, mut max) = (0.0, 0.0, 0.0);
        for range in source.values().rev().take(60) {
            n += 1.0;
            min += range.min();
            max += range.max();
        }
        (n > 0.0).then(|| DayRange::new(min / n, max / n))?
    }
}

/// Warmth of consecutive days from a cage's stocking on, in pupal degree-days.
#[derive(Clone, Debug, PartialEq)]
pub struct Warmth {
    /// Degree-days of day 0 (the day of stocking), day 1 and so on.
    pub days: Vec<f64>,
    /// Share of those days that was measured, 0 to 1.
    pub measured: f64,
}

impl Warmth {
    /// The warmth of `count` days from `start`.
    #[must_use]
    pub fn from(
        start: FarmDay,
        count: usize,
        temperatures: &Temperatures,
        parameters: &Parameters,
    ) -> Self {
        let mut measured = 0.0;
        // Days without a reading of their own are alike for weeks.
        let mut before: Option<(DayRange, f64)> = None;
        let days: Vec<f64> = start
            .iter_days()
            .take(count)
            .map(|day| {
                let (range, known) = temperatures.on(day, parameters);
                if known <= Known::Filled {
                    measured += 1.0;
                }
                let same = before.filter(|(known, _)| *known == range);
                let warmth = match same {
                    Some((_, warmth)) => warmth,
                    None => Stage::Pupa.degree_days(parameters, range),
                };
                before = Some((range, warmth));
                warmth
            })
            .collect();
        let total = f64::from(u32::try_from(days.len().max(1)).unwrap_or(1));
        Self {
            days,
            measured: measured / total,
        }
    }
}
