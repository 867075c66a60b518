//! Yesterday's line sent again: a phone keeps what was sent, and the wrong one is soon chosen.
//!
//! Three and more weights that are all what their cages had the day before are hardly ever chance: weights vary from day to day by a third,
//! and a scale shows tenths. One weight or two may well be: the same text the next morning is a new entry. This room records and asks nothing.

use crate::desk::farm::Farm;
use crate::domain::said::{DaySaid, Fact, Reading, Said, UnitSaid, Units};
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Days;

/// How telling the weights must be together: three of a gram and more, or more of smaller ones, which have few values on a scale of tenths.
const TELLING: u32 = 6;

/// Whether all weights of a line for today are those of the day before.
pub(crate) fn is_yesterdays(farm: &Farm, today: FarmDay, reading: &Reading) -> bool {
    let Some(yesterday) = today.checked_sub_days(Days::new(1)) else {
        return false;
    };
    let eggs: Vec<(UnitSaid, Grams)> = reading.said.iter().filter_map(weight_for_today).collect();
    let standing = |unit: &UnitSaid| {
        let run = farm.unit(unit.code).and_then(|u| u.running.as_ref())?;
        let untold = run.on(today).is_none();
        run.on(yesterday).filter(|_| untold).map(|h| h.grams)
    };
    let same = |(unit, grams): &(UnitSaid, Grams)| standing(unit) == Some(*grams);
    // A cage that was emptied since has no weight to compare.
    let runs =
        |(unit, _): &(UnitSaid, Grams)| farm.unit(unit.code).is_some_and(|u| u.running.is_some());
    let told: u32 = eggs
        .iter()
        .filter(|e| same(e))
        .map(|(_, grams)| telling(*grams))
        .sum();
    told >= TELLING && eggs.iter().filter(|e| runs(e)).all(same)
}

fn telling(grams: Grams) -> u32 {
    match grams.hundredths() {
        0..20 => 0,
        20..100 => 1,
        _ => 2,
    }
}

fn weight_for_today(said: &Said) -> Option<(UnitSaid, Grams)> {
    match (&said.fact, &said.units, said.day) {
        (
            Fact::Eggs { weight, add: false },
            Units::Named(units),
            DaySaid::Unsaid | DaySaid::Back(0),
        ) => Some((*units.first()?, weight.grams)),
        _ => None,
    }
}
