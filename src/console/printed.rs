//! What is printed for members is in the member's own language: the texts of labels, cards and wall sheets.
//!
//! One Project Fluent file for each language that replies speak, in `grammar/cards/`. This room lays nothing out.

use crate::domain::lang::Lang;
use crate::domain::said::Verb;
use crate::grammar::Lexicon;
use crate::texts::{Texts, TextsError, Value, embedded};
use crate::units::day::FarmDay;
use chrono::Datelike;
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/cards");

/// The texts that every language has.
pub const KEYS: &[&str] = &[
    "own-name",
    "weekdays",
    "months",
    "stocked",
    "retire",
    "blank",
    "member",
    "send-to",
    "line-eggs",
    "line-stock",
    "line-bait",
    "line-water",
    "line-moat",
    "line-dead",
    "line-ants",
    "line-retire",
    "line-tasks",
    "line-fix",
    "line-undo",
    "line-help",
    "line-pin",
    "line-stop",
    "day",
    "total",
    "wall-send",
    "wall-marks",
];

/// All languages.
#[derive(Debug)]
pub struct Printed(BTreeMap<Lang, Texts>);

/// One line of the entry language and what it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryLine {
    /// As it is texted.
    pub line: String,
    /// What it says.
    pub says: String,
    /// What the grammar is to make of it.
    pub verb: Verb,
}

impl Printed {
    /// The languages that the program was built with.
    ///
    /// # Errors
    /// When a file does not read or lacks a text, which a test finds first.
    pub fn builtin() -> Result<Self, TextsError> {
        Texts::parse_all(embedded(&FILES), KEYS).map(Self)
    }

    /// The languages there are, by code.
    pub fn langs(&self) -> impl Iterator<Item = Lang> {
        self.0.keys().copied()
    }

    /// What a language calls itself.
    #[must_use]
    pub fn own_name(&self, lang: Lang) -> String {
        self.put(lang, "own-name", &[])
    }

    /// A text in that language; in English where the language has none.
    #[must_use]
    pub fn put(&self, lang: Lang, key: &str, values: &[(&'static str, Value)]) -> String {
        let texts = self.0.get(&lang).or_else(|| self.0.get(&Lang::EN));
        texts.map_or_else(String::new, |texts| texts.say(key, values))
    }

    /// A day's name.
    #[must_use]
    pub fn weekday(&self, lang: Lang, day: FarmDay) -> String {
        let at = day.weekday().num_days_from_monday() as usize;
        nth(&self.put(lang, "weekdays", &[]), at)
    }

    /// A month's name and year.
    #[must_use]
    pub fn month(&self, lang: Lang, day: FarmDay) -> String {
        let name = nth(&self.put(lang, "months", &[]), day.month0() as usize);
        format!("{name} {}", day.year())
    }

    /// The lines of a pocket card, told of one cage.
    #[must_use]
    pub fn entry_lines(&self, lang: Lang, cage: &str) -> Vec<EntryLine> {
        let lexicon = Lexicon::builtin();
        let word = |verb| lexicon.word(verb, lang).to_owned();
        let of_cage = |verb| format!("{cage} {}", word(verb));
        let line = |line: String, key: &str, verb, values: &[(&'static str, Value)]| EntryLine {
            line,
            says: self.put(lang, key, values),
            verb,
        };
        let plain = |verb, key: &str| line(word(verb), key, verb, &[]);
        let care = |verb, key: &str| line(of_cage(verb), key, verb, &[]);
        vec![
            line(
                format!("{cage} 12.5"),
                "line-eggs",
                Verb::Eggs,
                &[("grams", "12.5".into())],
            ),
            care(Verb::Bait, "line-bait"),
            care(Verb::Water, "line-water"),
            care(Verb::Moat, "line-moat"),
            care(Verb::Dead, "line-dead"),
            care(Verb::Ants, "line-ants"),
            line(
                format!("{} 8000", of_cage(Verb::Stock)),
                "line-stock",
                Verb::Stock,
                &[("pupae", "8000".into())],
            ),
            care(Verb::Retire, "line-retire"),
            line(
                format!("{} {cage} 11.5", word(Verb::Fix)),
                "line-fix",
                Verb::Fix,
                &[("grams", "11.5".into())],
            ),
            plain(Verb::Undo, "line-undo"),
            plain(Verb::Tasks, "line-tasks"),
            plain(Verb::Help, "line-help"),
            plain(Verb::Pin, "line-pin"),
            plain(Verb::Stop, "line-stop"),
        ]
    }
}

fn nth(names: &str, at: usize) -> String {
    names
        .split_whitespace()
        .nth(at)
        .unwrap_or_default()
        .to_owned()
}
