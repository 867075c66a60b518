//! A farm's two temperatures after `temp`, in the ways in which people part them.
//!
//! This room does not know what is too hot.

use crate::domain::said::Verb;
use crate::grammar::keypad;
use crate::grammar::meanings::Meaning;
use crate::grammar::roles::Role;
use crate::grammar::spans::Spans;
use crate::grammar::tokens::Kind;
use crate::units::Celsius;

impl Spans<'_> {
    pub(crate) fn temperature(&mut self) {
        let (min, used) = self.degrees(1);
        let mark = usize::from(matches!(
            self.kind(used),
            Some(Kind::Dash | Kind::Word(Meaning::To | Meaning::Filler))
        ));
        let (max, used_second) = self.degrees(used + mark);
        let third = matches!(self.kind(used_second), Some(Kind::Dash)) && self.glued(used_second)
            // `temp 1 9 to 31`
            || (matches!(self.kind(used_second), Some(Kind::Word(Meaning::To)))
                && self.number(used_second + 1).is_some())
            // `temp 1 7 27`: three numbers, one of them in two parts.
            || (self.number(used_second).is_some_and(|n| n.plain.is_some())
                && !matches!(self.kind(used_second + 1), Some(Kind::Word(Meaning::Days))));
        if let (Some(a), Some(b), false) = (min, max, third) {
            return self.take(used_second, Kind::Temperature(a, b));
        }
        if !(third && min.is_some() && max.is_some()) && self.worded_temperature() {
            return;
        }
        // `18/31` and `18,31`: one piece with both.
        let one = self
            .tokens
            .get(self.i + 1)
            .and_then(|t| two_degrees(&t.text));
        if let Some((a, b)) = one {
            return self.take(2, Kind::Temperature(a.min(b), a.max(b)));
        }
        // Numbers after a temperature that was not understood belong to it.
        let mut count = 1;
        while matches!(
            self.kind(count),
            Some(Kind::Number(_) | Kind::Dash | Kind::Junk | Kind::BadDay)
        ) {
            count += 1;
        }
        self.take(count, Kind::BadTemperature);
    }

    /// `temperature today 19 to 30 C`, `temp min 19 max 30`: the two among the words that people put around them. A day stands before them only.
    fn worded_temperature(&mut self) -> bool {
        let mut found: Vec<Celsius> = Vec::new();
        let mut day = None;
        let mut ahead = 1;
        while found.len() < 2 {
            let Some(token) = self.tokens.get(self.i + ahead) else {
                return false;
            };
            let (value, after) = self.degrees(ahead);
            match (value, &token.kind) {
                (Some(value), Kind::Number(_)) => {
                    found.push(value);
                    ahead = after;
                    continue;
                }
                (_, Kind::Day(said)) if found.is_empty() && day.is_none() => {
                    day = Some((self.i + ahead, *said));
                }
                (_, Kind::Dash | Kind::Word(Meaning::Filler | Meaning::And | Meaning::To)) => (),
                _ if self.lexicon.plays(Role::AroundTemperatures, &token.text) => (),
                _ => return false,
            }
            ahead += 1;
        }
        while self
            .tokens
            .get(self.i + ahead)
            .is_some_and(|t| self.lexicon.plays(Role::Degrees, &t.text))
        {
            ahead += 1;
        }
        // A third number makes it uncertain which two are meant.
        let dash = usize::from(matches!(
            self.kind(ahead),
            Some(Kind::Dash | Kind::Word(Meaning::To))
        ));
        let more = self.number(ahead + dash).is_some_and(|n| n.plain.is_some());
        let [a, b] = found[..] else {
            return false;
        };
        if more {
            return false;
        }
        let day = day.and_then(|(at, _)| self.tokens.get(at).cloned());
        self.take(ahead, Kind::Temperature(a.min(b), a.max(b)));
        self.out.extend(day);
        true
    }

    /// A temperature `ahead`, and where the next token is.
    fn degrees(&self, ahead: usize) -> (Option<Celsius>, usize) {
        let minus = usize::from(
            matches!(self.kind(ahead), Some(Kind::Dash))
                && self.glued(ahead + 1)
                && !self.glued(ahead),
        );
        let Some(token) = self.tokens.get(self.i + ahead + minus) else {
            return (None, ahead);
        };
        let value = celsius(token.text.trim_end_matches('c'), minus == 1);
        let lone_c = usize::from(
            self.tokens
                .get(self.i + ahead + minus + 1)
                .is_some_and(|t| t.text == "c")
                && self.unit_ahead(ahead + minus + 1).is_none()
                && !(matches!(self.kind(ahead + minus + 2), Some(Kind::Dash))
                    && self.glued(ahead + minus + 2)),
        );
        (value, ahead + minus + 1 + lone_c)
    }
}

