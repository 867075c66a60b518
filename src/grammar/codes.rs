//! Unit codes as keepers write them: `C4`, `c04`, with a check letter, or with something stuck to them.
//!
//! Codes are never repaired: what may be a code and a number has several readings, and what is no code is bad. This room does not know
//! which units a farm has.

use crate::domain::code::UnitCode;
use crate::domain::said::{UnitSaid, Why};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::Meaning;
use crate::grammar::numbers::{self, Number};

/// One reading of a doubtful piece: units, and the number that would then stand after them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct CodeReading {
    pub(crate) units: Vec<UnitSaid>,
    pub(crate) number: Option<Number>,
}

/// What a piece that starts like a code is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum CodeRead {
    /// A code; what follows it in the piece, if anything, starts at this byte.
    Sure(UnitSaid, usize),
    /// Several readings.
    Doubt(Why, Vec<CodeReading>),
    /// No code.
    Bad,
}

/// The most digits of a code.
const CODE_DIGITS: usize = 3;
/// The shortest word that may be stuck to a code; shorter ones could be a check letter or a unit.
const STUCK_WORD: usize = 3;

/// Reads a piece that starts with one or two letters and a digit; `None` for any other.
pub(crate) fn read(text: &str, lexicon: &Lexicon) -> Option<CodeRead> {
    let letters_end = text.find(|c: char| !c.is_ascii_alphabetic())?;
    let (letters, rest) = text.split_at(letters_end);
    if !(1..=2).contains(&letters.len()) || !rest.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let digits_end = rest
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(rest.len());
    let (digits, tail) = rest.split_at(digits_end);
    let code = Code {
        letters: letters.to_ascii_uppercase(),
        digits,
        lexicon,
    };
    if tail.starts_with('/') {
        return Some(code.before_stroke(tail));
    }
    if tail.starts_with(['.', ',']) {
        return Some(code.before_point(tail));
    }
    if tail.is_empty() {
        return Some(code.alone(letters_end + digits_end));
    }
    Some(code.before_letters(tail, letters_end + digits_end))
}

struct Code<'a> {
    letters: String,
    digits: &'a str,
    lexicon: &'a Lexicon,
}

