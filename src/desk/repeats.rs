//! Yesterday's line sent again: a phone keeps what was sent, and the wrong one is soon chosen.
//!
//! A line is yesterday's where all that it says of today is what stands for the day before, and so much of it is the same that chance would
//! seldom do it: weights vary from day to day by a third, and a scale shows tenths. A day's water and a harvest of nothing say little, two
//! temperatures or a weight of dead flies say much. This room records and asks nothing.

use crate::desk::farm::Farm;
use crate::desk::unit::Unit;
use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::said::{DaySaid, Fact, Reading, Said, UnitSaid, Units};
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Days;

/// How telling the whole must be, in natural logarithms: chance makes such a line once in ten. A line of yesterday's is sent perhaps once in
/// a thousand, so most questions are needless; but they are few, for most lines differ somewhere, and a `yes` answers them.
const TELLING: f64 = 2.3;
/// Numbers that are enough by themselves. Fewer say something only where the cages have a record in which no day was like the day before: the
/// same text the next morning may well be a new entry.
const MARKS: usize = 2;
/// Harvests with eggs that make such a record.
const RECORD: usize = 3;
/// Smaller weights, in hundredths of a gram, are alike by chance.
const ALIKE: u32 = 300;
/// Chance that a day's weight is that of the day before, times grams: a step of 0.1 g against a spread of about half the weight (a modelling choice).
const SAME_GRAM: f64 = 0.08;
/// The same for weights so small that they have few values, and for nothing.
const SAME_AT_MOST: f64 = 0.5;
/// The same two temperatures: each has about six values (a modelling choice), as is what follows.
const SAME_TEMPERATURE: f64 = 3.6;
/// The same weight of dead flies.
const SAME_DEAD: f64 = 3.0;
/// Ants again.
const SAME_ANTS: f64 = 0.7;
/// A job that is due every few days, done again.
const SAME_CARE: f64 = 1.2;

/// Whether all of a line for today is what stands for the day before.
pub(crate) fn is_yesterdays(farm: &Farm, today: FarmDay, reading: &Reading) -> bool {
    let Some(yesterday) = today.checked_sub_days(Days::new(1)) else {
        return false;
    };
    let mut told = 0.0;
    let mut marks = 0;
    let mut weights = false;
    for said in &reading.said {
        let Some(same) = sameness(farm, today, yesterday, said) else {
            return false;
        };
        marks += usize::from(same > 0.0 && has_number(&said.fact));
        weights |= same > 0.0 && matches!(said.fact, Fact::Eggs { .. });
        told += same;
    }
    let varied = || {
        reading
            .said
            .iter()
            .filter(|said| matches!(said.fact, Fact::Eggs { .. }))
            .all(|said| varies(farm, today, said))
    };
    weights && told >= TELLING && (marks >= MARKS || varied())
}

/// Whether the record of a weight's cage is long enough, and its days differ.
fn varies(farm: &Farm, today: FarmDay, said: &Said) -> bool {
    let Units::Named(units) = &said.units else {
        return false;
    };
    units.iter().all(|unit| {
        let run = farm.unit(unit.code).and_then(|u| u.running.as_ref());
        run.is_none_or(|run| {
            let grams: Vec<Grams> = run.harvests.iter().map(|h| h.grams).collect();
            let alike = grams.windows(2).any(|w| {
                w.first() == w.last() && w.first().is_some_and(|g| g.hundredths() >= ALIKE)
            });
            let with_eggs = grams.iter().filter(|g| **g > Grams::ZERO).count();
            run.stocked == today || (with_eggs >= RECORD && !alike)
        })
    })
}

fn has_number(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::Eggs { .. } | Fact::Dead(Some(_)) | Fact::Temperature { .. }
    )
}

/// How telling it is that one thing stands for the day before; none where it does not.
fn sameness(farm: &Farm, today: FarmDay, yesterday: FarmDay, said: &Said) -> Option<f64> {
    if !matches!(said.day, DaySaid::Unsaid | DaySaid::Back(0)) {
        return None;
    }
    if let Fact::Temperature { min, max } = said.fact {
        let on = |day| farm.temperatures.iter().find(move |t| t.day == day);
        let same = on(yesterday).is_some_and(|t| t.min == min && t.max == max);
        return (same && on(today).is_none()).then_some(SAME_TEMPERATURE);
    }
    match (&said.units, &said.fact) {
        // Farms change by a cage between two days: care of all of them is no sign either way.
        (Units::All | Units::Unsaid, Fact::Care(job)) => {
            let again = |unit: &Unit| unit.last_care(*job) == Some(yesterday);
            let all = farm
                .running()
                .all(|(unit, run)| run.stocked >= yesterday || again(unit));
            Some(if all && *job != CareJob::Water {
                SAME_CARE
            } else {
                0.0
            })
        }
        (Units::Named(units), fact) => units.iter().try_fold(0.0, |sum, unit| {
            Some(sum + at_unit(farm, today, yesterday, *unit, fact)?)
        }),
        _ => None,
    }
}

fn at_unit(
    farm: &Farm,
    today: FarmDay,
    yesterday: FarmDay,
    said: UnitSaid,
    fact: &Fact,
) -> Option<f64> {
    match fact {
        Fact::Eggs { weight, add: false } => {
            same_weight(farm, today, yesterday, said, weight.grams)
        }
        Fact::Care(job) => same_care(farm, today, yesterday, said.code, *job),
        Fact::Dead(grams) => {
            let dead = farm.unit(said.code)?.dead?;
            (dead.day == yesterday && dead.grams == *grams).then_some(if grams.is_some() {
                SAME_DEAD
            } else {
                SAME_ANTS
            })
        }
        Fact::Ants => (farm.unit(said.code)?.ants == Some(yesterday)).then_some(SAME_ANTS),
        _ => None,
    }
}

fn same_weight(
    farm: &Farm,
    today: FarmDay,
    yesterday: FarmDay,
    said: UnitSaid,
    grams: Grams,
) -> Option<f64> {
    let unit = farm.unit(said.code)?;
    // A cage that was emptied or stocked since has no weight to compare.
    let Some(run) = unit.running.as_ref().filter(|run| run.stocked < today) else {
        return Some(0.0);
    };
    let same = run.on(yesterday).is_some_and(|h| h.grams == grams) && run.on(today).is_none();
    same.then(|| {
        let chance = SAME_GRAM / grams.as_f64().max(SAME_GRAM);
        -chance.min(SAME_AT_MOST).ln()
    })
}

fn same_care(
    farm: &Farm,
    today: FarmDay,
    yesterday: FarmDay,
    code: UnitCode,
    job: CareJob,
) -> Option<f64> {
    let daily = job == CareJob::Water;
    let last = farm.unit(code)?.last_care(job);
    // Done today already: whether it was done yesterday too is not kept.
    if last == Some(today) {
        return Some(0.0);
    }
    (last == Some(yesterday)).then_some(if daily { 0.3 } else { SAME_CARE })
}
