//! What the keys of a word file stand for, where they are no verbs.
//!
//! This room does not know any language's words.

use crate::domain::said::DaySaid;
use crate::grammar::lexicon::{Blur, MassUnit, Meaning};
use chrono::Weekday;

pub(super) fn day(key: &str) -> Option<Meaning> {
    let day = match key {
        "today" => DaySaid::Back(0),
        "yesterday" => DaySaid::Back(1),
        "before_yesterday" => DaySaid::Back(2),
        _ => DaySaid::Weekday(key.parse::<Weekday>().ok()?),
    };
    Some(Meaning::Day(day))
}

pub(super) fn unit(key: &str) -> Option<Meaning> {
    match key {
        "gram" => Some(Meaning::Unit(MassUnit::Gram)),
        "kilo" => Some(Meaning::Unit(MassUnit::Kilo)),
        _ => None,
    }
}

pub(super) fn kind(key: &str) -> Option<Meaning> {
    Some(match key {
        "all" => Meaning::All,
        "mixed" => Meaning::Mixed,
        "one_age" => Meaning::OneAge,
        "cage" => Meaning::Cage,
        "pupae" => Meaning::Pupae,
        "to" => Meaning::To,
        "put" => Meaning::Put,
        "and" => Meaning::And,
        "ago" => Meaning::Ago,
        "days" => Meaning::Days,
        "filler" => Meaning::Filler,
        "unsure" => Meaning::Blur(Blur::Unsure),
        "none" => Meaning::Blur(Blur::None),
        "future" => Meaning::Blur(Blur::Future),
        "measures" => Meaning::Measure,
        "plain" => Meaning::Plain,
        _ => return None,
    })
}
