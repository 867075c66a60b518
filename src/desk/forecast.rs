//! From a farm's record to what its cages will give: the one place where the desk meets the sums.
//!
//! What is believed of a cage is kept with its run, see `desk::learning`. This room does not word or judge anything.

use crate::biology::degree_days::DayRange;
use crate::biology::history::Run as Learned;
use crate::biology::learned::Learned as Kept;
use crate::biology::mixture::Range;
use crate::biology::prior::{MODEL_VERSION, Prior, Spread};
use crate::biology::stages::Stage as Growth;
use crate::biology::sums::Sum;
use crate::biology::tables::Parameters;
use crate::biology::warmth::Temperatures;
use crate::biology::warning::{Seen, low_yield};
use crate::desk::estimate::{Compared, Estimate};
use crate::desk::farm::Farm;
use crate::desk::unit::Run;
use crate::domain::StockKind;
use crate::domain::code::UnitCode;
use crate::domain::event;
use crate::domain::rules::Rules;
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Duration;

/// Days that a week's forecast covers.
pub(crate) const WEEK: usize = 7;
/// Days since the last harvest after which a weight is not compared: the oldest of those eggs have hatched.
const COMPARED_DAYS_MAX: i64 = 3;
/// Earlier harvests from which on a weight is compared: before that a cage has no record of its own to stand by.
const COMPARED_FROM: usize = 3;
/// Harvests from which on a cage's own course says when it is over.
const RETIRE_FROM: usize = 7;
/// A record that begins so many days after first eggs were due is not learned from: what was laid before it is not on it.
const LATE_START_DAYS: i64 = 4;
/// Readings since stocking from which on a farm's own warmth moves the day of its first eggs.
const READINGS_MIN: usize = 3;
/// Ranges whose high end is below this are not told: a scale cannot tell them from nothing.
const TOLD_FROM_G: f64 = 0.3;
/// A weight this close to an end of its range counts as inside: half a step of a pocket scale.
const SCALE_SLACK_G: f64 = 0.05;
/// The longest that first eggs are looked for ahead: colder than that, nothing develops.
const FIRST_EGGS_DAYS_MAX: u16 = 60;

/// A run that was learned while its harvest was compared: what is to be kept of it, if that harvest is its last.
pub(crate) struct Fresh {
    pub(crate) unit: UnitCode,
    pub(crate) stocked: FarmDay,
    pub(crate) age: u16,
    pub(crate) grams: Grams,
    pub(crate) kept: Kept,
}

/// A cooperative's parameters and a farm's temperatures.
#[derive(Clone, Debug)]
pub struct Sums {
    /// The numbers of the trade.
    pub parameters: Parameters,
    pub(crate) temperatures: Temperatures,
    first_eggs_days: u16,
    retire_days: u16,
}

/// A harvest that is to be compared, before it is learned.
pub(crate) struct Awaited {
    learned: Learned,
    seen: Vec<Seen>,
    stocked: FarmDay,
    day: FarmDay,
    age: u16,
    /// What was expected.
    pub(crate) range: Range,
}

/// The parameters that a cooperative's rules make: the table's, with what the rules set. What is out of bounds was refused when it was set.
#[must_use]
pub fn parameters(rules: &Rules) -> Parameters {
    let mut parameters = Parameters::default();
    let own = [
        ("retire_days", f64::from(rules.retire_days)),
        ("pupa_mg", f64::from(rules.pupa_mg)),
    ];
    let set = rules
        .model
        .iter()
        .map(|(name, value)| (name.as_str(), *value));
    for (name, value) in own.into_iter().chain(set) {
        // A rule outside the table's bounds (a retirement after three months) leaves the table's value.
        let _kept = parameters.set(name, value);
    }
    parameters
}