impl Code<'_> {
    fn unit(&self, digits: &str) -> Option<UnitSaid> {
        if digits.len() > CODE_DIGITS {
            return None;
        }
        let code = UnitCode::new(&self.letters, digits.parse().ok()?)?;
        Some(UnitSaid {
            code,
            checked: false,
            inside_range: false,
        })
    }

    fn alone(&self, end: usize) -> CodeRead {
        match self.unit(self.digits) {
            Some(unit) => CodeRead::Sure(unit, end),
            None if self.digits.len() > CODE_DIGITS => self.stuck(""),
            None => CodeRead::Bad,
        }
    }

    /// `C412.5`: the code may end after any of its digits; `C4.12,5` only at the first mark, since the two marks differ.
    fn before_point(&self, tail: &str) -> CodeRead {
        let (mark, after) = tail.split_at(1);
        let other = if mark == "." { ',' } else { '.' };
        if let Some(unit) = self.unit(self.digits)
            && after.contains(other)
            && !after.contains(mark)
            && numbers::read(after, self.lexicon).is_some_and(|n| n.doubt.is_none())
        {
            // What follows the mark is read as a piece of its own.
            let end = self.letters.len() + self.digits.len() + 1;
            return CodeRead::Sure(unit, end);
        }
        let CodeRead::Doubt(why, mut readings) = self.stuck(tail) else {
            return CodeRead::Bad;
        };
        for number in [
            numbers::read(after, self.lexicon),
            numbers::read(tail, self.lexicon),
        ] {
            if let (Some(unit), Some(number)) = (self.unit(self.digits), number)
                && number.doubt.is_none()
            {
                readings.push(CodeReading {
                    units: vec![unit],
                    number: Some(number),
                });
            }
        }
        readings.extend(self.list(tail).filter(|_| mark == ","));
        if readings.is_empty() {
            CodeRead::Bad
        } else {
            CodeRead::Doubt(why, readings)
        }
    }

    /// `C1/2`: two cages, or one and a number.
    fn before_stroke(&self, tail: &str) -> CodeRead {
        let mut readings: Vec<CodeReading> = self.list(tail).into_iter().collect();
        if let (Some(unit), Some(number)) = (
            self.unit(self.digits),
            numbers::read(&tail[1..], self.lexicon),
        ) {
            readings.push(CodeReading {
                units: vec![unit],
                number: Some(number),
            });
        }
        if readings.is_empty() {
            CodeRead::Bad
        } else {
            CodeRead::Doubt(Why::StuckNumber, readings)
        }
    }

    /// `C1,2,3`: several cages with the letter written once.
    fn list(&self, tail: &str) -> Option<CodeReading> {
        let parts = tail.split([',', '/']).skip(1);
        let units: Option<Vec<UnitSaid>> = std::iter::once(self.digits)
            .chain(parts)
            .map(|digits| self.unit(digits))
            .collect();
        Some(CodeReading {
            units: units?,
            number: None,
        })
    }

    /// Every way to part the digits into a code and the start of a number.
    fn stuck(&self, tail: &str) -> CodeRead {
        let mut readings = Vec::new();
        for k in 1..self.digits.len().min(CODE_DIGITS + 1) {
            let (code, number) = self.digits.split_at(k);
            if number.len() > 1 && number.starts_with('0') {
                continue;
            }
            let number = numbers::read(&format!("{number}{tail}"), self.lexicon);
            if let (Some(unit), Some(number)) = (self.unit(code), number)
                && number.doubt.is_none()
            {
                readings.push(CodeReading {
                    units: vec![unit],
                    number: Some(number),
                });
            }
        }
        CodeRead::Doubt(Why::StuckNumber, readings)
    }

    fn before_letters(&self, tail: &str, end: usize) -> CodeRead {
        let word_end = tail
            .find(|c: char| !c.is_ascii_alphabetic())
            .unwrap_or(tail.len());
        let (word, after) = tail.split_at(word_end);
        if word.is_empty() {
            return CodeRead::Bad;
        }
        let entry = self.lexicon.get(word);
        if after.is_empty() && matches!(entry.map(|e| e.meaning), Some(Meaning::Unit(_))) {
            return self.stuck_unit(word);
        }
        let Some(unit) = self.unit(self.digits) else {
            return CodeRead::Bad;
        };
        if word.len() >= STUCK_WORD && entry.is_some() {
            return CodeRead::Sure(unit, end);
        }
        let mut letters = word.chars();
        let (Some(letter), None, true) = (letters.next(), letters.next(), after.is_empty()) else {
            return CodeRead::Bad;
        };
        self.checked(unit, letter, end + word.len())
    }

    fn checked(&self, unit: UnitSaid, letter: char, end: usize) -> CodeRead {
        let letter = letter.to_ascii_uppercase();
        if letter == unit.code.check_letter() {
            return CodeRead::Sure(
                UnitSaid {
                    checked: true,
                    ..unit
                },
                end,
            );
        }
        if matches!(letter, 'I' | 'O' | 'Q') {
            return CodeRead::Bad;
        }
        CodeRead::Doubt(
            Why::CheckLetter,
            vec![CodeReading {
                units: vec![unit],
                number: None,
            }],
        )
    }

    /// `C45g`: five grams at C4, or C45 with its check letter; `C45kg` has no check letter but the same trouble.
    fn stuck_unit(&self, word: &str) -> CodeRead {
        let CodeRead::Doubt(_, mut readings) = self.stuck(word) else {
            return CodeRead::Bad;
        };
        if let Some(unit) = self.unit(self.digits)
            && word.len() == 1
            && word.eq_ignore_ascii_case(&unit.code.check_letter().to_string())
        {
            let unit = UnitSaid {
                checked: true,
                ..unit
            };
            readings.push(CodeReading {
                units: vec![unit],
                number: None,
            });
        }
        if readings.is_empty() {
            readings.extend(self.unit(self.digits).map(|unit| CodeReading {
                units: vec![unit],
                number: None,
            }));
        }
        CodeRead::Doubt(Why::StuckLetter, readings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let one = |r: &CodeReading| {
            let units: Vec<String> = r.units.iter().map(|u| u.code.to_string()).collect();
            let number = r.number.as_ref().map(|n| format!("+{}", n.hundredths));
            units.join(",") + &number.unwrap_or_default()
        };
        match read(text, Lexicon::builtin()) {
            None => "-".to_owned(),
            Some(CodeRead::Bad) => "bad".to_owned(),
            Some(CodeRead::Sure(u, end)) => {
                format!(
                    "{}{} {}",
                    u.code,
                    if u.checked { "!" } else { "" },
                    &text[end..]
                )
            }
            Some(CodeRead::Doubt(why, readings)) => {
                let readings: Vec<String> = readings.iter().map(one).collect();
                format!("{why:?} {}", readings.join(" "))
            }
        }
    }

    #[test]
    fn codes_and_what_sticks_to_them() {
        for (text, expected) in [
            ("c4", "C4 "),
            ("c04", "C4 "),
            ("ab12", "AB12 "),
            ("c4bait", "C4 bait"),
            ("c4.12,5", "C4 12,5"),
            ("c4,12.5", "C4 12.5"),
            ("c412.5", "StuckNumber C4+1250 C41+250 C412+500 C412+50"),
            ("c45g", "StuckLetter C4+500"),
            ("c4,5", "StuckNumber C4+500 C4,C5"),
            ("c4.5", "StuckNumber C4+500 C4+50"),
            ("c1200", "StuckNumber C1+20000 C120+0"),
            ("c1/2", "StuckNumber C1,C2 C1+200"),
            ("c4x", "CheckLetter C4"),
            ("c4i", "bad"),
            ("ci4", "bad"),
            ("c0", "bad"),
            ("c4½", "bad"),
            ("abc4", "-"),
            ("c", "-"),
            ("4c", "-"),
        ] {
            assert_eq!(shown(text), expected, "{text}");
        }
        let right = UnitCode::new("C", 4)
            .unwrap()
            .check_letter()
            .to_ascii_lowercase();
        assert_eq!(shown(&format!("c4{right}")), "C4! ");
    }
}
