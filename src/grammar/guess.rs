//! Which keyword an unlisted word probably is, where it is not near enough to be read as it.
//!
//! A guess is never recorded: it becomes a question whose `yes` records it. So it reaches farther than a repair, but only to work at a cage,
//! and only where one kind of work is near. This room repairs nothing.

use crate::domain::code::UnitCode;
use crate::domain::said::{DaySaid, UnitSaid, Verb};
use crate::grammar::keypad::{self, SLIP, SMALL};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{Entry, Meaning};
use crate::grammar::registry;
use crate::grammar::tokens::{Kind, Token};

/// Shorter words than these are guessed only from their first letters.
const SLIPS_FROM: usize = 3;
/// Letters from which a word may have two slips.
const TWO_SLIPS_FROM: usize = 6;

/// The work that a word probably means; none where several are as near, or an ordinary word is nearer.
pub(crate) fn guess(text: &str, lexicon: &Lexicon) -> Option<Verb> {
    let letters = text.len() >= 2 && text.bytes().all(|b| b.is_ascii_lowercase());
    if !letters {
        return None;
    }
    if let Some(Entry {
        meaning: Meaning::Plain,
        ..
    }) = lexicon.get(text)
    {
        return twin(text, lexicon);
    }
    lexicon
        .probable(text)
        .or_else(|| slipped(text, lexicon))
        .or_else(|| shortened(text, lexicon))
}

/// Work at a cage that a word may mean, `weka` among it.
fn work(meaning: Meaning) -> Option<Verb> {
    match meaning {
        Meaning::Put => Some(Verb::Stock),
        Meaning::Verb(verb, _) => {
            let care = registry::of(verb).care.is_some();
            let seen = matches!(verb, Verb::Eggs | Verb::Stock | Verb::Dead | Verb::Ants);
            (care || seen || verb == Verb::Retire).then_some(verb)
        }
        _ => None,
    }
}

/// An ordinary word on the keys of one keyword: predictive text chose it.
fn twin(text: &str, lexicon: &Lexicon) -> Option<Verb> {
    let key = |word: &str| word.bytes().map(keypad::key_of).collect::<Vec<_>>();
    let typed = key(text);
    let same = |word: &str| word.len() == text.len() && key(word) == typed;
    only(
        lexicon
            .entries()
            .filter(|(word, _)| same(word))
            .filter_map(|(_, e)| work(e.meaning)),
    )
}

/// Slips of the thumb: a little more than a repair stands.
fn slipped(text: &str, lexicon: &Lexicon) -> Option<Verb> {
    let most = match text.len() {
        0..SLIPS_FROM => return None,
        SLIPS_FROM => SMALL,
        4..TWO_SLIPS_FROM => SLIP,
        _ => 2 * SLIP,
    };
    let near = |word: &str| keypad::near(text, word, most).map(|near| near.0);
    let all: Vec<(u8, Entry)> = lexicon
        .entries()
        .filter(|(word, _)| word.len() >= SLIPS_FROM)
        .filter_map(|(word, entry)| Some((near(word)?, entry)))
        .collect();
    let best = all
        .iter()
        .filter(|(_, e)| work(e.meaning).is_some())
        .map(|(n, _)| *n)
        .min()?;
    let nearer = all
        .iter()
        .any(|(n, e)| work(e.meaning).is_none() && *n <= best);
    let nearest = all.iter().filter(|(n, _)| *n == best);
    only(nearest.filter_map(|(_, e)| work(e.meaning))).filter(|_| !nearer)
}

/// `ba`, `ond`, `mj`: the first letters of a keyword, or its consonants.
fn shortened(text: &str, lexicon: &Lexicon) -> Option<Verb> {
    let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u');
    let bare = |word: &str| {
        let kept = word.char_indices().filter(|(i, c)| *i == 0 || !vowel(*c));
        kept.map(|(_, c)| c).collect::<String>() == text
    };
    let like = |word: &str| word.len() > text.len() && (word.starts_with(text) || bare(word));
    let commands = |meaning: Meaning| {
        matches!(
            meaning,
            Meaning::Verb(..) | Meaning::Put | Meaning::All | Meaning::Day(_) | Meaning::Mixed
        )
    };
    let all: Vec<Meaning> = lexicon
        .entries()
        .filter(|(word, _)| like(word))
        .map(|(_, entry)| entry.meaning)
        .filter(|meaning| commands(*meaning))
        .collect();
    let every = all.iter().all(|meaning| work(*meaning).is_some());
    only(all.iter().filter_map(|meaning| work(*meaning))).filter(|_| every)
}

