//! Yesterday's line sent again: a phone keeps what was sent, and the wrong one is soon chosen.
//!
//! Two and more weights that are all what their cages had the day before are hardly ever chance: weights vary from day to day by a third,
//! and a scale shows tenths. One weight alone may well be. This room records and asks nothing.

use crate::desk::farm::Farm;
use crate::domain::said::{DaySaid, Fact, Reading, Said, UnitSaid, Units};
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Days;

/// Weights that must agree, of at least [`TELLING`] each: smaller ones have few values on a scale of tenths.
const LEAST: usize = 2;
/// A gram.
const TELLING: u32 = 100;

/// Whether all weights of a line for today are those of the day before.
pub(crate) fn is_yesterdays(farm: &Farm, today: FarmDay, reading: &Reading) -> bool {
    let Some(yesterday) = today.checked_sub_days(Days::new(1)) else {
        return false;
    };
    let eggs: Vec<(UnitSaid, Grams)> = reading.said.iter().filter_map(weight_for_today).collect();
    let told = eggs.iter().filter(|(_, grams)| grams.hundredths() >= TELLING).count();
    told >= LEAST
        && eggs.iter().all(|(unit, grams)| {
            let run = farm.unit(unit.code).and_then(|u| u.running.as_ref());
            run.is_some_and(|run| {
                run.on(yesterday).is_some_and(|h| h.grams == *grams) && run.on(today).is_none()
            })
        })
}

fn weight_for_today(said: &Said) -> Option<(UnitSaid, Grams)> {
    match (&said.fact, &said.units, said.day) {
        (Fact::Eggs { weight, add: false }, Units::Named(units), DaySaid::Unsaid) => {
            Some((*units.first()?, weight.grams))
        }
        _ => None,
    }
}
