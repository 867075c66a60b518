//! A word that is nearly a day, at the end of a line that says none: the whole line may be of that day.
//!
//! No day is put right here: the desk shows the day and asks. Names and ordinary words that only look a little like a day are left alone; what
//! the keeper is called is the desk's to know.

use crate::domain::said::{DaySaid, Expected, NearDay, Reading, Unread};
use crate::grammar::keypad::{self, ONE_SLIP};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{Entry, Meaning};
use crate::grammar::orders::written;
use crate::grammar::registry::{self, Scope};
use crate::grammar::tokens::{Kind, Token};

/// Shorter days stand their letters in another order, another word of the same keys, or one letter lost.
const LONG: usize = 4;
/// The shortest day: `sun`, `lun`, `leo`.
const SHORTEST: usize = 3;

/// Takes the word that is nearly a day out of the line, and names it; none where a day was said, or where the word stands within the line.
pub(crate) fn take(
    original: &[char],
    tokens: &mut Vec<Token>,
    lexicon: &Lexicon,
    reading: &mut Reading,
) -> Option<NearDay> {
    let is_day = |t: &Token| matches!(t.kind, Kind::Day(_));
    let is_unit = |t: &Token| matches!(t.kind, Kind::Units(_) | Kind::Word(Meaning::All));
    if tokens.iter().any(is_day) || !tokens.iter().any(is_unit) {
        return None;
    }
    let heads = heads(tokens);
    let solid: Vec<usize> = (0..tokens.len())
        .filter(|i| tokens.get(*i).is_some_and(|t| !t.is_filler()))
        .collect();
    let last = solid.len().checked_sub(1)?;
    let ends = [
        Some(0),
        Some(last),
        last.checked_sub(1).filter(|_| signed(tokens)),
    ];
    let (at, day) = ends
        .into_iter()
        .flatten()
        .filter_map(|nth| solid.get(nth).copied())
        .filter(|at| !is_signature(original, tokens, *at))
        .find_map(|at| Some((at, probable(tokens, at, &heads, lexicon)?)))?;
    // `12.5gyesterday` holds a weight too: it stays, to be named with its cage.
    let holds_more = |t: &Token| t.kind == Kind::Junk && t.text.contains(['.', ',']);
    if let Some(token) = tokens.get(at).filter(|t| holds_more(t)) {
        let text = token.text.clone();
        return Some(NearDay { text, day });
    }
    let token = tokens.remove(at);
    reading.unread.push(Unread {
        text: written(original, token.at, token.end),
        at: token.at,
        unit: None,
        expected: Expected::WeightOrWord,
    });
    let text = token.text;
    Some(NearDay { text, day })
}

/// The line ends with an unlisted word, as a name does.
fn signed(tokens: &[Token]) -> bool {
    tokens
        .last()
        .is_some_and(|t| matches!(t.kind, Kind::Unknown | Kind::Near(_)))
}

/// A short word set apart below the line is what somebody is called.
fn is_signature(original: &[char], tokens: &[Token], at: usize) -> bool {
    let (Some(before), Some(token)) = (
        at.checked_sub(1).and_then(|i| tokens.get(i)),
        tokens.get(at),
    ) else {
        return false;
    };
    let between = original.get(before.end..token.at).unwrap_or_default();
    token.text.len() < LONG
        && between
            .iter()
            .any(|c| matches!(c, '\n' | '\r' | '.' | '!' | '-'))
}

/// The letters of the line's cages.
fn heads(tokens: &[Token]) -> Vec<String> {
    tokens
        .iter()
        .filter_map(|t| match &t.kind {
            Kind::Units(units) => units.first(),
            _ => None,
        })
        .map(|unit| unit.code.letters().to_ascii_lowercase())
        .collect()
}

