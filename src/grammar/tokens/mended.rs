//! Words that are listed but were typed another way: stuck together, cut short, with a digit for a letter.
//!
//! A way that leaves more than one meaning is none. This room repairs no number and no code.

use crate::domain::said::{DaySaid, UnitSaid, Verb};
use crate::grammar::codes::{self, CodeRead};
use crate::grammar::keypad;
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::Meaning;
use crate::grammar::numbers::{self, Number};
use crate::grammar::registry::{self, Scope};

/// `wateradded`: two listed words without the space, where there is one way to part them and neither blurs or orders anything.
pub(crate) fn two_words<'t>(text: &'t str, lexicon: &Lexicon) -> Option<(&'t str, &'t str)> {
    const SHORTEST: [usize; 2] = [3, 2];
    if lexicon.get(text).is_some() || !text.is_ascii() {
        return None;
    }
    let work = |meaning: Meaning| match meaning {
        Meaning::Verb(verb, _) => registry::of(verb).scope == Scope::Unit && verb != Verb::Retire,
        Meaning::Filler | Meaning::Put | Meaning::All | Meaning::Day(_) | Meaning::Unit(_) => true,
        _ => false,
    };
    let known = |word: &str| lexicon.get(word).is_some_and(|e| work(e.meaning));
    let mut cuts = (SHORTEST[0]..(text.len() + 1).saturating_sub(SHORTEST[1])).filter_map(|cut| {
        let (head, tail) = (text.get(..cut)?, text.get(cut..)?);
        (known(head) && known(tail)).then_some((head, tail))
    });
    let only = cuts.next()?;
    cuts.next().is_none().then_some(only)
}

/// `wat3r`, `m1xed`: one digit inside a word, typed in the wrong mode or for its look, where exactly one listed word has a letter of that
/// key or look there. A digit at an end may be a number of its own.
pub(crate) fn with_letters_back(text: &str, lexicon: &Lexicon) -> Option<(String, Meaning)> {
    const SHORTEST: usize = 4;
    let at = text.find(|c: char| c.is_ascii_digit())?;
    let (head, tail) = (text.get(..at)?, text.get(at + 1..)?);
    let letters = |part: &str| part.chars().all(|c| c.is_ascii_alphabetic());
    // At its end a digit belongs to the word only where the rest is no word.
    let ends = tail.is_empty() && (head.len() < SHORTEST || lexicon.get(head).is_some());
    if text.len() < SHORTEST || head.is_empty() || ends || !letters(head) || !letters(tail) {
        return None;
    }
    let candidates = match text.as_bytes().get(at)? {
        b'0' => "o",
        b'1' => "li",
        b'2' => "abc",
        b'3' => "defe",
        b'4' => "ghia",
        b'5' => "jkls",
        b'6' => "mno",
        b'7' => "pqrs",
        b'8' => "tuvb",
        _ => "wxyz",
    };
    let mut found = candidates.chars().filter_map(|letter| {
        let word = format!("{head}{letter}{tail}");
        let entry = lexicon.get(&word)?;
        Some((word, entry.meaning))
    });
    let first = found.next()?;
    found
        .all(|(_, meaning)| meaning == first.1)
        .then_some(first)
}

/// `ant7`, `retire3`: the digit may be a letter of its key, for that makes a listed word too.
pub(crate) fn ends_in_digit_for_letter(text: &str, lexicon: &Lexicon) -> bool {
    let Some((head, digit)) = text.split_at_checked(text.len().saturating_sub(1)) else {
        return false;
    };
    let Some(digit) = digit.bytes().next().filter(u8::is_ascii_digit) else {
        return false;
    };
    let letters = head.bytes().all(|b| b.is_ascii_lowercase());
    letters
        && (b'a'..=b'z')
            .filter(|letter| keypad::key_of(*letter) == Some(digit))
            .any(|letter| {
                lexicon
                    .get(&format!("{head}{}", char::from(letter)))
                    .is_some()
            })
}

/// `juziN1`: a day with the first cage stuck to it.
pub(crate) fn day_before_code<'t>(text: &'t str, lexicon: &Lexicon) -> Option<(&'t str, DaySaid)> {
    const SHORTEST: usize = 3;
    (SHORTEST..text.len()).find_map(|cut| {
        let (head, tail) = (text.get(..cut)?, text.get(cut..)?);
        let Meaning::Day(day) = lexicon.get(head)?.meaning else {
            return None;
        };
        matches!(codes::read(tail, lexicon)?, CodeRead::Sure(..)).then_some((head, day))
    })
}

/// `1.6C03`: a number with the next cage stuck to it, where there is only one way to part them.
pub(crate) fn number_and_code<'t>(
    text: &'t str,
    lexicon: &Lexicon,
) -> Option<(&'t str, Number, UnitSaid)> {
    let mut found = (1..text.len()).filter_map(|cut| {
        let (head, tail) = (text.get(..cut)?, text.get(cut..)?);
        let number = numbers::read(head, lexicon).filter(|n| n.doubt.is_none())?;
        // `8c5`, `1.5e3` and `0x5` are one thing that was not understood.
        if !head.contains(['.', ',']) || tail.starts_with(['e', 'x']) {
            return None;
        }
        match codes::read(tail, lexicon)? {
            CodeRead::Sure(unit, end) if end == tail.len() => Some((head, number, unit)),
            _ => None,
        }
    });
    let only = found.next()?;
    found.next().is_none().then_some(only)
}

/// `chamb`, `mtg`: the first letters of listed words that all mean the same, or such a word without its vowels. Only work that is done daily:
/// what empties a cage, stocks it or orders something is written out.
pub(crate) fn abbreviated(text: &str, lexicon: &Lexicon) -> Option<(String, Meaning)> {
    const SHORTEST: usize = 3;
    if text.len() < SHORTEST || !text.is_ascii() {
        return None;
    }
    let daily = |meaning: Meaning| match meaning {
        Meaning::Verb(verb, _) => {
            registry::of(verb).care.is_some()
                || matches!(verb, Verb::Eggs | Verb::Ants | Verb::Temp | Verb::Dead)
        }
        Meaning::Mixed => true,
        _ => false,
    };
    let bare = |word: &str| {
        let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u');
        word.char_indices()
            .filter(|(i, c)| *i == 0 || !vowel(*c))
            .map(|(_, c)| c)
            .collect::<String>()
    };
    let mut found = lexicon
        .entries()
        .filter(|(word, _)| word.starts_with(text) || bare(word) == text);
    let (word, first) = found.next()?;
    (daily(first.meaning) && found.all(|(_, e)| e.meaning == first.meaning))
        .then(|| (word.to_owned(), first.meaning))
}

/// A word too short to repair, one slip from a day: it may have been the day of the whole line.
pub(crate) fn is_near_day(text: &str, lexicon: &Lexicon) -> bool {
    const SHORTEST: usize = 4;
    text.len() >= SHORTEST
        && lexicon.entries().any(|(word, entry)| {
            matches!(entry.meaning, Meaning::Day(_))
                && word.len() >= SHORTEST
                && keypad::near(text, word, keypad::ONE_SLIP).is_some()
        })
}
