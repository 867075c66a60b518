//! Numbers as keepers write them: decimal points and commas, stuck units, letters typed for digits.
//!
//! A number that has two readings carries both. This room does not know what a number is for.

use crate::domain::said::Why;
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{MassUnit, Meaning};
use crate::units::Grams;

/// The most digits before the point: beyond them it is a phone number or worse, never an amount.
const MOST_DIGITS: usize = 9;
/// A whole number of so many digits that starts with 0 is a phone number.
const PHONE_DIGITS: usize = 7;

/// A number as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Number {
    /// Its likeliest value in hundredths of the written unit.
    pub(crate) hundredths: u64,
    /// Plain digits without unit, point or letters: may be part of a code, a day, an hour, a member's number.
    pub(crate) plain: Option<u32>,
    /// Written without a fraction.
    pub(crate) integer: bool,
    /// The unit, where one was written.
    pub(crate) unit: Option<MassUnit>,
    /// Why it has several readings, and their values, likeliest first.
    pub(crate) doubt: Option<(Why, Vec<u64>)>,
}

impl Number {
    /// The values that it may have, in hundredths of the written unit.
    pub(crate) fn values(&self) -> Vec<u64> {
        self.doubt
            .as_ref()
            .map_or_else(|| vec![self.hundredths], |(_, values)| values.clone())
    }

    /// A value of it as a mass, where it is one.
    pub(crate) fn grams(&self, hundredths: u64) -> Option<Grams> {
        let factor = if self.unit == Some(MassUnit::Kilo) {
            1000
        } else {
            1
        };
        let hundredths = u32::try_from(hundredths.checked_mul(factor)?).ok()?;
        Grams::from_hundredths(hundredths)
    }

    /// Written as kilograms.
    pub(crate) fn in_kilograms(&self) -> bool {
        self.unit == Some(MassUnit::Kilo)
    }

    /// A whole number that may be read as part of something else.
    pub(crate) fn plain(value: u32) -> Self {
        Self {
            hundredths: u64::from(value) * 100,
            plain: Some(value),
            integer: true,
            unit: None,
            doubt: None,
        }
    }
}

/// Reads a piece that is wholly a number, with a stuck unit or without.
pub(crate) fn read(text: &str, lexicon: &Lexicon) -> Option<Number> {
    let (digits, unit) = split_unit(text, lexicon);
    let (digits, had_letters) = without_look_alikes(digits, unit.is_some())?;
    let mut number = decimal(&digits)?;
    number.unit = unit;
    if unit.is_some() || had_letters {
        number.plain = None;
    }
    Some(number)
}

/// Parts a stuck unit from its number: the longest ending that is a unit's word.
fn split_unit<'a>(text: &'a str, lexicon: &Lexicon) -> (&'a str, Option<MassUnit>) {
    let letters = text.len()
        - text
            .trim_end_matches(|c: char| c.is_ascii_alphabetic())
            .len();
    for start in text.len() - letters..text.len() {
        if let (Some(digits), Some(ending)) = (text.get(..start), text.get(start..))
            && let Some(entry) = lexicon.get(ending)
            && let Meaning::Unit(unit) = entry.meaning
        {
            return (digits, Some(unit));
        }
    }
    (text, None)
}

/// Letters typed for digits: O for 0, l and I for 1, where the rest is a number. A last `l` may be litres, so it is none.
fn without_look_alikes(text: &str, has_unit: bool) -> Option<(String, bool)> {
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    let digits = text.chars().filter(char::is_ascii_digit).count();
    if letters == 0 {
        return Some((text.to_owned(), false));
    }
    if letters > digits || (text.ends_with('l') && !has_unit) {
        return None;
    }
    let digit = |c| match c {
        'o' => Some('0'),
        'l' | 'i' => Some('1'),
        '0'..='9' | '.' | ',' => Some(c),
        _ => None,
    };
    Some((text.chars().map(digit).collect::<Option<String>>()?, true))
}

fn decimal(text: &str) -> Option<Number> {
    let groups: Vec<&str> = text.split(['.', ',']).collect();
    let marks: Vec<char> = text.chars().filter(|c| matches!(c, '.' | ',')).collect();
    if !groups.iter().all(|g| g.bytes().all(|b| b.is_ascii_digit())) {
        return None;
    }
    match (&groups[..], &marks[..]) {
        ([whole], []) => whole_number(whole),
        ([whole, fraction], [mark]) => with_fraction(whole, fraction, *mark),
        _ => with_thousands(&groups, &marks),
    }
}

