//! The code of a farm's unit: one or two letters and a number, as painted on a cage.
//!
//! This room does not know how keepers write codes (spaces, dashes, zeros, look-alikes); the grammar reads those.

use crate::units::check_letter::{check_letter, letter_value};
use serde::{Deserialize, Serialize};
use std::fmt;

/// `C4`, `AB12`: unique within one farm across kinds of unit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct UnitCode {
    /// Capital letters; the first is 0 when the code has one letter, so that codes sort by letter and number.
    letters: [u8; 2],
    number: u16,
}

impl UnitCode {
    /// The largest number that a code may carry.
    pub const NUMBER_MAX: u16 = 999;

    /// From one or two capital code letters and a number from 1 to 999; `None` otherwise.
    #[must_use]
    pub fn new(letters: &str, number: u16) -> Option<Self> {
        let letters = match *letters.as_bytes() {
            [only] => [0, only],
            [first, second] => [first, second],
            _ => return None,
        };
        let known = letters
            .iter()
            .all(|l| *l == 0 || letter_value(*l).is_some());
        (known && (1..=Self::NUMBER_MAX).contains(&number)).then_some(Self { letters, number })
    }

    /// The letters, without the number.
    #[must_use]
    pub fn letters(self) -> String {
        self.letters
            .iter()
            .filter(|l| **l != 0)
            .map(|l| char::from(*l))
            .collect()
    }

    /// The number, 1 to 999.
    #[must_use]
    pub const fn number(self) -> u16 {
        self.number
    }

    /// The letter that proves the code was typed right.
    #[must_use]
    pub fn check_letter(self) -> char {
        let value = |letter| letter_value(letter).unwrap_or(0);
        check_letter(value(self.letters[0]), value(self.letters[1]), self.number)
    }
}

impl fmt::Display for UnitCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letters(), self.number)
    }
}

impl fmt::Debug for UnitCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}
