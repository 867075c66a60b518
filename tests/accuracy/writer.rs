//! From a meaning to a line as a keeper would write it without a slip: order, separators, units, words around, in many hands.
//!
//! A line is made of pieces that know what they are, so that the phone can slip on one kind of them. This file makes no slips.

use crate::accuracy::farm::pick;
use crate::accuracy::hand::{Case, CodeStyle, Hand};
use crate::accuracy::meaning::{Amount, Meaning, Value, What};
use crate::accuracy::words::{self, Tongue};
use chrono::Datelike;
use clutchline::domain::StockKind;
use clutchline::domain::code::UnitCode;
use clutchline::units::Grams;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// A piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub text: String,
    pub role: Role,
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    Code,
    /// A weight of eggs.
    Weight,
    /// Another number: pupae, dead flies, degrees.
    Number,
    Unit,
    Keyword,
    /// A small word around a keyword, a greeting, a name.
    Around,
    Day,
    Gap,
}

/// A line under way.
struct Line<'a> {
    hand: &'a Hand,
    pieces: Vec<Piece>,
}

/// The line, piece by piece.
pub fn write(rng: &mut ChaCha8Rng, meaning: &Meaning, hand: &Hand) -> Vec<Piece> {
    let mut line = Line {
        hand,
        pieces: Vec::new(),
    };
    if hand.greets {
        let words = pick(rng, words::greetings(hand.tongue));
        line.phrase(words, Role::Around);
        line.put(pick(rng, &[" ", ", ", ". ", "! "]), Role::Gap);
    }
    let day_first = rng.random_bool(0.3);
    let day = line.day(rng, meaning);
    if let Some(words) = day.as_deref().filter(|_| day_first) {
        line.phrase(words, Role::Day);
        line.put(" ", Role::Gap);
    }
    line.body(rng, meaning);
    if let Some(words) = day.as_deref().filter(|_| !day_first) {
        line.put(" ", Role::Gap);
        line.phrase(words, Role::Day);
    }
    if hand.thanks {
        line.put(pick(rng, &[" ", ". ", ", "]), Role::Gap);
        line.phrase(pick(rng, words::thanks(hand.tongue)), Role::Around);
    }
    if hand.signs {
        line.put(pick(rng, &[" ", ". ", "\n", " - "]), Role::Gap);
        line.phrase(pick(rng, &words::NAMES), Role::Around);
    }
    if hand.emoji {
        line.put(" ", Role::Gap);
        line.put(pick(rng, &words::EMOJI), Role::Gap);
    }
    line.pieces
}

/// The text of the pieces.
pub fn text_of(pieces: &[Piece]) -> String {
    pieces.iter().map(|p| p.text.as_str()).collect()
}