fn probable(tokens: &[Token], at: usize, heads: &[String], lexicon: &Lexicon) -> Option<DaySaid> {
    let token = tokens.get(at)?;
    let before = at.checked_sub(1).and_then(|i| tokens.get(i));
    let text = token.text.as_str();
    let own = heads.iter().any(|head| text.starts_with(head.as_str()));
    match token.kind {
        Kind::Unknown | Kind::BadDay => only(lexicon, |word| is_near(text, word)),
        // `mo` may be a moat.
        Kind::Letters if !own && !starts_work(text, lexicon) => {
            only(lexicon, |word| is_near(text, word))
        }
        // `jan` counts days of January only after a bare number.
        Kind::Word(Meaning::Measure) if !before.is_some_and(is_bare) => {
            only(lexicon, |word| is_near(text, word))
        }
        Kind::Word(Meaning::Plain) => only(lexicon, |word| is_twin(text, word)),
        // `1.1gyesterday`
        Kind::Junk => only(lexicon, |word| {
            has_digit_for_letter(text, word)
                || (word.len() >= LONG && (text.ends_with(word) || text.starts_with(word)))
        }),
        Kind::UnitDoubt(..) | Kind::BadUnit if !own => {
            only(lexicon, |word| has_digit_for_letter(text, word))
        }
        _ => None,
    }
}

fn starts_work(text: &str, lexicon: &Lexicon) -> bool {
    lexicon
        .entries()
        .filter(|(word, _)| word.starts_with(text))
        .any(|(_, entry)| matches!(entry.meaning, Meaning::Verb(verb, _) if registry::of(verb).scope == Scope::Unit))
}

fn is_bare(token: &Token) -> bool {
    matches!(&token.kind, Kind::Number(number) if number.plain.is_some())
}

/// The one day that fits; today needs no word, so a word near it may as well be a name.
fn only(lexicon: &Lexicon, fits: impl Fn(&str) -> bool) -> Option<DaySaid> {
    let day = |(word, entry): (&str, Entry)| match entry.meaning {
        Meaning::Day(day) if fits(word) => Some(day),
        _ => None,
    };
    let mut days = lexicon.entries().filter_map(day);
    let first = days.next()?;
    (first != DaySaid::Back(0) && days.all(|day| day == first)).then_some(first)
}

/// One slip from a day, as far as its length stands one, or a day cut short.
fn is_near(text: &str, word: &str) -> bool {
    let near = |most| keypad::near(text, word, most).is_some();
    match (text.len(), word.len()) {
        (LONG.., LONG..) => near(ONE_SLIP) || (text.len() > LONG && word.starts_with(text)),
        // Too many names are one press from a short day (`Ali` from `alh`).
        (SHORTEST, SHORTEST) => swapped(text, word) || is_twin(text, word),
        (SHORTEST, LONG) => loses_one(text, word),
        (2, SHORTEST) => loses_one(text, word),
        _ => false,
    }
}

fn swapped(text: &str, word: &str) -> bool {
    let sorted = |word: &str| {
        let mut letters: Vec<u8> = word.bytes().collect();
        letters.sort_unstable();
        letters
    };
    text != word && sorted(text) == sorted(word)
}

fn loses_one(text: &str, word: &str) -> bool {
    (0..word.len()).any(|i| {
        word.get(..i)
            .zip(word.get(i + 1..))
            .is_some_and(|(head, tail)| {
                text.len() + 1 == word.len() && format!("{head}{tail}") == text
            })
    })
}

/// Predictive text chose another word of the same keys.
fn is_twin(text: &str, word: &str) -> bool {
    let keys = |word: &str| word.bytes().map(keypad::key_of).collect::<Vec<_>>();
    text.len() >= SHORTEST && text.len() == word.len() && keys(text) == keys(word)
}

/// `5ana`, `s8n`: one letter of the day typed as the digit of its key, or as one that looks like it.
fn has_digit_for_letter(text: &str, word: &str) -> bool {
    if text.len() != word.len() || text.len() < SHORTEST {
        return false;
    }
    let differs: Vec<(u8, u8)> = text
        .bytes()
        .zip(word.bytes())
        .filter(|(a, b)| a != b)
        .collect();
    let looks = |digit: u8, letter: u8| {
        matches!(
            (digit, letter),
            (b'0', b'o') | (b'1', b'l' | b'i') | (b'5', b's') | (b'3', b'e')
        )
    };
    matches!(differs[..], [(digit, letter)]
        if digit.is_ascii_digit() && (keypad::key_of(letter) == Some(digit) || looks(digit, letter)))
}
