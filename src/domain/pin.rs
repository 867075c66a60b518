//! A member's PIN: what may be one, how it is said, what it guards, how it is kept.
//!
//! Digits as typed are never written anywhere: [`Pin`] has no serialised form, and its debug form hides it. This room computes no digest.

use crate::domain::compact;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The fewest digits of a PIN: what phones and cards have taught everybody.
pub const LEAST_DIGITS: usize = 4;
/// The most digits of a PIN: longer ones are written on a slip.
pub const MOST_DIGITS: usize = 6;
/// The mark that stands in a kept text where a PIN stood.
pub const BLOT: &str = "****";

/// Four to six digits, as typed.
#[derive(Clone, PartialEq, Eq)]
pub struct Pin(String);

impl fmt::Debug for Pin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Pin(****)")
    }
}

impl Pin {
    /// From digits; `None` where they are too few, too many or no digits.
    #[must_use]
    pub fn new(digits: &str) -> Option<Self> {
        let fits = (LEAST_DIGITS..=MOST_DIGITS).contains(&digits.len())
            && digits.bytes().all(|b| b.is_ascii_digit());
        fits.then(|| Self(digits.to_owned()))
    }

    /// The digits.
    #[must_use]
    pub fn digits(&self) -> &str {
        &self.0
    }

    /// One that is tried first: one digit over and over, a run up or down, a pair over and over.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        let digits: Vec<i16> = self.0.bytes().map(i16::from).collect();
        let steps: Vec<i16> = digits
            .iter()
            .zip(digits.iter().skip(1))
            .map(|(a, b)| b - a)
            .collect();
        let run = |step: i16| steps.iter().all(|s| *s == step);
        let pairs = digits.iter().zip(digits.iter().skip(2));
        run(0) || run(1) || run(-1) || pairs.clone().all(|(a, b)| a == b)
    }
}

/// How a PIN was said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PinSaid {
    /// `pin 4711`: set, or the PIN of a line beside it, or the answer to the question for it.
    One(Pin),
    /// `pin 4711 5822`: the old one and the new one.
    Two(Pin, Pin),
    /// `pin off 4711`, or without the digits.
    Off(Option<Pin>),
    /// `pin`.
    Bare,
    /// The word, and what is no PIN.
    Unclear,
}

/// What a PIN guards, once a member has one: what shows personal data or cannot be taken back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Behind {
    /// A new PIN is waited for; nothing guards that, for there is none yet.
    Choose,
    /// `my data`.
    Data,
    /// `forget me`.
    Forget,
    /// The end of the PIN.
    End,
}

/// Why something about a PIN was not done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPin {
    /// Not the sender's; so many tries are left.
    Wrong(u8),
    /// It is locked for so many hours.
    Locked(u16),
    /// One that is tried first.
    Plain,
    /// There is one already, and nobody asked for it.
    Kept,
    /// There is none.
    None,
    /// It is another member's, who alone sets it.
    Another,
    /// What stands after the word is no PIN.
    Unclear,
}

/// A PIN as it is kept: salt and digest.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PinHash {
    /// Salt; public.
    #[serde(with = "compact::bytes")]
    pub salt: Vec<u8>,
    /// Argon2id (RFC 9106) of the digits.
    #[serde(with = "compact::bytes")]
    pub digest: Vec<u8>,
}

/// How often a PIN may be tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PinRules {
    /// Wrong ones in a row before it is locked.
    pub tries: u8,
    /// Hours that it is locked.
    pub lock_hours: u16,
}

impl Default for PinRules {
    fn default() -> Self {
        // Three tries a day find one of ten thousand in nine years; a day is what a keeper can wait for the office.
        Self {
            tries: 3,
            lock_hours: 24,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_to_six_digits_are_a_pin_and_the_first_guesses_are_told() {
        for none in ["", "471", "4711471", "47a1", "47.1"] {
            assert_eq!(Pin::new(none), None, "{none}");
        }
        for plain in ["0000", "1234", "4321", "123456", "1212", "777777", "989898"] {
            assert!(Pin::new(plain).unwrap().is_plain(), "{plain}");
        }
        for good in ["4711", "5822", "2080", "90210", "471147"] {
            assert!(!Pin::new(good).unwrap().is_plain(), "{good}");
        }
    }

    #[test]
    fn its_debug_form_hides_it() {
        let pin = Pin::new("4711").unwrap();
        assert!(!format!("{:?}", PinSaid::One(pin)).contains("4711"));
    }
}
