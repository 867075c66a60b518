//! What was recorded, in words: facts of one unit side by side, the same facts at several units once.
//!
//! This room does not judge anything and does not cut anything.

use crate::desk::phrase::fit::{Block, Item, List, Text};
use crate::desk::phrase::keyed::care_fact;
use crate::desk::phrase::keys::Key;
use crate::desk::phrase::voice::Voice;
use crate::desk::reply::{Saved, SavedNote, SavedWhat};
use crate::domain::StockKind;
use crate::domain::code::UnitCode;
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// Facts that one item shows side by side; more begin another item, so that no item outgrows a part.
const FACTS_MAX: usize = 5;
/// Stands for the items while the sentence around them is worded; no text contains it.
const PLACE: &str = "\u{1}";

/// In which sentence a fact is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    Saved,
    Already,
    Corrected,
    TakenBack,
}

impl Told {
    const ALL: [Self; 4] = [Self::Saved, Self::Corrected, Self::Already, Self::TakenBack];

    const fn of(note: &SavedNote) -> Self {
        match note {
            SavedNote::New
            | SavedNote::AddedTo(_)
            | SavedNote::Replaced(_)
            | SavedNote::With(_) => Self::Saved,
            SavedNote::Already => Self::Already,
            SavedNote::Corrected => Self::Corrected,
            SavedNote::TakenBack => Self::TakenBack,
        }
    }

    /// The sentence for today or mixed days, and the one for a single other day.
    const fn keys(self) -> (Key, Key) {
        match self {
            Self::Saved => (Key::Saved, Key::SavedFor),
            Self::Already => (Key::Already, Key::AlreadyFor),
            Self::Corrected => (Key::Corrected, Key::CorrectedFor),
            Self::TakenBack => (Key::TakenBack, Key::TakenBackFor),
        }
    }
}

/// Facts of the same units on the same day.
#[derive(Debug, PartialEq)]
struct Row {
    units: Vec<UnitCode>,
    day: FarmDay,
    facts: Vec<String>,
    /// Holds a weight or a count, which must not seem to be shared by several units.
    measured: bool,
}

/// The sentences for everything recorded.
pub(super) fn sentences(voice: &Voice<'_>, saved: &[&Saved], rank: u8) -> Vec<Block> {
    Told::ALL
        .into_iter()
        .filter_map(|told| {
            let rows = rows(
                voice,
                saved.iter().filter(|one| Told::of(&one.note) == told),
            );
            let first = rows.first()?;
            let (key, key_for) = told.keys();
            let shared = (first.day != voice.today && rows.iter().all(|r| r.day == first.day))
                .then_some(first.day);
            let sentence = match shared {
                Some(day) => voice.say(
                    key_for,
                    &[("day", voice.day(day).into()), ("items", PLACE.into())],
                ),
                None => voice.say(key, &[("items", PLACE.into())]),
            };
            let items = rows
                .iter()
                .map(|row| item(voice, row, shared.is_none()))
                .collect();
            Some(around(rank, &sentence, items))
        })
        .collect()
}

/// One fact in words with its unit and, unless today, its day.
pub(super) fn fact(voice: &Voice<'_>, saved: &Saved) -> String {
    rows(voice, std::iter::once(&saved))
        .first()
        .map(|row| item(voice, row, true).text)
        .unwrap_or_default()
}

/// A sentence with its list where [`PLACE`] stands.
pub(super) fn around(rank: u8, sentence: &str, items: Vec<Item>) -> Block {
    let (before, after) = sentence.split_once(PLACE).unwrap_or((sentence, ""));
    Block {
        rank,
        text: Text::List(List {
            before: before.to_owned(),
            items,
            between: "; ",
            after: after.to_owned(),
            left_out: 0,
        }),
    }
}

/// The sentence of `key` with its list left open for [`around`].
pub(super) fn open(voice: &Voice<'_>, key: Key) -> String {
    voice.say(key, &[("items", PLACE.into())])
}

fn item(voice: &Voice<'_>, row: &Row, with_day: bool) -> Item {
    let facts = row.facts.join(", ");
    let facts = if with_day && row.day != voice.today {
        let day = voice.day(row.day);
        voice.say(Key::OnDay, &[("fact", facts.into()), ("day", day.into())])
    } else {
        facts
    };
    let text = if row.units.is_empty() {
        facts
    } else {
        format!("{} {facts}", voice.units(&row.units))
    };
    Item {
        text,
        counts: row.units.len().max(1) * row.facts.len(),
    }
}

fn rows<'s>(voice: &Voice<'_>, saved: impl Iterator<Item = &'s &'s Saved>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for one in saved {
        let mut units: Vec<UnitCode> = one.unit.into_iter().collect();
        if let SavedNote::With(others) = &one.note {
            units.extend(others);
        }
        let (facts, measured) = facts(voice, one);
        for fact in facts {
            let beside = rows.iter_mut().find(|row| {
                row.units == units && row.day == one.day && row.facts.len() < FACTS_MAX
            });
            match beside {
                Some(row) => {
                    row.measured |= measured;
                    row.facts.push(fact);
                }
                None => rows.push(Row {
                    units: units.clone(),
                    day: one.day,
                    facts: vec![fact],
                    measured,
                }),
            }
        }
    }
    merged(rows)
}

