//! Warnings, tasks, states and answers, in words.
//!
//! This room does not know when anything is due or dangerous.

use crate::desk::phrase::estimated;
use crate::desk::phrase::fit::{Block, Item, List, Text};
use crate::desk::phrase::keyed::{task, warning};
use crate::desk::phrase::keys::Key;
use crate::desk::phrase::saved::{around, open};
use crate::desk::phrase::verbs::verb;
use crate::desk::phrase::voice::{self, Voice};
use crate::desk::reply::{Answer, CageState, Stage, Task, Warning};
use crate::desk::tasks::LOUDEST_DAYS;
use crate::domain::code::UnitCode;
use crate::domain::topic::Topic;

/// Days from which lateness is said loudly.
const VERY_LATE_DAYS: u16 = 3;

/// The warnings as pieces, the same one at several units once.
pub(super) fn warnings(voice: &Voice<'_>, warnings: &[&Warning], rank: u8) -> Vec<Block> {
    let mut merged: Vec<(&Warning, Vec<UnitCode>)> = Vec::new();
    for one in warnings {
        let units = units_of(one);
        match merged.iter_mut().find(|(other, _)| alike(other, one)) {
            Some((_, all)) => all.extend(units),
            None => merged.push((one, units)),
        }
    }
    merged
        .into_iter()
        .map(|(one, units)| Block {
            rank,
            text: Text::Whole(warn(voice, one, &units)),
        })
        .collect()
}

fn units_of(warning: &Warning) -> Vec<UnitCode> {
    match warning {
        Warning::Ants(unit)
        | Warning::ManyDead(unit)
        | Warning::Crowded(unit)
        | Warning::HatchSoon(unit)
        | Warning::LowYield { unit, .. }
        | Warning::NoEggs { unit, .. }
        | Warning::HatchedInTrap { unit, .. } => vec![*unit],
        Warning::NoEntry { units, .. } => units.clone(),
        Warning::Heat(_) | Warning::Cold(_) => Vec::new(),
    }
}

/// Whether the two differ in nothing but their units.
fn alike(one: &Warning, other: &Warning) -> bool {
    match (one, other) {
        (Warning::Ants(_), Warning::Ants(_))
        | (Warning::HatchSoon(_), Warning::HatchSoon(_))
        | (Warning::ManyDead(_), Warning::ManyDead(_))
        | (Warning::Crowded(_), Warning::Crowded(_)) => true,
        (Warning::NoEggs { days: a, .. }, Warning::NoEggs { days: b, .. })
        | (Warning::HatchedInTrap { days: a, .. }, Warning::HatchedInTrap { days: b, .. })
        | (Warning::NoEntry { days: a, .. }, Warning::NoEntry { days: b, .. }) => a == b,
        _ => one == other,
    }
}

fn warn(voice: &Voice<'_>, one: &Warning, units: &[UnitCode]) -> String {
    let (full, brief) = warning(one);
    let key = if voice.brief { brief } else { full };
    let units = ("units", voice.units(units).into());
    match one {
        Warning::Ants(_) | Warning::ManyDead(_) | Warning::Crowded(_) | Warning::HatchSoon(_) => {
            voice.say(key, &[units])
        }
        Warning::LowYield {
            expected, first, ..
        } => {
            let checks = ("checks", estimated::checks(voice, first).into());
            match expected {
                Some(range) => {
                    let range = ("range", range.to_string().into());
                    voice.say(key, &[units, range, checks])
                }
                None => voice.say(key, &[units, checks]),
            }
        }
        Warning::Heat(max) => voice.say(key, &[("max", max.to_string().into())]),
        Warning::Cold(min) => voice.say(key, &[("min", min.to_string().into())]),
        Warning::NoEntry { days, .. }
        | Warning::NoEggs { days, .. }
        | Warning::HatchedInTrap { days, .. } => voice.say(key, &[units, ("days", (*days).into())]),
    }
}

/// A lesson, with the member's own unit in its examples.
pub(super) fn lesson(voice: &Voice<'_>, topic: Topic, unit: Option<UnitCode>) -> String {
    let unit = unit.map_or_else(|| "C1".to_owned(), |unit| unit.to_string());
    voice.lessons.say(topic.key(), &[("unit", unit.into())])
}

/// The tasks as one piece; `after_answer` where they follow an answer to the member's own line.
pub(super) fn tasks(voice: &Voice<'_>, tasks: &[Task], after_answer: bool, rank: u8) -> Block {
    let key = if after_answer {
        Key::TasksNext
    } else {
        Key::TasksToday
    };
    let items = tasks
        .iter()
        .map(|one| Item {
            text: to_do(voice, one),
            counts: 1,
        })
        .collect();
    around(rank, &open(voice, key), items)
}

fn to_do(voice: &Voice<'_>, one: &Task) -> String {
    let units = voice.units(&one.units);
    let what = voice.say(task(one.job), &[("units", units.into())]);
    // A farm-wide job has no units where its text has a place for them.
    let what = what.replace("  ", " ").trim_end().to_owned();
    let key = match one.overdue_days {
        0 => return what,
        days if days < VERY_LATE_DAYS => Key::TaskLate,
        days if i64::from(days) < LOUDEST_DAYS => Key::TaskVeryLate,
        // Lateness is not counted further; no number that is not true is shown.
        _ => return voice.say(Key::TaskLongLate, &[("task", what.into())]),
    };
    let days = ("days", one.overdue_days.into());
    voice.say(key, &[("task", what.into()), days])
}

