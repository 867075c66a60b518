//! Text to what was said: one message in, a [`Reading`] out.
//!
//! The grammar never fails and never guesses a number: what has one reading is said, what has several is a doubt, and the rest is named as
//! not understood, with what was expected there. It does not know which cages exist, what day it is or what is plausible.
//! `grammar/entry.abnf` is the normative description; `grammar/words/` holds the words, one file a language.

mod amounts;
mod binding;
mod chunks;
mod codes;
mod emit;
mod facts;
mod guess;
pub mod keypad;
mod letters;
pub mod lexicon;
mod lines;
pub mod meanings;
mod near_day;
mod numbers;
mod orders;
pub mod pin;
pub mod registry;
pub mod roles;
mod sayings;
mod spans;
mod tokens;
mod word_file;

pub use lexicon::Lexicon;

use crate::domain::said::{Expected, Reading, Unread};

/// The most characters that one message may have. Ten parts of 153 characters and some room; a longer text is not cut, since a cut could
/// part a number from its day.
pub const MAX_CHARS: usize = 2000;
/// The most tokens of one message: 2000 characters of the shortest useful groups (`C4 5 `) are below it.
pub const MAX_TOKENS: usize = 1000;
/// The most units of one range: the largest farm has about 40 cages, numbered with gaps.
pub const MAX_RANGE: u16 = 100;
/// The most unit mentions that one message may hold, ranges counted out.
pub const MAX_UNITS: usize = 400;

/// Reads one message. Total: any text gives a reading, and an empty one gives an unread piece that names what was expected.
#[must_use]
pub fn read(text: &str, lexicon: &Lexicon) -> Reading {
    let original: Vec<char> = text.chars().take(MAX_CHARS + 1).collect();
    if original.len() > MAX_CHARS {
        return too_long();
    }
    let mut letters = letters::fold(text);
    let mut reading = Reading::default();
    pin::take(&mut letters, lexicon, &mut reading);
    let pieces = chunks::split(&letters);
    let tokens = tokens::read_all(&pieces, lexicon, &mut reading.repaired);
    if tokens.len() > MAX_TOKENS {
        return Reading {
            secrets: reading.secrets,
            ..too_long()
        };
    }
    let mut tokens = tokens;
    sayings::settle(&mut tokens, lexicon);
    let mut tokens = spans::join(tokens, lexicon);
    guess::mark(&mut tokens, lexicon);
    sayings::all_at_end(&mut tokens);
    // What is quoted of the text quotes no PIN.
    let original: Vec<char> = pin::blanked(original, &reading.secrets);
    lines::read_line(&original, tokens, lexicon, &mut reading);
    if reading.for_member.is_none() && is_bare(&reading) {
        reading.unread.push(Unread {
            text: String::new(),
            at: 0,
            unit: None,
            expected: Expected::CageOrWord,
        });
    }
    reading
}

/// Nothing at all came of the text: an empty message, or only greetings.
fn is_bare(reading: &Reading) -> bool {
    reading.said.is_empty()
        && reading.orders.is_empty()
        && reading.doubts.is_empty()
        && reading.unread.is_empty()
}

/// The reading of a message past a limit: nothing of it is saved, since its end may change its beginning.
fn too_long() -> Reading {
    Reading {
        unread: vec![Unread {
            text: String::new(),
            at: MAX_CHARS,
            unit: None,
            expected: Expected::Shorter,
        }],
        ..Reading::default()
    }
}