/// Digits with at most one decimal, as a temperature.
fn celsius(text: &str, minus: bool) -> Option<Celsius> {
    let (whole, tenth) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    if whole.is_empty() || whole.len() > 2 || tenth.len() != 1 {
        return None;
    }
    let tenths = whole.parse::<i16>().ok()? * 10 + tenth.parse::<i16>().ok()?;
    Celsius::from_tenths(if minus { -tenths } else { tenths })
}

fn two_degrees(text: &str) -> Option<(Celsius, Celsius)> {
    let (a, b) = text.split_once(['/', ','])?;
    let two_digits = a.len() == 2 && b.len() == 2;
    two_digits.then_some(())?;
    Some((celsius(a, false)?, celsius(b, false)?))
}

/// Degrees that a keeper's day may have, and the least between its lowest and highest, in tenths: narrower or wider is no weather.
const WEATHER: (i16, i16, i16) = (50, 500, 20);

impl Spans<'_> {
    /// `jt 22-30`, `jyto 17 hadi 27`: a word near to `temp`, then two temperatures. It is taken for what it probably is, to be asked about.
    pub(crate) fn near_temperature(&mut self) -> bool {
        let Some(token) = self.tokens.get(self.i) else {
            return false;
        };
        let text = token.text.clone();
        let open = matches!(
            token.kind,
            Kind::Unknown | Kind::Letters | Kind::Junk | Kind::BadUnit | Kind::UnitDoubt(..)
        );
        // `te 21` may be a cage where the line has others of those letters.
        let own = self.tokens.iter().chain(&self.out).any(|t| match &t.kind {
            Kind::Units(units) => units
                .iter()
                .any(|u| u.code.letters().eq_ignore_ascii_case(&text)),
            _ => false,
        });
        if !open || own || !self.is_near_temp(&text) {
            return false;
        }
        let (i, out) = (self.i, self.out.len());
        let tokens = self.tokens.clone();
        self.temperature();
        let (least, most, apart) = WEATHER;
        if let Some(token) = self.out.get_mut(out)
            && let Kind::Temperature(min, max) = token.kind
            && min.tenths() >= least
            && max.tenths() <= most
            && min.tenths() + apart <= max.tenths()
        {
            token.kind = Kind::NearTemperature(min, max);
            return true;
        }
        self.out.truncate(out);
        self.tokens = tokens;
        self.i = i;
        false
    }

    fn is_near_temp(&self, text: &str) -> bool {
        let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u');
        let bare = |word: &str| {
            word.char_indices()
                .filter(|(i, c)| *i == 0 || !vowel(*c))
                .map(|(_, c)| c)
                .collect::<String>()
        };
        let digits = text.bytes().filter(u8::is_ascii_digit).count();
        let slipped = |word: &str| match digits {
            0 => text.len() > 3 && keypad::near(text, word, keypad::SLIP).is_some(),
            1 => text.len() == word.len() && one_key_off(text, word),
            _ => false,
        };
        self.lexicon
            .entries()
            .filter(|(_, entry)| matches!(entry.meaning, Meaning::Verb(Verb::Temp, _)))
            .any(|(word, _)| {
                let short = digits == 0 && text.len() > 1 && text.len() < word.len();
                (short && (word.starts_with(text) || bare(word) == text)) || slipped(word)
            })
    }
}

/// `5oto`: the digit of one letter's key.
fn one_key_off(text: &str, word: &str) -> bool {
    let differs: Vec<(u8, u8)> = text
        .bytes()
        .zip(word.bytes())
        .filter(|(a, b)| a != b)
        .collect();
    matches!(differs[..], [(digit, letter)] if keypad::key_of(letter) == Some(digit))
}
