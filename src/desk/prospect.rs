//! What a farm gives and is to give, as pages show it: eggs by day, the coming fortnight, what is missing, and why somebody should go and look.
//!
//! What is at stake is measured against what was believed a week ago: what has been missing since, and what the belief has fallen by for the week
//! ahead, which is what the week loses if nothing changes. Pure. This room does not know how rows are kept or shown.

use crate::biology::history::Run as LearnedRun;
use crate::desk::estimate::Check;
use crate::desk::expecting::checks;
use crate::desk::farm::Farm;
use crate::desk::forecast::Sums;
use crate::desk::unit::Run;
use crate::domain::code::UnitCode;
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;
use chrono::Duration;
use serde::{Deserialize, Serialize};

/// Days ahead, and days of the forecast that is looked back at.
pub const AHEAD: usize = 14;
/// Days of eggs shown.
pub const BACK: usize = 28;
/// Days that missing eggs are counted over.
const WEEK: usize = 7;
/// Days without any entry after which a farm with running cages is silent: reminders came every morning (common practice, no source).
pub const SILENT_DAYS: i64 = 5;
/// Grams missing in a week from which on somebody should look: below that a pocket scale and a lucky day explain it.
const STAKE_FROM_CG: u32 = 500;
/// Cages named as the reason.
const NAMED_MAX: usize = 4;
/// The ends of a range lie so many standard deviations from its middle: one chance in ten.
const Z90: f64 = 1.281_551_565_5;

/// A day's range is taken to be no wider than this, as a standard deviation of the logarithm: one that begins next to nothing has no width.
const WIDEST: f64 = 1.2;
/// No cage's variance is more than this, in squared hundredths of a gram: a million of them still add up without overflow.
const VARIANCE_MAX: f64 = 1e12;

/// A variance in squared hundredths of a gram.
fn squared(variance: f64) -> i64 {
    (variance * 1e4).clamp(0.0, VARIANCE_MAX).round() as i64
}

/// Eggs of one day or of several together, so that sums over farms are exact: hundredths of a gram, and their squares.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Share {
    /// Mean.
    pub mean: i64,
    /// Variance of the farm's own.
    pub own: i64,
    /// Standard deviation that farms share, such as the weather's.
    pub shared: i64,
}

impl Share {
    /// Both together.
    pub fn add(&mut self, other: Self) {
        self.mean += other.mean;
        self.own += other.own;
        self.shared += other.shared;
    }

    /// Without the other.
    pub fn take(&mut self, other: Self) {
        self.mean -= other.mean;
        self.own -= other.own;
        self.shared -= other.shared;
    }

    /// Four chances in five: low, middle, high in grams, as of a log-normal with this mean and variance.
    #[must_use]
    pub fn range(&self) -> (f64, f64, f64) {
        if self.mean <= 0 {
            return (0.0, 0.0, 0.0);
        }
        let mean = self.mean as f64;
        let variance = self.own.max(0) as f64 + (self.shared as f64).powi(2);
        let spread = (1.0 + variance / (mean * mean)).ln();
        let (ln, sd) = (mean.ln() - spread / 2.0, spread.sqrt());
        let grams = |z: f64| (ln + z * sd).exp() / 100.0;
        (grams(-Z90), grams(0.0), grams(Z90))
    }
}

/// Why somebody should go and look.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Reason {
    /// These cages gave less than was expected; hundredths of a gram missing.
    Missing(Vec<UnitCode>, u32),
    /// Nothing was heard since that day.
    Silent(Option<FarmDay>),
    /// What to look at first.
    Look(Look),
}

/// What to look at first, as the farm's record shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Look {
    /// Water.
    Water,
    /// Bait.
    Bait,
    /// Heat.
    Heat,
    /// Ants.
    Ants,
}

