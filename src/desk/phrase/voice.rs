//! The small words of every reply: days, lists of units, names in plain letters.
//!
//! This room does not know what was recorded or asked.

use crate::desk::phrase::keys::Key;
use crate::desk::phrase::words::{Value, Words};
use crate::domain::code::UnitCode;
use crate::texts::Texts;
use crate::units::day::FarmDay;
use crate::units::septets::septets_of;
use chrono::{Datelike, Weekday};
use unicode_normalization::UnicodeNormalization;

/// Letters of a member's name that a reply shows.
const NAME_MAX: usize = 16;
/// Letters of a quoted word: the rule of the reply.
const WORD_MAX: usize = 12;
/// Characters of a doubtful piece of text that a reply quotes; a longer piece is left out whole, since a number is never cut.
const PIECE_MAX: usize = 24;
/// Letters of the cooperative's name that a reply shows.
const COOP_MAX: usize = 30;

/// How one attempt at a reply speaks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Voice<'a> {
    /// The language.
    pub(super) words: &'a Words,
    /// The lessons in that language.
    pub(super) lessons: &'a Texts,
    /// The farm's today.
    pub(super) today: FarmDay,
    /// Runs of units, names or options that a list shows before it says how many more there are.
    pub(super) list_max: usize,
    /// Warnings in brief.
    pub(super) brief: bool,
}

impl Voice<'_> {
    /// A text with its values.
    pub(super) fn say(&self, key: Key, values: &[(&'static str, Value)]) -> String {
        self.words.say(key, values)
    }

    /// A text without values.
    pub(super) fn plain(&self, key: Key) -> String {
        self.words.plain(key)
    }

    /// `today`, `yesterday`, `tomorrow`, `Mon 9/3` within six days either way, else `23/11`.
    pub(super) fn day(&self, day: FarmDay) -> String {
        let date = format!("{}/{}", day.day(), day.month());
        let key = match day.signed_duration_since(self.today).num_days() {
            0 => return self.plain(Key::Today),
            -1 => return self.plain(Key::Yesterday),
            1 => return self.plain(Key::Tomorrow),
            -6..=6 => match day.weekday() {
                Weekday::Mon => Key::DayMon,
                Weekday::Tue => Key::DayTue,
                Weekday::Wed => Key::DayWed,
                Weekday::Thu => Key::DayThu,
                Weekday::Fri => Key::DayFri,
                Weekday::Sat => Key::DaySat,
                Weekday::Sun => Key::DaySun,
            },
            _ => return date,
        };
        self.say(key, &[("date", date.into())])
    }

    /// Units in order, runs of three and more as `C1-C6`, and how many more where the list is long.
    pub(super) fn units(&self, units: &[UnitCode]) -> String {
        let runs = runs_of(units);
        let shown: Vec<String> = runs
            .iter()
            .take(self.list_max)
            .map(|run| match run.as_slice() {
                [first, .., last] if run.len() > 2 => format!("{first}-{last}"),
                few => joined(few.iter().map(ToString::to_string), " "),
            })
            .collect();
        let left_out: usize = runs.iter().skip(self.list_max).map(Vec::len).sum();
        if left_out == 0 {
            shown.join(" ")
        } else {
            format!("{} +{left_out}", shown.join(" "))
        }
    }

    /// A list of short words, and how many more where it is long.
    pub(super) fn some(&self, words: &[String], between: &str) -> String {
        let shown = joined(words.iter().take(self.list_max).cloned(), between);
        match words.len().saturating_sub(self.list_max) {
            0 => shown,
            left_out => format!("{shown} +{left_out}"),
        }
    }
}

fn joined(words: impl Iterator<Item = String>, between: &str) -> String {
    words.collect::<Vec<_>>().join(between)
}

/// Units by code, cut into runs of consecutive numbers; two neighbours stay two runs, as they read no shorter together.
fn runs_of(units: &[UnitCode]) -> Vec<Vec<UnitCode>> {
    let mut sorted = units.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let mut runs: Vec<Vec<UnitCode>> = Vec::new();
    for unit in sorted {
        let follows = runs.last().and_then(|run| run.last()).is_some_and(|last| {
            last.letters() == unit.letters() && last.number() + 1 == unit.number()
        });
        match runs.last_mut() {
            Some(run) if follows => run.push(unit),
            _ => runs.push(vec![unit]),
        }
    }
    runs.into_iter()
        .flat_map(|run| match run.as_slice() {
            [first, second] => vec![vec![*first], vec![*second]],
            _ => vec![run],
        })
        .collect()
}

/// A name in plain letters, so that one member's name does not shrink the part for everybody.
pub(super) fn name(name: &str) -> String {
    clipped(&plain(name), NAME_MAX)
}

/// A cooperative's name in plain letters.
pub(super) fn coop(name: &str) -> String {
    clipped(&plain(name), COOP_MAX)
}

/// A quoted word: letters only, twelve at most; empty where nothing can be shown.
pub(super) fn word(word: &str) -> String {
    plain(word)
        .chars()
        .filter(|c| c.is_alphabetic())
        .take(WORD_MAX)
        .collect()
}

/// A doubtful piece of the member's own text, digits included; `...` where it cannot be shown whole.
pub(super) fn piece(text: &str) -> String {
    let shown = plain(text);
    if shown.is_empty() || shown.chars().count() > PIECE_MAX {
        "...".to_owned()
    } else {
        shown
    }
}

fn clipped(text: &str, most: usize) -> String {
    let clipped: String = text.chars().take(most).collect();
    clipped.trim_end().to_owned()
}

/// Text in letters of one septet: marks are taken off, what has no plain form is left out, any gap becomes one space.
fn plain(text: &str) -> String {
    let fits = |c: char| !c.is_control() && septets_of(c) == Some(1);
    let letters: String = text
        .nfkc()
        .flat_map(|c| {
            if c.is_control() || c.is_whitespace() {
                vec![' ']
            } else if fits(c) {
                vec![c]
            } else {
                c.nfkd().filter(|base| fits(*base)).collect()
            }
        })
        .collect();
    letters.split_whitespace().collect::<Vec<_>>().join(" ")
}
