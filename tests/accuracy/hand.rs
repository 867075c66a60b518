//! The habits of one hand: language, code style, decimal mark, units, separators, case, politeness.
//!
//! This file writes nothing; the writer does.

use crate::accuracy::farm::pick;
use crate::accuracy::words::{self, Tongue};
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// The habits of one hand.
pub struct Hand {
    /// Takes the first of several words every time.
    plain: bool,
    pub tongue: Tongue,
    /// Switches tongue from word to word.
    mixes: bool,
    pub code: CodeStyle,
    pub comma: bool,
    pub grams: &'static str,
    /// Between a code and its weight.
    pub tie: &'static str,
    /// Between cages.
    pub gap: &'static str,
    pub eggs_word: Option<bool>,
    pub case: Case,
    pub greets: bool,
    pub thanks: bool,
    pub signs: bool,
    pub emoji: bool,
    pub says_today: bool,
}

#[derive(Clone, Copy)]
pub enum CodeStyle {
    Plain,
    Spaced,
    Dashed,
    Zero,
}

#[derive(Clone, Copy)]
pub enum Case {
    AsIs,
    Lower,
    Upper,
}

impl Hand {
    /// A hand. Plain habits are the commonest.
    pub fn new(rng: &mut ChaCha8Rng) -> Self {
        let tongue = pick(rng, &[Tongue::English, Tongue::Kiswahili]);
        let gap = pick(rng, &[" ", " ", " ", " ", ", ", "; ", "\n", ". "]);
        let grams = pick(rng, words::grams(tongue));
        Self {
            plain: false,
            tongue,
            mixes: rng.random_bool(0.25),
            code: pick(
                rng,
                &[
                    CodeStyle::Plain,
                    CodeStyle::Plain,
                    CodeStyle::Plain,
                    CodeStyle::Plain,
                    CodeStyle::Spaced,
                    CodeStyle::Dashed,
                    CodeStyle::Zero,
                ],
            ),
            comma: rng.random_bool(0.2),
            grams,
            tie: pick(rng, &[" ", " ", " ", " ", " ", "=", " = ", ": ", ":"]),
            gap,
            eggs_word: pick(rng, &[None, None, None, Some(true), Some(false)]),
            case: pick(
                rng,
                &[
                    Case::AsIs,
                    Case::AsIs,
                    Case::Lower,
                    Case::Lower,
                    Case::Upper,
                ],
            ),
            greets: rng.random_bool(0.1),
            thanks: rng.random_bool(0.08),
            signs: rng.random_bool(0.04),
            emoji: rng.random_bool(0.04),
            says_today: rng.random_bool(0.06),
        }
    }

    /// The plainest hand: what the instructions on the card show.
    pub fn plain() -> Self {
        Self {
            plain: true,
            tongue: Tongue::English,
            mixes: false,
            code: CodeStyle::Plain,
            comma: false,
            grams: "",
            tie: " ",
            gap: " ",
            eggs_word: None,
            case: Case::AsIs,
            greets: false,
            thanks: false,
            signs: false,
            emoji: false,
            says_today: false,
        }
    }

    /// One of several ways to say it.
    pub fn choose(&self, rng: &mut ChaCha8Rng, from: &[&'static str]) -> &'static str {
        if self.plain { from[0] } else { pick(rng, from) }
    }

    /// The tongue of the next word.
    pub fn tongue(&self, rng: &mut ChaCha8Rng) -> Tongue {
        if self.mixes && rng.random_bool(0.5) {
            pick(rng, &[Tongue::English, Tongue::Kiswahili])
        } else {
            self.tongue
        }
    }
}