impl Sums {
    /// Of a farm.
    #[must_use]
    pub fn of(rules: &Rules, farm: &Farm) -> Self {
        let range = |min: f64, max: f64| DayRange::new(min, max);
        let own = farm.temperatures.iter();
        let ward = rules.ward.air.iter();
        let climate: Vec<DayRange> = rules
            .climate
            .iter()
            .filter_map(|(min, max)| range(min.as_f64(), max.as_f64()))
            .collect();
        Self {
            parameters: parameters(rules),
            temperatures: Temperatures {
                farm: own
                    .filter_map(|t| Some((t.day, range(t.min.as_f64(), t.max.as_f64())?)))
                    .collect(),
                ward: ward
                    .filter_map(|t| Some((t.day, range(t.min.as_f64(), t.max.as_f64())?)))
                    .collect(),
                climate: climate.try_into().ok(),
            },
            first_eggs_days: rules.first_eggs_days,
            retire_days: rules.retire_days,
        }
    }

    /// The day on which a run's first eggs are due: the rules' days at the table's usual warmth, sooner or later by the degree-days it has had.
    #[must_use]
    pub fn first_eggs(&self, run: &Run) -> FarmDay {
        let after = |days: u16| run.stocked + Duration::days(i64::from(days));
        let usual = self.usual_warmth();
        // What the farm's or the ward's finished cages taught about the age of what is stocked here.
        let carried = run.prior.as_ref().map(|_| {
            let prior = prior_of(run.kind, run.prior.as_ref(), &self.parameters);
            f64::from(prior.delay.mean)
        });
        let mut wanted = f64::from(self.first_eggs_days) * usual + carried.unwrap_or(0.0);
        let (farm, ward) = (&self.temperatures.farm, &self.temperatures.ward);
        let readings = farm.range(run.stocked..).chain(ward.range(run.stocked..));
        let readings = readings.count();
        if readings < READINGS_MIN && self.temperatures.climate.is_none() {
            let days = (wanted / usual).round();
            return after(days.clamp(0.0, f64::from(FIRST_EGGS_DAYS_MAX)) as u16);
        }
        for days in 0..FIRST_EGGS_DAYS_MAX {
            // A hundredth of a degree-day is rounding, not warmth.
            if wanted <= 0.01 {
                return after(days);
            }
            wanted -= self.warmth_on(after(days));
        }
        after(FIRST_EGGS_DAYS_MAX)
    }

    /// The day by which a run is to be retired, whatever it still gives.
    #[must_use]
    pub fn retire_by(&self, run: &Run) -> FarmDay {
        run.stocked + Duration::days(i64::from(self.retire_days))
    }

    /// The day on which a run is to be retired: its latest, or today where its eggs have ended and the sums expect no more that are worth its space.
    ///
    /// The record is asked before the sums, so that a list of tasks costs nothing for cages that lay.
    #[must_use]
    pub fn retire_due(&self, run: &Run, today: FarmDay) -> FarmDay {
        let latest = self.retire_by(run);
        let fresh = run.last_harvest().is_some_and(|(day, _)| {
            today.signed_duration_since(day).num_days() <= COMPARED_DAYS_MAX
        });
        if today >= latest || run.harvests.len() < RETIRE_FROM || !fresh {
            return latest;
        }
        let worth = run.best_week().as_f64() * self.parameters.retire_share;
        if run.week_to(today).as_f64() >= worth {
            return latest;
        }
        match self.today(run, today) {
            Some(learned) if learned.total(&self.parameters, WEEK).middle < worth => today,
            _ => latest,
        }
    }

    /// Days that eggs may lie in a trap before the first hatch, at the air of the last days; at least 1.
    #[must_use]
    pub fn hatching_days(&self, today: FarmDay) -> i64 {
        let days = (0..WEEK as i64).map(|back| today - Duration::days(back));
        let warmth = days.map(|day| {
            let (range, _) = self.temperatures.on(day, &self.parameters);
            Growth::Egg.degree_days(&self.parameters, range)
        });
        let a_day = warmth.sum::<f64>() / WEEK as f64;
        let days = self.parameters.egg_constant_dd / a_day.max(1.0);
        days.floor().max(1.0) as i64
    }

