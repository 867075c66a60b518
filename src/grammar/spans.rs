//! Tokens that belong together: spaced codes, ranges, gross minus tare, days back, units after numbers, temperatures.
//!
//! This room looks at neighbours only; which facts a line holds is the next room's business.
mod members;
mod ranges;
mod temperature;
mod unit_first;

use crate::domain::code::UnitCode;
use crate::domain::said::{DaySaid, UnitSaid, Verb, Why};
use crate::grammar::codes::{self, CodeRead};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::Meaning;
use crate::grammar::numbers::{self, Number};
use crate::grammar::spans::ranges::{range, short_range};
use crate::grammar::spans::unit_first::units_after_numbers;
use crate::grammar::tokens::{Kind, Token};

/// Days back that may be written as `-5` even after a larger weight: a keeper may go back 14. A larger number there may be a tare.
pub(crate) const DASH_DAYS: u32 = 14;

/// Joins what belongs together. Gives at most as many tokens as it takes.
pub(crate) fn join(mut tokens: Vec<Token>, lexicon: &Lexicon) -> Vec<Token> {
    units_after_numbers(&mut tokens);
    let mut spans = Spans {
        tokens,
        i: 0,
        out: Vec::new(),
        lexicon,
    };
    while spans.i < spans.tokens.len() {
        spans.step();
    }
    spans.out
}

pub(crate) struct Spans<'a> {
    tokens: Vec<Token>,
    i: usize,
    out: Vec<Token>,
    lexicon: &'a Lexicon,
}