/// A farm's row.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Prospect {
    /// The day it is of.
    pub day: FarmDay,
    /// Cages with flies or pupae in them.
    pub cages: u32,
    /// The day of the last entry.
    pub last_entry: Option<FarmDay>,
    /// Eggs of the last days, hundredths of a gram, the last being the day itself.
    pub taken: Vec<u32>,
    /// Each of the coming days.
    pub ahead: Vec<Share>,
    /// All of them together.
    pub fortnight: Share,
    /// What was expected of each of the last days, a fortnight ago, of the cages that stood then.
    pub looked_back: Vec<Share>,
    /// What those cages gave.
    pub came: Vec<u32>,
    /// Expected of the last week, a week ago, hundredths of a gram.
    pub expected: u32,
    /// Missing of it, and of the week ahead if nothing changes.
    pub missing: [u32; 2],
    /// Why somebody should go and look; none where nobody need.
    pub reasons: Vec<Reason>,
    /// Open questions.
    pub questions: u32,
}

impl Prospect {
    /// Eggs at stake, hundredths of a gram.
    #[must_use]
    pub fn at_stake(&self) -> u32 {
        self.missing
            .iter()
            .fold(0, |sum, cg| sum.saturating_add(*cg))
    }

    /// Whether somebody should look at it.
    #[must_use]
    pub fn needs_somebody(&self) -> bool {
        !self.reasons.is_empty()
    }
}

/// A run as believed at the end of `on`.
fn believed(sums: &Sums, run: &Run, on: FarmDay) -> Option<LearnedRun> {
    if run.stocked > on || sums.starts_late(run) {
        return None;
    }
    let (learned, _) = sums.learned(run, on + Duration::days(1), on)?;
    Some(learned)
}

/// One run's days from `on + 1`, as believed at the end of `on`.
fn days_after(sums: &Sums, run: &Run, on: FarmDay, total: &mut Share) -> Option<Vec<Share>> {
    let learned = believed(sums, run, on)?;
    let left = run
        .retired
        .map(|end| end.signed_duration_since(on).num_days().max(0));
    let left = left.and_then(|days| usize::try_from(days).ok());
    let forecast = learned.forecast(&sums.parameters, AHEAD, left);
    let noise = f64::from(learned.stocking.prior.day_noise) * sums.parameters.shared_noise.sqrt();
    total.mean += cg(forecast.moments.mean);
    total.own += squared(forecast.moments.own);
    let shared = forecast
        .moments
        .days
        .iter()
        .map(|day| (noise * day).powi(2));
    // Days' weather is independent: over the fortnight it adds up as squares, over farms as itself.
    total.shared += cg(shared.sum::<f64>().sqrt());
    let days = forecast.days.iter().zip(&forecast.moments.days);
    Some(
        days.map(|(range, mean)| {
            let spread = match (range.low > 0.0, range.high > 0.0) {
                (true, true) => ((range.high / range.low).ln() / (2.0 * Z90)).min(WIDEST),
                // A range that begins at nothing.
                _ => WIDEST,
            };
            let variance = mean * mean * ((spread * spread).exp() - 1.0);
            let shared = noise * mean;
            Share {
                mean: cg(*mean),
                own: squared(variance - shared * shared),
                shared: cg(shared),
            }
        })
        .collect(),
    )
}

fn cg(grams: f64) -> i64 {
    (grams * 100.0).round() as i64
}

fn taken_on(run: &Run, day: FarmDay) -> u32 {
    run.on(day).map_or(0, |harvest| harvest.grams.hundredths())
}

fn put(sum: &mut [Share], days: &[Share]) {
    for (sum, day) in sum.iter_mut().zip(days) {
        sum.add(*day);
    }
}

