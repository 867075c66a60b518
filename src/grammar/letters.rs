//! Folding: letters without case and accents, one kind of dash, quote and space, each with its place in the message.
//!
//! This room does not know words or numbers. It must never make a number out of what was none: a mark on a digit, a fraction or a raised digit
//! spoils the piece it stands in, and a hidden character inside a number parts it.

use unicode_normalization::char::{decompose_canonical, is_combining_mark};

/// One folded character and the place of the character it came from, counted in characters from the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Letter {
    pub(crate) c: char,
    pub(crate) at: usize,
}

/// A crossed-out or forbidding picture; read like "not".
pub(crate) const BLUR: char = '~';

/// What a French "to" between two numbers is read like; elsewhere the same letter is "at".
const FRENCH_TO: &str = "jusqua";

/// Folds a text; about as many letters as the text has characters.
pub(crate) fn fold(text: &str) -> Vec<Letter> {
    let mut letters: Vec<Letter> = Vec::with_capacity(text.len());
    for (at, c) in text.chars().enumerate() {
        if c.is_ascii() {
            let c = if c.is_ascii_control() {
                ' '
            } else {
                c.to_ascii_lowercase()
            };
            letters.push(Letter { c, at });
        } else if matches!(c, '\u{e0}' | '\u{c0}') && is_between_numbers(text, at, &letters) {
            letters.extend(FRENCH_TO.chars().map(|c| Letter { c, at }));
        } else {
            fold_one(c, at, &mut letters);
        }
    }
    letters
}

/// Whether the character there stands alone, after a number: `18 to 31`, `C1 to C5`.
fn is_between_numbers(text: &str, at: usize, before: &[Letter]) -> bool {
    let alone = before.last().is_some_and(|l| l.c == ' ')
        && text.chars().nth(at + 1).is_some_and(char::is_whitespace);
    let number = before.iter().rev().find(|l| l.c != ' ');
    alone && number.is_some_and(|l| l.c.is_ascii_digit())
}

fn fold_one(c: char, at: usize, letters: &mut Vec<Letter>) {
    let mut push = |c| letters.push(Letter { c, at });
    match c {
        // Full-width forms of ASCII (Unicode block FF00): the same characters, made wide.
        '\u{ff01}'..='\u{ff5e}' => {
            let narrow = char::from_u32(u32::from(c) - 0xfee0).unwrap_or(' ');
            push(narrow.to_ascii_lowercase());
        }
        '\u{2010}'..='\u{2015}' | '\u{2212}' => push('-'),
        '\u{2018}'..='\u{201b}' | '\u{b4}' | '\u{2032}' => push('\''),
        '¿' | '❓' | '❔' | '⁇' => push('?'),
        '≈' | '±' | '❌' | '✖' | '✗' | '✘' | '✕' | '🚫' | '⛔' | '👎' | '🛑' => {
            push(BLUR);
        }
        // Emoji style and keycap marks dress a digit without changing it (Unicode TR 51).
        '\u{fe0f}' | '\u{20e3}' => (),
        // Ligatures have no decomposition; small phones write them as two letters.
        '\u{153}' | '\u{152}' => "oe".chars().for_each(push),
        '\u{e6}' | '\u{c6}' => "ae".chars().for_each(push),
        // Currency signs stay, so that a price is never a weight.
        '€' | '£' | '¥' | '\u{20a0}'..='\u{20bf}' => push('$'),
        _ if is_combining_mark(c) => {
            // An accent belongs to its letter; a stroke through a digit spoils it.
            if !letters.last().is_some_and(|l| l.c.is_alphabetic()) {
                letters.push(Letter { c, at });
            }
        }
        _ if c.is_alphanumeric() => {
            decompose_canonical(c, |part| {
                if !is_combining_mark(part) {
                    letters.extend(part.to_lowercase().map(|c| Letter { c, at }));
                }
            });
        }
        _ => push(' '),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folded(text: &str) -> String {
        fold(text).iter().map(|l| l.c).collect()
    }

    #[test]
    fn case_accents_and_dashes_do_not_matter() {
        assert_eq!(folded("MÁJI c4–c6 don’t"), "maji c4-c6 don't");
        assert_eq!(folded("Ｃ４　１２．５"), "c4 12.5");
        assert_eq!(folded("e\u{301}g"), "eg");
        assert_eq!(folded("\u{152}ufs"), "oeufs");
        assert_eq!(folded("18 \u{e0} 31"), "18 jusqua 31");
        assert_eq!(folded("eau \u{e0} C4"), "eau a c4");
    }

    #[test]
    fn nothing_becomes_a_number_that_was_none() {
        assert_eq!(folded("12\u{200b}5"), "12 5");
        assert_eq!(folded("12½"), "12½");
        assert_eq!(folded("12²"), "12²");
        assert_eq!(folded("1\u{336}2"), "1\u{336}2");
    }
}