/// The same unmeasured facts of the same day, once for all their units, at the place of the first.
fn merged(rows: Vec<Row>) -> Vec<Row> {
    let mut merged: Vec<Row> = Vec::new();
    for row in rows {
        let same = merged.iter_mut().find(|other| {
            !row.measured
                && !other.measured
                && !row.units.is_empty()
                && other.day == row.day
                && other.facts == row.facts
        });
        match same {
            Some(other) => other.units.extend(row.units),
            None => merged.push(row),
        }
    }
    merged
}

/// The facts of one record in words, and whether they hold a weight or count.
fn facts(voice: &Voice<'_>, saved: &Saved) -> (Vec<String>, bool) {
    let (mut words, measured) = match &saved.what {
        SavedWhat::Eggs { grams, gross_tare } => {
            let shown = match gross_tare {
                Some((gross, tare)) => voice.say(
                    Key::FactEggsWeighed,
                    &[
                        ("grams", grams.to_string().into()),
                        ("gross", gross.to_string().into()),
                        ("tare", tare.to_string().into()),
                    ],
                ),
                None => voice.say(Key::FactEggs, &[("grams", grams.to_string().into())]),
            };
            (vec![shown], true)
        }
        SavedWhat::Care(jobs) => {
            let words = jobs.iter().map(|job| voice.plain(care_fact(*job)));
            (words.collect(), false)
        }
        SavedWhat::Stock {
            pupae,
            weight,
            kind,
        } => (vec![stock(voice, *pupae, *weight, *kind)], true),
        SavedWhat::Dead(Some(grams)) => {
            let grams = grams.to_string().into();
            (
                vec![voice.say(Key::FactDeadWeighed, &[("grams", grams)])],
                true,
            )
        }
        SavedWhat::Dead(None) => (vec![voice.plain(Key::FactDead)], false),
        SavedWhat::Ants => (vec![voice.plain(Key::FactAnts)], false),
        SavedWhat::Temperature(min, max) => {
            let values = [
                ("min", min.to_string().into()),
                ("max", max.to_string().into()),
            ];
            (vec![voice.say(Key::FactTemp, &values)], true)
        }
        SavedWhat::Retire => (vec![voice.plain(Key::FactRetired)], false),
        SavedWhat::Delivered { grams, own } => (vec![received(voice, *grams, *own)], true),
    };
    if let Some(first) = words.first_mut() {
        *first = noted(voice, saved, first);
    }
    (words, measured)
}

/// The fact with how it stands to what was there before.
fn noted(voice: &Voice<'_>, saved: &Saved, fact: &str) -> String {
    match (&saved.note, &saved.what) {
        (
            SavedNote::AddedTo(total),
            SavedWhat::Eggs { grams, .. } | SavedWhat::Delivered { grams, .. },
        ) => voice.say(
            Key::FactAdded,
            &[
                ("grams", grams.to_string().into()),
                ("total", total.to_string().into()),
            ],
        ),
        (SavedNote::Replaced(old), _) => voice.say(
            Key::FactReplaced,
            &[
                ("fact", fact.to_owned().into()),
                ("old", old.to_string().into()),
            ],
        ),
        _ => fact.to_owned(),
    }
}

/// Eggs received, beside the farm's own weights.
fn received(voice: &Voice<'_>, grams: Grams, own: Option<Grams>) -> String {
    let received = ("grams", grams.to_string().into());
    let Some(own) = own else {
        return voice.say(Key::FactDelivered, &[received]);
    };
    let difference = match grams.minus(own) {
        Some(more) => format!("+{more}"),
        None => own
            .minus(grams)
            .map_or_else(String::new, |less| format!("-{less}")),
    };
    let values = [
        received,
        ("own", own.to_string().into()),
        ("difference", difference.into()),
    ];
    voice.say(Key::FactDeliveredOwn, &values)
}

fn stock(
    voice: &Voice<'_>,
    pupae: Option<Pupae>,
    weight: Option<Grams>,
    kind: StockKind,
) -> String {
    let count = pupae.map(|pupae| ("count", pupae.to_string().into()));
    let weight = weight.map(|weight| ("weight", weight.to_string().into()));
    let stocked = match (count, weight) {
        (Some(count), Some(weight)) => voice.say(Key::FactStockBoth, &[count, weight]),
        (Some(count), None) => voice.say(Key::FactStockCount, &[count]),
        (None, Some(weight)) => voice.say(Key::FactStockWeight, &[weight]),
        (None, None) => voice.plain(Key::FactStock),
    };
    match kind {
        StockKind::OneAge => stocked,
        StockKind::Mixed => format!("{stocked}, {}", voice.plain(Key::FactMixed)),
    }
}
