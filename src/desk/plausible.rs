//! What a cage can give, and what was probably meant where a number is beyond it.
//!
//! Pure sums over one run. This room does not know what happens to a number that is not plausible.

use crate::desk::unit::{DayHarvest, Run};
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// Hundredths of a gram that 1,000 pupae can give over a cage's life: 400 females at 27.1 mg (Macavei et al. 2020, PLoS ONE 15:e0232144).
const LIFE_HUNDREDTHS_PER_1000: u64 = 1080;
/// Percent of the life's eggs on the peak day of an ordinary good cage: a modelling choice, from 3.6 g per 1,000 pupae with a quarter at the peak.
const GOOD_DAY_PERCENT: u64 = 9;
/// Days without a harvest that add up in the traps; after that the first eggs have hatched (incubation of about four days).
const MISSED_DAYS_MAX: u64 = 3;
/// The most that any cage gives in a day where its pupae are unknown: a reading above is probably another unit; a modelling choice.
const UNKNOWN_DAY: u32 = 20_000;
/// How many times its own best day a cage that is past its first harvests may reach without a question.
const OWN_BEST_TIMES: u32 = 4;
/// Harvests with eggs that make a cage's own record worth comparing with.
const OWN_RECORD_MIN: usize = 3;
/// Harvests whose steadiness shows a slip of the decimal point.
const STEADY_DAYS: usize = 3;
/// A steady record this far back or farther says nothing about today.
const STEADY_WITHIN_DAYS: u16 = 6;
/// Below this a scale's own error hides a slip.
const STEADY_LEAST: u32 = 50;

/// Fewest pupae that somebody would stock a cage with; fewer is probably a weight in kilograms or thousands: a modelling choice.
const STOCK_LEAST: u32 = 100;
/// Most: about thirty thousand pupae a cubic metre is five times the densest published trial (6,500 adults; Hoc et al. 2019).
const STOCK_MOST: u32 = 30_000;

/// How a weight stands to what the cage can give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It may well be.
    Plausible,
    /// It is beyond `most`, or a slip of the decimal point is near certain.
    Held {
        /// The most that is plausible.
        most: Grams,
        /// What was probably meant.
        likely: Option<Grams>,
    },
}

/// Judges the total weight of one day in a run. `grams` stands instead of whatever the run has on that day.
#[must_use]
pub fn judge(run: &Run, day: FarmDay, grams: Grams) -> Verdict {
    let most = most_on(run, day);
    if grams > most {
        let likely = [10, 100, 1000]
            .into_iter()
            .filter_map(|by| shifted_down(grams, by))
            .find(|g| *g <= most && !is_slip(run, day, *g));
        return Verdict::Held { most, likely };
    }
    match slip(run, day, grams) {
        Some(likely) => Verdict::Held {
            most,
            likely: Some(likely),
        },
        None => Verdict::Plausible,
    }
}

/// Whether the weight would be saved without a question.
#[must_use]
pub fn is_plausible(run: &Run, day: FarmDay, grams: Grams) -> bool {
    judge(run, day, grams) == Verdict::Plausible
}

/// The most that a run can have given on a day: by its pupae, by what it has given already, and by its own best days.
#[must_use]
pub fn most_on(run: &Run, day: FarmDay) -> Grams {
    let others = Others::of(run, day);
    let days = others.days_in_traps(run.age(day));
    let Some(pupae) = run.pupae else {
        let ceiling = Grams::from_hundredths(UNKNOWN_DAY).unwrap_or(Grams::MAX);
        return others
            .own_best(days)
            .map_or(ceiling, |own| own.max(small(UNKNOWN_DAY / 10)).min(ceiling));
    };
    let life = u64::from(pupae.count()) * LIFE_HUNDREDTHS_PER_1000 / 1000;
    let left = life.saturating_sub(u64::from(others.total.hundredths()));
    let by_day = life * steepest_percent(days) / 100;
    let own = others.own_best(days).map_or(u64::MAX, |own| {
        u64::from(own.hundredths()).max(life * GOOD_DAY_PERCENT / 100 * days)
    });
    let most = left.min(by_day).min(own);
    u32::try_from(most)
        .ok()
        .and_then(Grams::from_hundredths)
        .unwrap_or(Grams::MAX)
}

/// Percent of the life's eggs that so many days can bring together: the steepest published day of a one-age cage is about a quarter, and its
/// neighbours are less steep; a modelling choice.
const fn steepest_percent(days: u64) -> u64 {
    match days {
        0 | 1 => 35,
        2 => 55,
        _ => 65,
    }
}

fn small(hundredths: u32) -> Grams {
    Grams::from_hundredths(hundredths).unwrap_or(Grams::MAX)
}

/// The run's other days, seen from one day.
struct Others<'a> {
    /// Up to the day before, oldest first.
    before: &'a [DayHarvest],
    /// All other days.
    total: Grams,
    best: Grams,
    with_eggs: usize,
}

