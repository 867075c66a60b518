//! What may harm a farm: heat, cold, ants, silence, eggs that do not come or hatch in the trap, many dead flies, a crowd.
//!
//! Read off the farm's own record on a day; nothing here is kept. This room does not know whether anybody has been told before.

use crate::desk::farm::Farm;
use crate::desk::forecast::Sums;
use crate::desk::reply::{Stage, Warning};
use crate::desk::stage::stage;
use crate::desk::unit::{Run, Unit};
use crate::domain::CareJob;
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;

/// Warnings shown at once: a part of 160 septets holds two or three beside what was saved.
pub const WARNINGS_MAX: usize = 6;
/// Days without any entry after which a farm with laying cages is asked (common practice, no source).
const SILENT_DAYS: i64 = 2;
/// Days past the due day after which missing first eggs are a warning and not only late.
const NO_EGGS_DAYS: i64 = 2;
/// One dead fly, drying: a modelling choice.
const DEAD_FLY_G: f64 = 0.06;
/// A share of a cage's flies found dead at once that is more than age explains: a modelling choice.
const MANY_DEAD_SHARE: f64 = 0.25;
/// Dead flies that are many where the cage's pupae are unknown.
const MANY_DEAD_G: f64 = 100.0;
/// What may harm a farm on a day, worst first; at most [`WARNINGS_MAX`].
#[must_use]
pub fn standing(rules: &Rules, farm: &Farm, today: FarmDay) -> Vec<Warning> {
    let sums = Sums::of(rules, farm);
    let mut found = Vec::new();
    for (unit, run) in farm.running() {
        found.extend(at_unit(&sums, unit, run, today));
    }
    found.extend(air(rules, farm, today));
    found.extend(silence(&sums, farm, today));
    for (unit, run) in farm.running() {
        found.extend(eggs(&sums, farm, unit, run, today));
    }
    found.truncate(WARNINGS_MAX);
    found
}

/// Ants, dead flies and crowding, from what was reported today or is not yet mended.
fn at_unit(sums: &Sums, unit: &Unit, run: &Run, today: FarmDay) -> Vec<Warning> {
    let mut found = Vec::new();
    let moat = unit.last_care(CareJob::Moat);
    if let Some(ants) = unit.ants
        && ants >= run.stocked
        && days_from(ants, today) <= SILENT_DAYS
        && moat.is_none_or(|done| done < ants)
    {
        found.push(Warning::Ants(unit.code));
    }
    let dead = unit
        .dead
        .filter(|dead| dead.day == today)
        .and_then(|dead| dead.grams);
    let table = &sums.parameters;
    let flies = run
        .pupae
        .map(|pupae| f64::from(pupae.count()) * table.emergence_share);
    let many = flies.map_or(MANY_DEAD_G, |flies| flies * DEAD_FLY_G * MANY_DEAD_SHARE);
    if dead.is_some_and(|grams| grams.as_f64() >= many) {
        found.push(Warning::ManyDead(unit.code));
    }
    if run.stocked == today
        && flies.is_some_and(|flies| flies / table.cage_m3 > table.adults_per_m3_most)
    {
        found.push(Warning::Crowded(unit.code));
    }
    found
}

/// Heat and cold of today or, until today's reading comes, yesterday.
fn air(rules: &Rules, farm: &Farm, today: FarmDay) -> Option<Warning> {
    let last = farm.temperatures.last()?;
    if days_from(last.day, today) > 1 {
        return None;
    }
    if last.max >= rules.heat {
        Some(Warning::Heat(last.max))
    } else if last.min < rules.cold {
        Some(Warning::Cold(last.min))
    } else {
        None
    }
}

/// Laying cages of a farm that has said nothing for days.
fn silence(sums: &Sums, farm: &Farm, today: FarmDay) -> Option<Warning> {
    let days = days_from(farm.last_entry?, today);
    let units: Vec<_> = farm
        .running()
        .filter(|(_, run)| matches!(stage(sums, run, today), Stage::Laying { .. }))
        .map(|(unit, _)| unit.code)
        .collect();
    (days >= SILENT_DAYS && !units.is_empty()).then(|| Warning::NoEntry {
        days: u16::try_from(days).unwrap_or(u16::MAX),
        units,
    })
}

/// First eggs that do not come, and eggs that hatched because the trap was left too long.
fn eggs(sums: &Sums, farm: &Farm, unit: &Unit, run: &Run, today: FarmDay) -> Option<Warning> {
    if !matches!(stage(sums, run, today), Stage::Laying { .. }) {
        return None;
    }
    let unit_code = unit.code;
    if run.total().hundredths() == 0 {
        let days = days_from(sums.first_eggs(run), today);
        return (days >= NO_EGGS_DAYS).then(|| Warning::NoEggs {
            unit: unit_code,
            days: u16::try_from(days).unwrap_or(u16::MAX),
        });
    }
    let (last, _) = run.last_harvest()?;
    let earlier = run.harvests.iter().rev().nth(1).map(|h| run.day_of(h));
    let in_trap = if last == today {
        days_from(earlier?, today)
    } else {
        days_from(last, today)
    };
    let hatched = sums.hatching_days(today);
    if in_trap >= hatched {
        return Some(Warning::HatchedInTrap {
            unit: unit_code,
            days: u16::try_from(in_trap).unwrap_or(u16::MAX),
        });
    }
    // A farm that has said nothing for days is asked about all its traps at once.
    let told = farm
        .last_entry
        .is_some_and(|day| days_from(day, today) >= SILENT_DAYS);
    let soon = !told && last < today && in_trap > 1 && in_trap + 1 >= hatched;
    soon.then_some(Warning::HatchSoon(unit_code))
}

fn days_from(day: FarmDay, today: FarmDay) -> i64 {
    today.signed_duration_since(day).num_days()
}