    fn warmth_on(&self, day: FarmDay) -> f64 {
        let (range, _) = self.temperatures.on(day, &self.parameters);
        Growth::Pupa.degree_days(&self.parameters, range)
    }

    /// Degree-days of a day where no temperature is known.
    fn usual_warmth(&self) -> f64 {
        let (mean, swing) = (
            self.parameters.climate_mean_c,
            self.parameters.climate_swing_c,
        );
        DayRange::new(mean - swing, mean + swing).map_or(1.0, |range| {
            Growth::Pupa.degree_days(&self.parameters, range)
        })
    }

    /// Mean degree-days of the days around `today`.
    pub(crate) fn warmth_now(&self, today: FarmDay) -> f64 {
        let days = (0..7).map(|back| self.warmth_on(today - Duration::days(back)));
        days.sum::<f64>() / 7.0
    }

    /// Whether the record began long after the cage laid.
    pub(crate) fn starts_late(&self, run: &Run) -> bool {
        let due = self.first_eggs(run) + Duration::days(LATE_START_DAYS);
        run.harvests.first().is_some_and(|h| run.day_of(h) > due)
    }

    /// What is believed of a run today; none where its record began too late to tell.
    pub(crate) fn today(&self, run: &Run, today: FarmDay) -> Option<Learned> {
        if self.starts_late(run) {
            return None;
        }
        let tomorrow = today + Duration::days(1);
        self.learned(run, tomorrow, today)
            .map(|(learned, _)| learned)
    }

    /// The coming week of a run that goes on.
    pub(crate) fn week(&self, run: &Run, today: FarmDay) -> Option<Estimate> {
        let range = self.today(run, today)?.total(&self.parameters, WEEK);
        (range.high >= TOLD_FROM_G).then(|| Estimate::of(&range))
    }

    /// The coming week of all running cages together; none where there are none, or where one of them cannot be told: a part is no total.
    pub(crate) fn farm_week(&self, farm: &Farm, today: FarmDay) -> Option<Estimate> {
        let mut sum = Sum::default();
        for (_, run) in farm
            .running()
            .filter(|(_, run)| today <= self.retire_by(run))
        {
            let learned = self.today(run, today)?;
            let moments = learned.moments(&self.parameters, WEEK);
            let noise = learned.stocking.prior.day_noise;
            sum.add(&moments, noise.into(), &self.parameters);
        }
        let range = sum.range();
        (range.high >= TOLD_FROM_G).then(|| Estimate::of(&range))
    }

    /// The day after which a run is not worth its space, as an estimate; the rules' latest day at the latest.
    pub(crate) fn retire_estimate(&self, run: &Run, today: FarmDay) -> FarmDay {
        let latest = self.retire_by(run);
        if run.harvests.len() < RETIRE_FROM {
            return latest;
        }
        let Some(learned) = self.today(run, today) else {
            return latest;
        };
        let retire = learned.milestones(run.stocked, &self.parameters).retire;
        let ahead = learned.total(&self.parameters, WEEK);
        // A cage whose coming week is worth its space stays for it, whatever the mean course says.
        let worth = run.week_to(today).as_f64() * self.parameters.retire_share;
        let stays = if ahead.middle > worth {
            today + Duration::days(7)
        } else {
            today
        };
        retire.max(stays).min(latest)
    }

    /// What a harvest of `day` is to be compared with; none for a day before the run's last harvest, or after too long a gap.
    pub(crate) fn ahead_of(&self, run: &Run, day: FarmDay) -> Option<Awaited> {
        let age = u16::try_from(run.age(day)).ok()?;
        if run.harvests.last().is_some_and(|h| h.day > age) || self.starts_late(run) {
            return None;
        }
        let before = run.harvests.iter().rev().skip_while(|h| h.day >= age);
        let since = run.day_of(
            before
                .clone()
                .nth(COMPARED_FROM - 1)
                .and(before.clone().next())?,
        );
        let gap = day.signed_duration_since(since).num_days();
        if gap > COMPARED_DAYS_MAX {
            return None;
        }
        let (learned, seen) = self.learned(run, day, since)?;
        let count = usize::try_from(gap).ok()?;
        let range = learned.total(&self.parameters, count);
        Some(Awaited {
            learned,
            seen,
            stocked: run.stocked,
            day,
            age,
            range,
        })
    }
}