impl<'a> Others<'a> {
    fn of(run: &'a Run, day: FarmDay) -> Self {
        let age = run.age(day);
        let split = run.harvests.partition_point(|h| i64::from(h.day) < age);
        let others = run.harvests.iter().filter(|h| i64::from(h.day) != age);
        let mut seen = Self {
            before: run.harvests.get(..split).unwrap_or(&[]),
            total: Grams::ZERO,
            best: Grams::ZERO,
            with_eggs: 0,
        };
        for harvest in others {
            seen.total = seen.total.plus(harvest.grams);
            seen.best = seen.best.max(harvest.grams);
            seen.with_eggs += usize::from(harvest.grams > Grams::ZERO);
        }
        seen
    }

    /// Days whose eggs lie in the traps, 1 to three. Before the first harvest nothing tells since when flies lay, so it counts as one.
    fn days_in_traps(&self, age: i64) -> u64 {
        let since = self.before.last().map_or(1, |h| age - i64::from(h.day));
        u64::try_from(since).unwrap_or(1).clamp(1, MISSED_DAYS_MAX)
    }

    fn own_best(&self, days: u64) -> Option<Grams> {
        let times = OWN_BEST_TIMES * u32::try_from(days).unwrap_or(1);
        (self.with_eggs >= OWN_RECORD_MIN)
            .then(|| small(self.best.hundredths().saturating_mul(times)))
    }
}

/// The steady level of the last harvests before a day, in hundredths: their middle one, where they agree within a factor of two.
fn steady_level(run: &Run, day: FarmDay) -> Option<(u32, u32)> {
    let others = Others::of(run, day);
    let from = others.before.len().checked_sub(STEADY_DAYS)?;
    let recent = others.before.get(from..)?;
    let age = u16::try_from(run.age(day)).ok()?;
    let near = recent.iter().all(|h| h.day + STEADY_WITHIN_DAYS >= age);
    let mut weights: Vec<u32> = recent.iter().map(|h| h.grams.hundredths()).collect();
    let last = *weights.last()?;
    weights.sort_unstable();
    let (least, middle, most) = (*weights.first()?, *weights.get(1)?, *weights.last()?);
    let daily = others.days_in_traps(i64::from(age)) == 1;
    (near && daily && least >= STEADY_LEAST && most <= least.saturating_mul(2))
        .then_some((middle, last))
}

/// Whether two weights agree within a quarter.
fn agree(a: u32, b: u32) -> bool {
    let (a, b) = (u64::from(a), u64::from(b));
    a * 4 <= b * 5 && b * 4 <= a * 5
}

/// What a slip by exactly ten was probably meant to be: the record was steady, and only the shifted number fits it.
fn slip(run: &Run, day: FarmDay, grams: Grams) -> Option<Grams> {
    let (middle, last) = steady_level(run, day)?;
    let fits = |g: Grams| agree(g.hundredths(), middle) && agree(g.hundredths(), last);
    let up = Grams::from_hundredths(grams.hundredths().checked_mul(10)?);
    let down = shifted_down(grams, 10);
    // Early in a run a tenfold rise in a day is the onset of laying, later it is not.
    let onset = run.age(day) < 14;
    up.filter(|g| fits(*g))
        .or_else(|| down.filter(|g| !onset && fits(*g)))
}

fn is_slip(run: &Run, day: FarmDay, grams: Grams) -> bool {
    slip(run, day, grams).is_some()
}

/// The weight with its decimal point moved left, where it then still has at most two decimals and is not nothing.
fn shifted_down(grams: Grams, by: u32) -> Option<Grams> {
    let whole = grams.hundredths().is_multiple_of(by);
    (whole && grams > Grams::ZERO)
        .then(|| Grams::from_hundredths(grams.hundredths() / by))
        .flatten()
}

/// Pupae of a weight, at so many milligrams each; at most [`Pupae::MAX`].
#[must_use]
pub fn pupae_of(weight: Grams, pupa_mg: u16) -> Pupae {
    let mg = u64::from(pupa_mg.max(1));
    let count = (u64::from(weight.hundredths()) * 10 + mg / 2) / mg;
    u32::try_from(count)
        .ok()
        .and_then(Pupae::new)
        .unwrap_or(Pupae::MAX)
}

/// Whether somebody would stock a cage with so many.
#[must_use]
pub fn is_plausible_stock(pupae: Pupae) -> bool {
    (STOCK_LEAST..=STOCK_MOST).contains(&pupae.count())
}

/// What an implausible stocking was probably meant to be; with its weight, where it was said by weight.
#[must_use]
pub fn likely_stock(
    pupae: Pupae,
    weight: Option<Grams>,
    pupa_mg: u16,
) -> Option<(Pupae, Option<Grams>)> {
    if let Some(weight) = weight {
        let up = weight
            .hundredths()
            .checked_mul(1000)
            .and_then(Grams::from_hundredths);
        return [up, shifted_down(weight, 10), shifted_down(weight, 100)]
            .into_iter()
            .flatten()
            .map(|w| (pupae_of(w, pupa_mg), Some(w)))
            .find(|(count, _)| is_plausible_stock(*count));
    }
    let count = pupae.count();
    let candidates = if count > STOCK_MOST {
        [
            count.is_multiple_of(10).then_some(count / 10),
            count.is_multiple_of(100).then_some(count / 100),
        ]
    } else {
        [count.checked_mul(1000), None]
    };
    candidates
        .into_iter()
        .flatten()
        .filter_map(Pupae::new)
        .find(|p| is_plausible_stock(*p))
        .map(|p| (p, None))
}
