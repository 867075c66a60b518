//! What a word may mean, and what the keys of a word file stand for where they are no verbs.
//!
//! This room does not know any language's words.

use crate::domain::lang::Lang;
use crate::domain::said::{DaySaid, Verb};
use chrono::Weekday;

/// A mass unit as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MassUnit {
    /// Grams.
    Gram,
    /// Kilograms.
    Kilo,
}

/// Words that stop their group from being saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Blur {
    /// Not, without, about, needs: the group is not certain.
    Unsure,
    /// None, nothing.
    None,
    /// Tomorrow, will: not yet.
    Future,
}

/// What a verb's word is not by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Manner {
    /// Always the verb.
    Plain,
    /// `ondoa` is "remove" too: retires only where nothing is named that could be removed.
    Loose,
    /// `saa` counts hours from sunrise: 1 to 12 have two readings.
    SixHourClock,
    /// `sahihi` is yes when it stands alone.
    YesWhenAlone,
}

/// What a word means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A verb.
    Verb(Verb, Manner),
    /// A day.
    Day(DaySaid),
    /// A mass unit.
    Unit(MassUnit),
    /// Every unit.
    All,
    /// Mixed ages.
    Mixed,
    /// One age.
    OneAge,
    /// The noun of a unit, before its code.
    Cage,
    /// The noun of what is stocked.
    Pupae,
    /// Between the two ends of a range.
    To,
    /// And: passed over, but a bare number after it may be a unit's.
    And,
    /// `weka`: put, which is stocking only with pupae.
    Put,
    /// After a number of days: so many days back.
    Ago,
    /// The noun of a number of days.
    Days,
    /// Passed over.
    Filler,
    /// Stops its group.
    Blur(Blur),
    /// What a number counts that is no weight.
    Measure,
    /// An ordinary word: not understood, and never taken for a misspelt keyword.
    Plain,
}

/// A word and its language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// What it means.
    pub meaning: Meaning,
    /// Whose word it is.
    pub lang: Lang,
}

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