impl Sums {
    /// What a weight of `day` may be where the cage has too few harvests to be compared with: from the table and what there is.
    pub(crate) fn early_range(&self, run: &Run, day: FarmDay) -> Option<Range> {
        let age = run.age(day);
        if run.harvests.last().is_some_and(|h| i64::from(h.day) > age) {
            return None;
        }
        let longest = day - Duration::days(COMPARED_DAYS_MAX);
        let before = run.harvests.iter().rev().find(|h| i64::from(h.day) < age);
        let since = before.map_or(longest, |h| run.day_of(h));
        if since < longest {
            return None;
        }
        let (learned, _) = self.learned(run, day, since)?;
        let count = usize::try_from(day.signed_duration_since(since).num_days()).ok()?;
        Some(learned.forecast(&self.parameters, count, None).total)
    }
}

impl Awaited {
    /// How the day's weight compares; nothing where next to nothing was expected and came.
    pub(crate) fn compared(&self, grams: Grams) -> Option<Compared> {
        let grams = grams.as_f64();
        let expected = Estimate::of(&self.range);
        if self.range.high < TOLD_FROM_G && grams < 2.0 * TOLD_FROM_G {
            return None;
        }
        Some(if grams + SCALE_SLACK_G < self.range.low {
            Compared::Low(expected)
        } else if grams > self.range.high + SCALE_SLACK_G {
            Compared::High(expected)
        } else {
            Compared::AsExpected
        })
    }

    /// Learns the day's weight.
    pub(crate) fn learn(&mut self, grams: Grams, parameters: &Parameters) -> bool {
        let learned = self.learned.learn(parameters, self.age, grams.as_f64());
        let surprise = learned.map(|surprise| (self.day, grams.as_f64(), surprise));
        self.seen.extend(surprise);
        surprise.is_some()
    }

    /// Whether the day's weight, which has been learned, is one of a run so poor that the keeper is warned.
    pub(crate) fn counts_poor(&self, parameters: &Parameters) -> bool {
        let memory = self.learned.stocking.prior.noise_memory.into();
        let warned = low_yield(&self.seen, memory, parameters);
        warned.last().is_some_and(|last| last.day == self.day)
    }

    /// What is to be kept of the run with the weight that has been learned; none where the run was learned anew, which is done once the message has
    /// changed all that it changes.
    pub(crate) fn fresh(&self, unit: UnitCode, grams: Grams) -> Option<Fresh> {
        self.learned.resumed.then(|| Fresh {
            unit,
            stocked: self.stocked,
            age: self.age,
            grams,
            kept: self.learned.kept(self.stocked, &self.seen),
        })
    }
}

/// Stockings of the first version carried only the yield, as mean and standard deviation.
const YIELD_ONLY: u16 = 1;

/// The prior of a run: what its stocking carries, else the table's of its kind.
pub(crate) fn prior_of(
    kind: StockKind,
    carried: Option<&event::Prior>,
    parameters: &Parameters,
) -> Prior {
    let whole = carried.filter(|carried| carried.model == MODEL_VERSION);
    if let Some(prior) = whole.and_then(|carried| Prior::from_numbers(&carried.numbers)) {
        return prior;
    }
    let mut prior = Prior::of_the_table(kind, parameters);
    if let Some(carried) = carried.filter(|carried| carried.model == YIELD_ONLY)
        && let [mean, sd, ..] = carried.numbers.as_slice()
        && mean.is_finite()
        && *sd > 0.0
    {
        prior.scale = Spread {
            mean: *mean,
            sd: *sd,
        };
    }
    prior
}