impl Line<'_> {
    fn put(&mut self, text: &str, role: Role) {
        let text = match (self.hand.case, role) {
            (_, Role::Gap) | (Case::AsIs, _) => text.to_owned(),
            (Case::Lower, _) => text.to_lowercase(),
            (Case::Upper, _) => text.to_uppercase(),
        };
        self.pieces.push(Piece { text, role });
    }

    /// Words with spaces between; a starred one is a keyword unless the whole phrase has a role of its own.
    fn phrase(&mut self, words: &str, role: Role) {
        for (i, word) in words.split(' ').enumerate() {
            if i > 0 {
                self.put(" ", Role::Gap);
            }
            match word.strip_prefix('*') {
                Some(keyword) if role == Role::Around => self.put(keyword, Role::Keyword),
                Some(keyword) => self.put(keyword, role),
                None => self.put(word, role),
            }
        }
    }

    fn day(&self, rng: &mut ChaCha8Rng, meaning: &Meaning) -> Option<String> {
        let tongue = self.hand.tongue(rng);
        let days = (meaning.today - meaning.day).num_days();
        if days == 0 {
            let said = words::back(tongue, 0).filter(|_| self.hand.says_today);
            return said.map(str::to_owned);
        }
        let date = || format!("{}/{}", meaning.day.day(), meaning.day.month());
        let index = meaning.day.weekday().num_days_from_monday() as usize;
        Some(match (rng.random_range(0..10), words::back(tongue, days)) {
            (0..=5, Some(word)) => word.to_owned(),
            (6, _) if meaning.values.len() == 1 => format!("-{days}"),
            (0..=7, _) => words::weekdays(tongue)[index].to_owned(),
            _ => date(),
        })
    }

    fn body(&mut self, rng: &mut ChaCha8Rng, meaning: &Meaning) {
        let shared_job = meaning.shared.as_ref().map(|s| s.job);
        let own = |v: &&Value| match v.what {
            What::Care(job) => shared_job != Some(job),
            _ => true,
        };
        let mut order: Vec<Option<UnitCode>> = Vec::new();
        for value in meaning.values.iter().filter(own) {
            if !order.contains(&value.unit) {
                order.push(value.unit);
            }
        }
        // What is said of the farm goes last.
        order.sort_by_key(Option::is_none);
        let shared_first = rng.random_bool(0.2);
        if shared_first {
            self.shared(rng, meaning, !order.is_empty());
        }
        for (i, unit) in order.iter().enumerate() {
            if i > 0 {
                self.put(self.hand.gap, Role::Gap);
            }
            let group: Vec<&Value> = meaning
                .values
                .iter()
                .filter(own)
                .filter(|v| v.unit == *unit)
                .collect();
            self.group(rng, *unit, &group);
        }
        if !shared_first && meaning.shared.is_some() {
            if !order.is_empty() {
                self.put(self.hand.gap, Role::Gap);
            }
            self.shared(rng, meaning, false);
        }
    }

    fn shared(&mut self, rng: &mut ChaCha8Rng, meaning: &Meaning, more: bool) {
        let Some(shared) = &meaning.shared else {
            return;
        };
        let tongue = self.hand.tongue(rng);
        // After other cages on the same line it would read as the last cage's own job.
        let stands_alone = self.pieces.is_empty() || self.hand.gap.contains(['\n', '.']);
        let job_first = rng.random_bool(0.3) && !more && stands_alone;
        let job = self.hand.choose(rng, words::care(tongue, shared.job));
        if job_first {
            self.phrase(job, Role::Around);
            self.put(" ", Role::Gap);
        }
        let (first, last) = (shared.units.first(), shared.units.last());
        if shared.is_all && rng.random_bool(0.6) {
            self.phrase(self.hand.choose(rng, words::all(tongue)), Role::Around);
        } else if let (Some(first), Some(last)) = (first, last)
            && usize::from(last.number() - first.number()) + 1 == shared.units.len()
            && shared.units.len() > 2
            && rng.random_bool(0.4)
        {
            self.put(&first.to_string(), Role::Code);
            self.put("-", Role::Gap);
            self.put(&last.to_string(), Role::Code);
        } else {
            let between = pick(rng, &[" ", " ", ", ", ","]);
            for (i, unit) in shared.units.iter().enumerate() {
                if i > 0 {
                    self.put(between, Role::Gap);
                }
                self.code(*unit);
            }
        }
        if !job_first {
            self.put(" ", Role::Gap);
            self.phrase(job, Role::Around);
        }
        if more {
            self.put(pick(rng, &[", ", ". ", "; ", "\n"]), Role::Gap);
        }
    }

    fn group(&mut self, rng: &mut ChaCha8Rng, unit: Option<UnitCode>, values: &[&Value]) {
        let lone_care = matches!(values, [v] if matches!(v.what, What::Care(_)));
        if let (Some(unit), [value]) = (unit, values)
            && lone_care
            && self.pieces.is_empty()
            && rng.random_bool(0.2)
        {
            self.value(rng, value, " ");
            self.put(" ", Role::Gap);
            self.code(unit);
            return;
        }
        if let Some(unit) = unit {
            self.code(unit);
        }
        for (i, value) in values.iter().enumerate() {
            let tie = match (i, unit) {
                (0, None) => "",
                (0, Some(_)) => self.hand.tie,
                _ => pick(rng, &[" ", " ", " ", ", ", " + ", " & "]),
            };
            self.value(rng, value, tie);
        }
    }

    fn value(&mut self, rng: &mut ChaCha8Rng, value: &Value, tie: &str) {
        let tongue = self.hand.tongue(rng);
        let is_eggs = matches!(value.what, What::Eggs(_));
        // A sign between code and word is for weights; words take a space.
        let tie = if is_eggs || tie.is_empty() || tie.contains([',', '+', '&']) {
            tie
        } else {
            " "
        };
        if !(self.pieces.is_empty() || tie.is_empty()) {
            self.put(tie, Role::Gap);
        }
        match &value.what {
            What::Eggs(grams) => self.eggs(rng, tongue, *grams),
            What::Care(job) => self.phrase(
                self.hand.choose(rng, words::care(tongue, *job)),
                Role::Around,
            ),
            What::Ants => self.phrase(self.hand.choose(rng, words::ants(tongue)), Role::Around),
            What::Retire => self.phrase(self.hand.choose(rng, words::retire(tongue)), Role::Around),
            What::Dead(grams) => {
                self.phrase(self.hand.choose(rng, words::dead(tongue)), Role::Around);
                if let Some(grams) = grams {
                    self.put(" ", Role::Gap);
                    self.number(&grams.as_f64().to_string(), Role::Number);
                    self.put("g", Role::Unit);
                }
            }
            What::Temperature(min, max) => {
                self.phrase(
                    self.hand.choose(rng, words::temperature(tongue)),
                    Role::Around,
                );
                self.put(" ", Role::Gap);
                self.number(&min.to_string(), Role::Number);
                let to = match tongue {
                    Tongue::English => " to ",
                    Tongue::Kiswahili => " hadi ",
                };
                self.put(
                    self.hand.choose(rng, &["-", "-", " - ", " ", to]),
                    Role::Gap,
                );
                self.number(&max.to_string(), Role::Number);
            }
            What::Stock(amount, kind) => self.stock(rng, tongue, *amount, *kind),
        }
    }

    fn eggs(&mut self, rng: &mut ChaCha8Rng, tongue: Tongue, grams: Grams) {
        let word = self.hand.eggs_word;
        if word == Some(true) {
            self.phrase(self.hand.choose(rng, words::eggs(tongue)), Role::Around);
            self.put(" ", Role::Gap);
        }
        self.number(&grams.as_f64().to_string(), Role::Weight);
        let unit = self.hand.grams;
        if unit.starts_with(' ') {
            self.put(" ", Role::Gap);
        }
        if !unit.is_empty() {
            self.put(unit.trim_start(), Role::Unit);
        }
        if word == Some(false) {
            self.put(" ", Role::Gap);
            self.phrase(self.hand.choose(rng, words::eggs(tongue)), Role::Around);
        }
    }

    fn stock(&mut self, rng: &mut ChaCha8Rng, tongue: Tongue, amount: Amount, kind: StockKind) {
        self.phrase(self.hand.choose(rng, words::stock(tongue)), Role::Around);
        self.put(" ", Role::Gap);
        match amount {
            Amount::Count(count) => {
                self.number(&count.to_string(), Role::Number);
                if rng.random_bool(0.2) {
                    self.put(" ", Role::Gap);
                    self.put(pick(rng, &["pupae", "pupa"]), Role::Around);
                }
            }
            Amount::Weight(grams) if rng.random_bool(0.7) => {
                self.number(&(grams.as_f64() / 1000.0).to_string(), Role::Number);
                self.put("kg", Role::Unit);
            }
            Amount::Weight(grams) => {
                self.number(&grams.as_f64().to_string(), Role::Number);
                self.put("g", Role::Unit);
            }
        }
        if let Some(word) = words::kind(tongue, kind) {
            self.put(" ", Role::Gap);
            self.phrase(word, Role::Around);
        }
    }

    fn number(&mut self, text: &str, role: Role) {
        let text = if self.hand.comma {
            text.replace('.', ",")
        } else {
            text.to_owned()
        };
        self.put(&text, role);
    }

    fn code(&mut self, unit: UnitCode) {
        let (letters, number) = (unit.letters(), unit.number());
        let text = match self.hand.code {
            CodeStyle::Plain => format!("{letters}{number}"),
            CodeStyle::Spaced => format!("{letters} {number}"),
            CodeStyle::Dashed => format!("{letters}-{number}"),
            CodeStyle::Zero => format!("{letters}{number:02}"),
        };
        self.put(&text, Role::Code);
    }
}