/// The one of several that are all the same.
fn only(mut all: impl Iterator<Item = Verb>) -> Option<Verb> {
    let first = all.next()?;
    all.all(|verb| verb == first).then_some(first)
}

/// Marks what is probably a keyword, and what is probably a cage whose number was typed as a letter (`Cd` where the line has `C4`): what stands
/// after such a one is not the cage's before it.
pub(crate) fn mark(tokens: &mut Vec<Token>, lexicon: &Lexicon) {
    let heads: Vec<String> = tokens
        .iter()
        .filter_map(|t| match &t.kind {
            Kind::Units(units) => units.first().map(|u| u.code.letters().to_ascii_lowercase()),
            _ => None,
        })
        .collect();
    join_dashed(tokens, &heads);
    for i in 0..tokens.len() {
        let goes_on = tokens.iter().skip(i + 1).any(|t| !t.is_filler());
        let measures = i
            .checked_sub(1)
            .and_then(|j| tokens.get(j))
            .is_some_and(|t| match &t.kind {
                Kind::Number(number) => number.unit.is_none(),
                other => matches!(other, Kind::Pair { .. }),
            });
        let days_back = tokens.get(i + 1).is_some_and(|t| {
            t.kind == Kind::Dash
                || (matches!(t.kind, Kind::Day(DaySaid::Back(1..))) && is_dashed(t))
        });
        let stocks = tokens.get(i + 1).is_some_and(|t| {
            matches!(
                t.kind,
                Kind::Word(Meaning::Put | Meaning::Verb(Verb::Stock, _))
            )
        });
        let Some(token) = tokens.get_mut(i) else {
            return;
        };
        let kind = match token.kind {
            Kind::Letters
                if goes_on && heads.iter().any(|h| is_cage_in_letters(&token.text, h)) =>
            {
                Some(Kind::BadUnit)
            }
            // `Cm 0.8`: no measure without a number before it.
            Kind::Word(Meaning::Measure)
                if goes_on
                    && !measures
                    && heads.iter().any(|h| is_cage_in_letters(&token.text, h)) =>
            {
                Some(Kind::BadUnit)
            }
            // `Cj weka 2kg`, and no other cage in the line.
            Kind::Letters
                if i == 0
                    && stocks
                    && heads.is_empty()
                    && token.text.len() == 2
                    && is_cage_in_letters(&token.text, &token.text[..1])
                    && guess(&token.text, lexicon).is_none() =>
            {
                Some(Kind::BadUnit)
            }
            // `C -1 bait`: a cage with a space too many, not a day back.
            Kind::Letters if days_back => Some(Kind::BadUnit),
            Kind::Unknown | Kind::Letters | Kind::Word(Meaning::Plain) => {
                guess(&token.text, lexicon).map(Kind::Near)
            }
            _ => None,
        };
        if let Some(kind) = kind {
            token.kind = kind;
        }
    }
}

/// `C1 water, C -2 water`: letters that the line's other cages have, and a number after a dash that follows a space. It is a code and no day
/// back, which nobody puts after letters.
fn join_dashed(tokens: &mut Vec<Token>, heads: &[String]) {
    let mut i = 0;
    while let [letters, back, ..] = tokens.get(i..).unwrap_or_default() {
        let code = match back.kind {
            Kind::Day(DaySaid::Back(number @ 1..)) if is_dashed(back) => {
                UnitCode::new(&letters.text.to_ascii_uppercase(), u16::from(number))
            }
            _ => None,
        };
        let known =
            matches!(letters.kind, Kind::Letters | Kind::Word(_)) && heads.contains(&letters.text);
        if let (Some(code), true, end) = (code, known, back.end) {
            let unit = UnitSaid {
                code,
                checked: false,
                inside_range: false,
            };
            if let Some(token) = tokens.get_mut(i) {
                token.kind = Kind::Units(vec![unit]);
                token.end = end;
            }
            tokens.remove(i + 1);
        }
        i += 1;
    }
}

/// `-3`: a dash and figures, of which the dash is in no text.
fn is_dashed(token: &Token) -> bool {
    token.text.bytes().all(|b| b.is_ascii_digit()) && token.end == token.at + token.text.len() + 1
}

/// The letters of the line's cages, alone or with a letter that stands on the key of a digit or looks like one.
fn is_cage_in_letters(text: &str, head: &str) -> bool {
    const FOR_DIGITS: &str = "adgjmptwolisb";
    text.strip_prefix(head)
        .is_some_and(|rest| rest.is_empty() || (rest.len() == 1 && FOR_DIGITS.contains(rest)))
}