/// How cages are, as one piece whose later cages may be left out.
pub(super) fn states(voice: &Voice<'_>, states: &[&CageState], rank: u8) -> Block {
    let items = states.iter().map(|one| Item {
        text: state(voice, one),
        counts: 1,
    });
    Block {
        rank,
        text: Text::List(List {
            before: String::new(),
            items: items.collect(),
            between: " ",
            after: String::new(),
            left_out: 0,
        }),
    }
}

fn state(voice: &Voice<'_>, state: &CageState) -> String {
    let unit = ("unit", state.unit.to_string().into());
    let days = |days: &u16| ("days", days.to_string().into());
    let mut said = vec![match &state.stage {
        Stage::Empty { since: None } => voice.say(Key::StateEmpty, &[unit]),
        Stage::Empty { since: Some(day) } => voice.say(
            Key::StateEmptySince,
            &[unit, ("day", voice.day(*day).into())],
        ),
        Stage::Waiting {
            days: past,
            first_eggs,
        } => {
            let day = ("day", voice.day(*first_eggs).into());
            voice.say(Key::StateWaiting, &[unit, days(past), day])
        }
        Stage::Laying { days: past } => voice.say(Key::StateLaying, &[unit, days(past)]),
        Stage::Spent { days: past } => voice.say(Key::StateSpent, &[unit, days(past)]),
    }];
    let week = state.last_week.to_string();
    match (&state.last, &state.stage) {
        (Some((day, grams)), _) => said.push(voice.say(
            Key::StateLast,
            &[
                ("week", week.into()),
                ("grams", grams.to_string().into()),
                ("day", voice.day(*day).into()),
            ],
        )),
        (None, Stage::Laying { .. } | Stage::Spent { .. }) => {
            said.push(voice.say(Key::StateWeek, &[("grams", week.into())]));
        }
        (None, Stage::Empty { .. } | Stage::Waiting { .. }) => {}
    }
    if let (Some(range), Stage::Laying { .. }) = (state.next_week, &state.stage) {
        said.push(voice.say(Key::StateNext, &[("range", range.to_string().into())]));
    }
    if let (Some(day), Stage::Laying { .. }) = (state.retire_by, &state.stage) {
        said.push(voice.say(Key::StateRetireBy, &[("day", voice.day(day).into())]));
    }
    said.join(" ")
}

/// What is not known is shown as a dash, so that its place does not look forgotten.
fn or_dash(text: String) -> String {
    if text.is_empty() {
        "-".to_owned()
    } else {
        text
    }
}

/// An answer that stands alone.
pub(super) fn answer(voice: &Voice<'_>, answer: &Answer) -> String {
    match answer {
        Answer::Joined { member, name, coop } => {
            let member = ("member", member.to_string().into());
            let coop = ("coop", voice::coop(coop).into());
            let name = voice::name(name);
            if name.is_empty() {
                voice.say(Key::JoinedNameless, &[member, coop])
            } else {
                voice.say(Key::Joined, &[("name", name.into()), member, coop])
            }
        }
        Answer::LangSet => voice.plain(Key::LangSet),
        Answer::Stopped => voice.plain(Key::Stopped),
        Answer::Started => voice.plain(Key::Started),
        Answer::Help(None) => voice.plain(Key::Help),
        Answer::Help(Some(about)) => voice.plain(verb(*about).0),
        Answer::AwayUntil(day) => voice.say(Key::AwayUntil, &[("day", voice.day(*day).into())]),
        Answer::BackAgain => voice.plain(Key::BackAgain),
        Answer::LessonsSet(true) => voice.plain(Key::LessonsOn),
        Answer::LessonsSet(false) => voice.plain(Key::LessonsOff),
        Answer::HourSet(hour) => voice.say(Key::HourSet, &[("hour", hour.to_string().into())]),
        Answer::Kept {
            unit: Some(unit),
            grams: Some(grams),
        } => voice.say(
            Key::KeptWeight,
            &[
                ("unit", unit.to_string().into()),
                ("grams", grams.to_string().into()),
            ],
        ),
        Answer::Kept {
            unit: Some(unit),
            grams: None,
        } => voice.say(Key::KeptUnit, &[("unit", unit.to_string().into())]),
        Answer::Kept { unit: None, .. } => voice.plain(Key::Kept),
        Answer::NoTasks => voice.plain(Key::NoTasks),
        Answer::EggsWeek { last, next } => estimated::weeks(voice, *last, *next),
        Answer::Plan(told) => estimated::plan(voice, told),
        Answer::NextQuestion => voice.plain(Key::NextQuestion),
        Answer::MyData {
            member,
            name,
            ward,
            phones,
            cages,
        } => voice.say(
            Key::MyData,
            &[
                ("member", member.to_string().into()),
                ("name", or_dash(voice::name(name)).into()),
                ("ward", or_dash(voice::name(ward)).into()),
                ("phones", phones.to_string().into()),
                ("cages", cages.to_string().into()),
            ],
        ),
        Answer::Forgotten => voice.plain(Key::Forgotten),
        Answer::PinSet => voice.plain(Key::PinSet),
        Answer::PinEnded => voice.plain(Key::PinEnded),
    }
}