/// A farm's row of that day.
#[must_use]
pub fn of(rules: &Rules, farm: &Farm, today: FarmDay) -> Prospect {
    let sums = Sums::of(rules, farm);
    let before = |days: usize| today - Duration::days(i64::try_from(days).unwrap_or(0));
    let mut row = Prospect {
        day: today,
        cages: u32::try_from(farm.running().count()).unwrap_or(u32::MAX),
        last_entry: farm.last_entry,
        taken: vec![0; BACK],
        ahead: vec![Share::default(); AHEAD],
        looked_back: vec![Share::default(); AHEAD],
        came: vec![0; AHEAD],
        questions: u32::try_from(farm.questions.len()).unwrap_or(u32::MAX),
        ..Prospect::default()
    };
    let mut short: Vec<(i64, UnitCode)> = Vec::new();
    let mut fallen = 0;
    for unit in &farm.units {
        for run in unit.running.iter().chain(&unit.last) {
            for (back, taken) in (0..BACK).rev().zip(&mut row.taken) {
                *taken += taken_on(run, before(back));
            }
            let mut unused = Share::default();
            if let Some(days) = days_after(&sums, run, before(AHEAD), &mut unused) {
                put(&mut row.looked_back, &days);
                for (back, came) in (0..AHEAD).rev().zip(&mut row.came) {
                    *came += taken_on(run, before(back));
                }
            }
            if run.retired.is_some() {
                continue;
            }
            let now = days_after(&sums, run, today, &mut row.fortnight);
            if let Some(days) = &now {
                put(&mut row.ahead, days);
            }
            let Some(then) = believed(&sums, run, before(WEEK)) else {
                continue;
            };
            let then = then.moments(&sums.parameters, AHEAD).days;
            let (last, next) = then.split_at(WEEK.min(then.len()));
            let mean = |days: &[f64]| days.iter().map(|grams| cg(*grams)).sum::<i64>();
            let got: i64 = (0..WEEK)
                .map(|back| i64::from(taken_on(run, before(back))))
                .sum();
            let expected = mean(last);
            row.expected = row
                .expected
                .saturating_add(u32::try_from(expected).unwrap_or(0));
            short.push((expected - got, unit.code));
            let week = now.iter().flatten().take(WEEK);
            let now_next: i64 = week.map(|day| day.mean).sum();
            fallen += mean(next) - now_next;
        }
    }
    judge(rules, farm, &mut row, short, fallen);
    row
}

/// What is missing over all cages, and why somebody should go and look. A cage that gave more makes up for one that gave less.
fn judge(
    rules: &Rules,
    farm: &Farm,
    row: &mut Prospect,
    mut short: Vec<(i64, UnitCode)>,
    fallen: i64,
) {
    let missing: i64 = short.iter().map(|(cg, _)| cg).sum();
    let missing = u32::try_from(missing.max(0)).unwrap_or(u32::MAX);
    let silent = row.cages > 0
        && farm
            .last_entry
            .is_none_or(|day| row.day.signed_duration_since(day).num_days() >= SILENT_DAYS)
        && farm.away_until.is_none_or(|until| until <= row.day);
    if silent {
        row.reasons.push(Reason::Silent(farm.last_entry));
    }
    if missing < STAKE_FROM_CG || u64::from(missing) * 4 < u64::from(row.expected) {
        // Within a quarter of what was expected, or too little to tell: no reason to go.
        if silent {
            row.missing = [missing, 0];
        }
        return;
    }
    row.missing = [missing, u32::try_from(fallen.max(0)).unwrap_or(u32::MAX)];
    short.retain(|(cg, _)| *cg >= i64::from(STAKE_FROM_CG) / 5);
    short.sort_by_key(|(cg, code)| (std::cmp::Reverse(*cg), *code));
    let worst = short.first().map(|(_, code)| *code);
    short.truncate(NAMED_MAX);
    let cages = short.into_iter().map(|(_, code)| code).collect();
    row.reasons.push(Reason::Missing(cages, missing));
    if let Some(unit) = worst.and_then(|code| farm.unit(code)) {
        let first = checks(rules, farm, unit, row.day).into_iter().next();
        row.reasons.extend(first.map(|check| {
            Reason::Look(match check {
                Check::Water => Look::Water,
                Check::Bait => Look::Bait,
                Check::Heat => Look::Heat,
                Check::Ants => Look::Ants,
            })
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_come_apart_again_exactly() {
        let one = Share {
            mean: 1250,
            own: 40_000,
            shared: 125,
        };
        let other = Share {
            mean: 300,
            own: 900,
            shared: 30,
        };
        let mut sum = one;
        sum.add(other);
        sum.take(one);
        assert_eq!(sum, other);
        let (low, middle, high) = one.range();
        assert!(low < middle && middle < high);
        // A log-normal with mean 12.5 g and standard deviation sqrt(40000 + 125^2)/100 = 2.358 g.
        let spread: f64 = (1.0_f64 + (2.358_495_28_f64 / 12.5).powi(2)).ln();
        assert!((middle - 12.5 / (spread / 2.0).exp()).abs() < 1e-6);
        assert_eq!(Share::default().range(), (0.0, 0.0, 0.0));
    }
}