fn whole_number(digits: &str) -> Option<Number> {
    let padded = digits.len() > 1 && digits.starts_with('0');
    if digits.is_empty() || digits.len() > MOST_DIGITS || (padded && digits.len() >= PHONE_DIGITS) {
        return None;
    }
    let value: u32 = digits.parse().ok()?;
    let mut number = Number::plain(value);
    if padded && value != 0 {
        // `05` may have lost its point.
        let mut values = vec![number.hundredths];
        values.extend(fraction_of(&digits[1..]).filter(|_| digits.len() <= 3));
        number.doubt = Some((Why::SplitDecimal, values));
    }
    Some(number)
}

/// Hundredths of a fraction of one or two digits.
fn fraction_of(digits: &str) -> Option<u64> {
    match digits.len() {
        1 => digits.parse::<u64>().ok().map(|d| d * 10),
        2 => digits.parse().ok(),
        _ => None,
    }
}

fn with_fraction(whole: &str, fraction: &str, mark: char) -> Option<Number> {
    let padded = whole.len() > 1 && whole.starts_with('0');
    if whole.len() > MOST_DIGITS
        || padded
        || (whole.is_empty() && mark == ',')
        || fraction.is_empty()
    {
        return None;
    }
    let units: u64 = if whole.is_empty() {
        0
    } else {
        whole.parse().ok()?
    };
    if let Some(hundredths) = fraction_of(fraction) {
        return Some(Number {
            hundredths: units * 100 + hundredths,
            plain: None,
            integer: false,
            unit: None,
            doubt: None,
        });
    }
    // Three digits and more: rounded to hundredths, or a thousands mark.
    let thousandths: u64 = fraction.get(..3)?.parse().ok()?;
    let rounded = units * 100 + (thousandths + 5) / 10;
    let mut values = vec![rounded];
    let thousands = fraction.len() == 3 && units > 0 && whole.len() <= 3;
    if thousands {
        values.push((units * 1000 + thousandths) * 100);
    }
    let why = if thousands && mark == ',' {
        Why::Comma
    } else {
        Why::TooFine
    };
    Some(Number {
        hundredths: rounded,
        plain: None,
        integer: false,
        unit: None,
        doubt: Some((why, values)),
    })
}

/// `1,200.5`, `1.200.000`: several marks leave only the reading with thousands.
fn with_thousands(groups: &[&str], marks: &[char]) -> Option<Number> {
    let (first, rest) = groups.split_first()?;
    let (last, middle) = rest.split_last()?;
    let thousands_mark = *marks.first()?;
    let last_mark = *marks.last()?;
    let first_fits = (1..=3).contains(&first.len()) && !first.starts_with('0');
    let middle_fits = middle.iter().all(|g| g.len() == 3)
        && marks[..marks.len() - 1]
            .iter()
            .all(|m| *m == thousands_mark);
    let digits: String = groups[..groups.len() - 1].concat();
    if !first_fits || !middle_fits || digits.len() > MOST_DIGITS {
        return None;
    }
    let whole: u64 = digits.parse().ok()?;
    let (hundredths, integer) = if last_mark == thousands_mark {
        if last.len() != 3 || digits.len() + 3 > MOST_DIGITS {
            return None;
        }
        ((whole * 1000 + last.parse::<u64>().ok()?) * 100, true)
    } else {
        (whole * 100 + fraction_of(last)?, false)
    };
    Some(Number {
        hundredths,
        plain: None,
        integer,
        unit: None,
        doubt: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(text: &str) -> Vec<u64> {
        read(text, Lexicon::builtin())
            .map(|n| n.values())
            .unwrap_or_default()
    }

    #[test]
    fn certain_numbers() {
        for (text, hundredths) in [
            ("12.5", 1250),
            ("12,5", 1250),
            ("12,50", 1250),
            (".5", 50),
            ("0", 0),
            ("00", 0),
            ("12.5g", 1250),
            ("l2.5", 1250),
            ("1o", 1000),
            ("o.5", 50),
            ("1og", 1000),
            ("1,200.5", 120_050),
            ("1.200.000", 120_000_000),
            ("1.2kg", 120),
            ("5lg", 5100),
        ] {
            assert_eq!(values(text), [hundredths], "{text}");
        }
    }

    #[test]
    fn doubtful_numbers_carry_their_readings() {
        assert_eq!(values("1,200"), [120, 120_000]);
        assert_eq!(values("1.200"), [120, 120_000]);
        assert_eq!(values("12.345"), [1235, 1_234_500]);
        assert_eq!(values("0.125"), [13]);
        assert_eq!(values("05"), [500, 50]);
    }

    #[test]
    fn what_is_no_number_is_none() {
        for text in [
            "",
            "5l",
            "ol",
            "1.2.3",
            "012.5",
            "0712345678",
            "1234567890",
            "12x",
            "12½",
            "500/=",
            "5%",
            ",5",
            "1.",
            "23/11",
        ] {
            assert_eq!(values(text), [0_u64; 0], "{text}");
        }
    }
}