impl Spans<'_> {
    fn kind(&self, ahead: usize) -> Option<&Kind> {
        self.tokens.get(self.i + ahead).map(|t| &t.kind)
    }

    fn number(&self, ahead: usize) -> Option<Number> {
        match self.kind(ahead)? {
            Kind::Number(number) => Some(number.clone()),
            _ => None,
        }
    }

    fn glued(&self, ahead: usize) -> bool {
        self.tokens.get(self.i + ahead).is_some_and(|t| t.glued)
    }

    /// Takes `count` tokens as one of this kind.
    fn take(&mut self, count: usize, kind: Kind) {
        let span = &self.tokens[self.i..(self.i + count).min(self.tokens.len())];
        if let (Some(first), Some(last)) = (span.first(), span.last()) {
            let mut texts = first.text.clone();
            for token in &span[1..] {
                texts.push_str(&token.text);
            }
            self.out.push(Token {
                kind,
                text: texts,
                at: first.at,
                end: last.end,
                glued: first.glued,
            });
        }
        self.i += count;
    }

    fn step(&mut self) {
        if self.near_temperature() || self.spaced_code() {
            return;
        }
        match self.kind(0).cloned() {
            Some(Kind::Units(units)) => self.units(&units),
            Some(Kind::Number(number)) => self.after_number(&number),
            Some(Kind::Dash) => self.dash(),
            Some(Kind::Word(Meaning::Verb(Verb::Temp, _))) => self.temperature(),
            Some(Kind::Word(Meaning::Cage)) => self.cage(),
            Some(Kind::Word(Meaning::Days)) => match (self.number(1), self.kind(2)) {
                (Some(n), Some(Kind::Word(Meaning::Ago))) if back(&n).is_some() => {
                    self.take(3, back(&n).map_or(Kind::BadDay, Kind::Day));
                }
                _ => self.take(1, Kind::Word(Meaning::Days)),
            },
            Some(kind) => self.take(1, kind),
            None => self.i += 1,
        }
    }

    /// `c 4`, `C-04`, `c 4g`: letters, then what would follow them in a code.
    fn spaced_code(&mut self) -> bool {
        let Some(first) = self.tokens.get(self.i).cloned() else {
            return false;
        };
        let letters = first.text.clone();
        let single = letters.len() == 1;
        let starts_code = match first.kind {
            Kind::Letters => true,
            // `g 4` is a cage unless the `g` belongs to the number before it.
            Kind::Word(Meaning::Unit(_) | Meaning::Measure) => single && !self.measures(&letters),
            Kind::Word(_) => single && letters != "i",
            _ => false,
        };
        if !starts_code || !letters.is_ascii() {
            return false;
        }
        let dash = usize::from(matches!(self.kind(1), Some(Kind::Dash)) && self.glued(1));
        self.part_at_colon(&letters, dash);
        let Some(next) = self.tokens.get(self.i + 1 + dash) else {
            return false;
        };
        let plain = matches!(&next.kind, Kind::Number(n) if n.plain.is_some());
        let digits_first = next.text.starts_with(|c: char| c.is_ascii_digit());
        let may_join = plain
            || (single
                && digits_first
                && matches!(first.kind, Kind::Letters)
                && matches!(next.kind, Kind::Number(_) | Kind::Junk));
        if !may_join {
            return false;
        }
        let text = format!("{letters}{}", next.text);
        match codes::read(&text, self.lexicon) {
            Some(CodeRead::Sure(unit, end)) if end == text.len() => {
                self.take_units(2 + dash, vec![unit]);
            }
            Some(CodeRead::Doubt(why, readings)) if !readings.is_empty() => {
                self.take(2 + dash, Kind::UnitDoubt(why, readings));
            }
            _ => self.take(2 + dash, Kind::BadUnit),
        }
        true
    }

    /// The letter is the unit or measure of the number before it: that number has none yet and is no member's, and no cage before was called by the letter.
    fn measures(&self, letter: &str) -> bool {
        let named = |t: &Token| match &t.kind {
            Kind::Units(units) => units
                .iter()
                .any(|u| u.code.letters().eq_ignore_ascii_case(letter)),
            _ => false,
        };
        let mut before = self.out.iter().rev().map(|t| &t.kind);
        let bare = matches!(before.next(), Some(Kind::Number(n)) if n.unit.is_none());
        let member = before.next().is_some_and(Kind::names_member);
        bare && !member && !self.out.iter().any(named)
    }

    /// `c 4:12.5`, `C-4:12.5`: the colon parts the code from its weight.
    fn part_at_colon(&mut self, letters: &str, dash: usize) {
        let at = self.i + 1 + dash;
        let Some(token) = self.tokens.get(at).filter(|t| t.kind == Kind::Junk) else {
            return;
        };
        let Some((digits, rest)) = token.text.split_once(':') else {
            return;
        };
        let code = format!("{letters}{digits}");
        let whole = matches!(codes::read(&code, self.lexicon), Some(CodeRead::Sure(_, end)) if end == code.len());
        let (Some(number), true) = (numbers::read(rest, self.lexicon), whole) else {
            return;
        };
        let cut = token.at + digits.len();
        let weight = Token {
            kind: Kind::Number(number),
            text: rest.to_owned(),
            at: cut + 1,
            glued: false,
            ..token.clone()
        };
        let code = digits.parse().ok().map(Number::plain);
        let digits = digits.to_owned();
        if let (Some(token), Some(code)) = (self.tokens.get_mut(at), code) {
            token.kind = Kind::Number(code);
            token.text = digits;
            token.end = cut;
        }
        self.tokens.insert(at + 1, weight);
    }

    /// Puts a joined code back as one token, so that a range can start or end with it.
    fn take_units(&mut self, count: usize, units: Vec<UnitSaid>) {
        let before = self.out.len();
        self.take(count, Kind::Units(units));
        if let Some(joined) = self.out.get(before).cloned() {
            self.out.truncate(before);
            self.i -= 1;
            self.tokens[self.i] = joined;
            // The joined token is read again as a unit; it is no longer made of letters, so this ends.
        }
    }

    /// The unit that stands `ahead`, spaced or not, and how many tokens it takes.
    fn unit_ahead(&self, ahead: usize) -> Option<(UnitSaid, usize)> {
        match self.kind(ahead)? {
            Kind::Units(units) => units.first().map(|u| (*u, 1)),
            Kind::Letters => {
                let letters = &self.tokens.get(self.i + ahead)?.text;
                let number = self.number(ahead + 1)?.plain?;
                let code =
                    UnitCode::new(&letters.to_ascii_uppercase(), u16::try_from(number).ok()?)?;
                Some((
                    UnitSaid {
                        code,
                        checked: false,
                        inside_range: false,
                    },
                    2,
                ))
            }
            _ => None,
        }
    }

    fn units(&mut self, units: &[UnitSaid]) {
        let Some(first) = units.first().copied() else {
            return self.take(1, Kind::BadUnit);
        };
        let dash = matches!(self.kind(1), Some(Kind::Dash));
        let to = matches!(self.kind(1), Some(Kind::Word(Meaning::To)));
        if !dash && !to {
            return self.take(1, Kind::Units(units.to_vec()));
        }
        if let Some((last, length)) = self.unit_ahead(2) {
            return match range(first, last) {
                Some(units) => self.take(2 + length, Kind::Units(units)),
                None => self.take(2 + length, Kind::BadRange),
            };
        }
        let stuck = self.glued(1) && self.glued(2);
        let loose_dash = !self.glued(1) && self.glued(2);
        match self.kind(2).cloned() {
            Some(Kind::Number(number)) if number.plain.is_some() && (stuck || to) => {
                let readings = short_range(first, &number, to);
                self.take(3, Kind::UnitDoubt(Why::StuckNumber, readings));
            }
            // `C4 -1`: a day back.
            Some(Kind::Number(number)) if number.plain.is_some() && loose_dash => {
                self.take(1, Kind::Units(units.to_vec()));
            }
            Some(Kind::Number(number)) if number.plain.is_some() && !self.glued(1) => {
                self.take(1, Kind::Units(units.to_vec()));
                self.take(2, Kind::Dashed(number));
            }
            Some(Kind::Letters | Kind::BadUnit | Kind::UnitDoubt(..)) if stuck => {
                self.take(3, Kind::BadRange);
            }
            Some(Kind::Word(_))
                if stuck
                    && self
                        .tokens
                        .get(self.i + 2)
                        .is_some_and(|t| t.text.len() == 1) =>
            {
                self.take(3, Kind::BadRange);
            }
            // The dash only parts the code from what follows it.
            Some(Kind::Number(_)) if dash => {
                self.take(1, Kind::Units(units.to_vec()));
                self.i += 1;
            }
            _ => self.take(1, Kind::Units(units.to_vec())),
        }
    }

    fn after_number(&mut self, number: &Number) {
        let Some(second) = self
            .number(2)
            .filter(|_| matches!(self.kind(1), Some(Kind::Dash)))
        else {
            return self.number_with_unit(number);
        };
        // `0712-345-678`, `2026-11-23`: no amount.
        if matches!(
            (self.kind(3), self.kind(4)),
            (Some(Kind::Dash), Some(Kind::Number(_)))
        ) && self.glued(3)
        {
            let lengths: Vec<usize> = [0, 2, 4]
                .iter()
                .filter_map(|k| self.tokens.get(self.i + k))
                .map(|t| t.text.len())
                .collect();
            let date = matches!(lengths[..], [4, 1..=2, 1..=2] | [1..=2, 1..=2, 2 | 4]);
            return self.take(5, if date { Kind::BadDay } else { Kind::Junk });
        }
        let day_like = !self.glued(1) && self.glued(2);
        if day_like && (self.takes_amounts() || second.plain.is_some_and(|n| n <= DASH_DAYS)) {
            return self.number_with_unit(number);
        }
        let loose = day_like && second.plain.is_some();
        let unit =
            matches!(self.kind(3), Some(Kind::Word(Meaning::Unit(_)))) && second.unit.is_none();
        let pair = Kind::Pair {
            gross: number.clone(),
            tare: second,
            loose,
        };
        self.take(3 + usize::from(unit), pair);
    }

    /// The group so far speaks of stock, dead flies or temperature, where a number after a dash is no tare.
    fn takes_amounts(&self) -> bool {
        self.out
            .iter()
            .rev()
            .take_while(|t| !matches!(t.kind, Kind::Units(_) | Kind::UnitDoubt(..)))
            .any(|t| {
                matches!(
                    t.kind,
                    Kind::Word(
                        Meaning::Verb(Verb::Stock | Verb::Dead, _) | Meaning::Put | Meaning::Pupae
                    )
                )
            })
    }

    fn number_with_unit(&mut self, number: &Number) {
        let member = self.is_of_member(number);
        // `1 ,5g`: a part of the number stands apart, so neither part is it.
        let apart = self.tokens.get(self.i + 1);
        if number.unit.is_none()
            && apart.is_some_and(|t| t.kind == Kind::Junk && t.text.starts_with(','))
        {
            return self.take(2, Kind::Junk);
        }
        if let Some(Kind::Word(Meaning::Unit(unit))) = self.kind(1)
            && number.unit.is_none()
            && !member
        {
            let number = Number {
                unit: Some(*unit),
                plain: None,
                ..number.clone()
            };
            return self.take(2, Kind::Number(number));
        }
        if matches!(
            (self.kind(1), self.kind(2)),
            (
                Some(Kind::Word(Meaning::Days)),
                Some(Kind::Word(Meaning::Ago))
            )
        ) {
            let kind = back(number).map_or(Kind::BadDay, Kind::Day);
            return self.take(3, kind);
        }
        self.take(1, Kind::Number(number.clone()));
    }

    /// A dash that no unit and no number before it has taken: a day back, or nothing.
    fn dash(&mut self) {
        match self.number(1) {
            Some(number) if self.glued(1) && !self.glued(0) => {
                let kind = back(&number).map_or(Kind::Junk, Kind::Day);
                self.take(2, kind);
            }
            // `C4 bait -1`, `bait-12`: stuck to a word on its left it is no day and no number that is certain.
            Some(_) if self.glued(1) && self.glued(0) => self.take(2, Kind::Junk),
            _ => self.i += 1,
        }
    }

    /// `cage C4` is the code; `cage 4` names a cage by something that is none.
    fn cage(&mut self) {
        let skipped = usize::from(
            matches!(
                self.kind(1),
                Some(Kind::Unknown | Kind::Letters | Kind::Word(Meaning::Verb(Verb::No, _)))
            ) && self
                .tokens
                .get(self.i + 1)
                .is_some_and(|t| t.text.len() > 1),
        );
        match self.kind(1 + skipped) {
            Some(Kind::Number(n)) if n.plain.is_some() && self.unit_ahead(1).is_none() => {
                self.take(2 + skipped, Kind::BadUnit);
            }
            _ => self.take(1, Kind::Word(Meaning::Filler)),
        }
    }
}

fn back(number: &Number) -> Option<DaySaid> {
    let days = number
        .plain
        .filter(|_| number.doubt.is_none() || number.plain.is_some())?;
    u8::try_from(days).ok().map(DaySaid::Back)
}
