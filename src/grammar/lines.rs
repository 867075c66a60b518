//! One line: its orders, its groups of units and facts, and the words that bind all of it.
//!
//! This room parts a line into groups and hands them on; what a group's words mean is not its business.

mod groups;

use crate::domain::said::{
    DaySaid, Doubt, Expected, Fact, Reading, Said, UnitSaid, Unread, Verb, Why,
};
use crate::grammar::MAX_UNITS;
use crate::grammar::emit::{self, Headed, Whole};
use crate::grammar::keypad;
use crate::grammar::lexicon::Lexicon;
use crate::grammar::lines::groups::Groups;
use crate::grammar::meanings::{Blur, Meaning};
use crate::grammar::near_day;
use crate::grammar::orders;
use crate::grammar::registry::{self, Scope};
use crate::grammar::tokens::{Kind, Token};

/// Reads the joined tokens of a message.
pub(crate) fn read_line(
    original: &[char],
    tokens: Vec<Token>,
    lexicon: &Lexicon,
    reading: &mut Reading,
) {
    let tokens = orders::take(original, tokens, lexicon, reading);
    if tokens.iter().all(Token::is_filler) {
        return;
    }
    if units_in(&tokens) > MAX_UNITS {
        reading.unread.push(Unread {
            text: String::new(),
            at: tokens.first().map_or(0, |t| t.at),
            unit: None,
            expected: Expected::Shorter,
        });
        return;
    }
    let mut tokens = tokens;
    let near_day = near_day::take(original, &mut tokens, lexicon, reading);
    reading.ends_in_point = doubt_cut_number(original, &mut tokens);
    let tokens = without_signature(original, tokens, lexicon, reading);
    doubt_twice(original, &tokens, reading);
    let whole = whole_line(&tokens);
    let mut groups = Groups::default();
    let sentences = headed_sentences(original, &tokens);
    for (place, token) in tokens.into_iter().enumerate() {
        if sentences.contains(&place) {
            groups.part();
            groups.close();
        }
        groups.take(place, token);
    }
    let (groups, headed) = groups.finish();
    emit::emit(
        original,
        &groups,
        &Whole { headed, ..whole },
        lexicon,
        reading,
    );
    // It matters where the line has facts that would be taken for today's.
    let dayless = |said: &Said| said.day == DaySaid::Unsaid && said.fact != Fact::State;
    reading.near_day = near_day.filter(|_| reading.said.iter().any(dayless));
}

/// A name below the line belongs to no cage: it is named by itself.
fn without_signature(
    original: &[char],
    mut tokens: Vec<Token>,
    lexicon: &Lexicon,
    reading: &mut Reading,
) -> Vec<Token> {
    const SHORTEST: usize = 3;
    let [.., before, last] = tokens.as_slice() else {
        return tokens;
    };
    let between = original.get(before.end..last.at).unwrap_or_default();
    let parted = between
        .iter()
        .any(|c| matches!(c, '\n' | '\r' | '.' | '!' | '-'))
        || (before.is_filler() && before.text.len() >= SHORTEST);
    // `Mores` under an English line was not meant for a French word.
    if parted && is_foreign_repair(&tokens, lexicon) {
        if let Some(last) = tokens.pop() {
            reading.repaired.retain(|repair| repair.typed != last.text);
            reading.unread.push(Unread {
                text: orders::written(original, last.at, last.end),
                at: last.at,
                unit: None,
                expected: Expected::WeightOrWord,
            });
        }
        return tokens;
    }
    let is_name = matches!(last.kind, Kind::Unknown | Kind::Near(_))
        && last.text.len() >= SHORTEST
        && !may_be_kind(&last.text, lexicon);
    if parted && is_name && (last.kind == Kind::Unknown || between.len() > 1) {
        reading.unread.push(Unread {
            text: orders::written(original, last.at, last.end),
            at: last.at,
            unit: None,
            expected: Expected::WeightOrWord,
        });
        tokens.pop();
    }
    tokens
}

/// The last word was repaired to one of a language of which the line has no other word.
fn is_foreign_repair(tokens: &[Token], lexicon: &Lexicon) -> bool {
    let Some((last, others)) = tokens.split_last() else {
        return false;
    };
    let mended = matches!(last.kind, Kind::Word(_)) && lexicon.get(&last.text).is_none();
    let lang = lexicon.nearest(&last.text).map(|(_, entry)| entry.lang);
    let mut spoken = others
        .iter()
        .filter_map(|t| lexicon.get(&t.text))
        .map(|e| e.lang);
    mended
        && others.iter().any(|t| lexicon.get(&t.text).is_some())
        && !spoken.any(|l| Some(l) == lang)
}

/// `stock 8000. mxed`: the word may be the stock's kind.
fn may_be_kind(text: &str, lexicon: &Lexicon) -> bool {
    const LONG: usize = 5;
    let most = keypad::SLIP * if text.len() < LONG { 1 } else { 2 };
    lexicon
        .entries()
        .filter(|(_, entry)| {
            matches!(
                entry.meaning,
                Meaning::Mixed | Meaning::OneAge | Meaning::Day(_)
            )
        })
        .any(|(word, _)| word.len() > 3 && keypad::near(text, word, most).is_some())
}

/// `C4 0.` or `C4 3,` at the very end: the line was cut before the decimals. Gives whether it ends like `C4 3.`, which may be a full stop.
fn doubt_cut_number(original: &[char], tokens: &mut [Token]) -> bool {
    let Some(end) = original.iter().rposition(|c| !c.is_whitespace()) else {
        return false;
    };
    let before = |back: usize| end.checked_sub(back).and_then(|i| original.get(i));
    let digit = |c: Option<&char>| c.is_some_and(char::is_ascii_digit);
    let nothing = before(1) == Some(&'0') && !digit(before(2));
    let cut = match original.get(end) {
        Some(',') => digit(before(1)),
        Some('.') => nothing,
        _ => false,
    };
    let bare = original.get(end).is_some_and(char::is_ascii_digit) && lacks_unit(tokens);
    if let (true, Some(token)) = (cut || bare, tokens.last_mut())
        && token.end + 1 >= end
        && let Kind::Number(number) = &mut token.kind
    {
        let value = number.hundredths;
        number.doubt.get_or_insert((Why::SplitDecimal, vec![value]));
    }
    let last = tokens.last().filter(|t| t.end == end);
    original.get(end) == Some(&'.')
        && last.is_some_and(|t| matches!(&t.kind, Kind::Number(n) if n.plain.is_some()))
}

/// `C4 2.5g C5 1.4g C6 0`: the last of several weights lacks the unit that all others have.
fn lacks_unit(tokens: &[Token]) -> bool {
    let mut before: Option<&Token> = None;
    let mut weights = Vec::new();
    for token in tokens.iter().filter(|t| !t.is_filler()) {
        let of_cage = before.is_some_and(|t| {
            matches!(
                t.kind,
                Kind::Units(_) | Kind::Word(Meaning::Verb(Verb::Eggs, _))
            )
        });
        if let (Kind::Number(number), true) = (&token.kind, of_cage) {
            weights.push(number.unit.is_some());
        }
        before = Some(token);
    }
    let ends = before.is_some_and(|t| matches!(&t.kind, Kind::Number(n) if n.plain.is_some()));
    matches!(weights.as_slice(), [others @ .., false] if !others.is_empty() && others.iter().all(|unit| *unit))
        && ends
}

/// `C3, C7, C6, C7 water`: one cage twice in a list; one of them was probably another.
fn doubt_twice(original: &[char], tokens: &[Token], reading: &mut Reading) {
    let mut list: Vec<UnitSaid> = Vec::new();
    for token in tokens {
        match &token.kind {
            Kind::Units(units) => {
                if let Some(again) = units.iter().find(|u| list.iter().any(|l| l.code == u.code)) {
                    reading.doubts.push(Doubt {
                        why: Why::Twice,
                        text: again.code.to_string(),
                        readings: Vec::new(),
                    });
                    return;
                }
                list.extend(units);
            }
            _ if token.is_filler() && !ends_sentence(original, token) => (),
            _ => list.clear(),
        }
    }
}

fn ends_sentence(original: &[char], token: &Token) -> bool {
    original.get(token.end).is_some_and(|c| *c == '\n')
}

fn units_in(tokens: &[Token]) -> usize {
    tokens
        .iter()
        .map(|t| match &t.kind {
            Kind::Units(units) => units.len(),
            Kind::UnitDoubt(_, readings) => readings.iter().map(|r| r.units.len()).sum(),
            _ => 0,
        })
        .sum()
}

pub(super) fn is_unit(token: &Token) -> bool {
    matches!(
        token.kind,
        Kind::Units(_)
            | Kind::UnitDoubt(..)
            | Kind::BadUnit
            | Kind::BadRange
            | Kind::Word(Meaning::All)
    )
}

/// Where a sentence begins or ends that names its work first and its units last: `C4 12.5. Water all`. Its work is not that of the unit before.
fn headed_sentences(original: &[char], tokens: &[Token]) -> Vec<usize> {
    let breaks = |i: usize| {
        let (Some(before), Some(token)) =
            (i.checked_sub(1).and_then(|j| tokens.get(j)), tokens.get(i))
        else {
            return true;
        };
        let between = original.get(before.end..token.at).unwrap_or_default();
        between.iter().any(|c| matches!(c, '\n' | '\r' | ';' | '.'))
    };
    let starts: Vec<usize> = (0..tokens.len()).filter(|i| breaks(*i)).collect();
    let ends = starts.iter().skip(1).copied().chain([tokens.len()]);
    // Where the line itself names its work first, its units take the words before them, unless every sentence is whole by itself.
    let whole = |sentence: &[Token]| {
        let works = |t: &Token| is_fact_like(t) || matches!(t.kind, Kind::Temperature(..));
        let placed = |t: &Token| is_unit(t) || matches!(t.kind, Kind::Temperature(..));
        let head = sentence.iter().take_while(|t| !placed(t)).any(is_fact_like);
        sentence.iter().all(Token::is_filler)
            || (sentence.iter().any(works) && sentence.iter().any(placed))
                && (!head || is_headed_sentence(sentence))
    };
    let leads = tokens.iter().take_while(|t| !is_unit(t)).any(is_fact_like);
    let parts = || starts.iter().zip(ends.clone());
    let all_whole = starts.len() > 1 && parts().all(|(s, e)| tokens.get(*s..e).is_some_and(whole));
    if leads && !all_whole {
        return Vec::new();
    }
    parts()
        .filter(|(start, end)| tokens.get(**start..*end).is_some_and(is_headed_sentence))
        .flat_map(|(start, end)| [*start, end])
        .collect()
}

/// Work, then units, and nothing but filler and days after them.
fn is_headed_sentence(tokens: &[Token]) -> bool {
    let work = |t: &Token| match t.kind {
        Kind::Word(Meaning::Put | Meaning::Plain | Meaning::Verb(Verb::Add | Verb::Ants, _))
        | Kind::Unknown => true,
        Kind::Word(Meaning::Verb(verb, _)) | Kind::Near(verb) => registry::of(verb).care.is_some(),
        _ => t.is_filler(),
    };
    let head = tokens.iter().take_while(|t| work(t)).count();
    let (head, rest) = tokens.split_at(head);
    let units = rest
        .iter()
        .take_while(|t| is_unit(t) || t.is_filler())
        .count();
    let (units, tail) = rest.split_at(units);
    head.iter().any(is_fact_like)
        && units.iter().any(is_unit)
        && tail.iter().all(|t| {
            t.is_filler()
                || matches!(
                    t.kind,
                    Kind::Day(_) | Kind::Unknown | Kind::Near(_) | Kind::Word(Meaning::Plain)
                )
        })
}

/// What binds the whole line: a blur before the first unit, a future at its end, and words that take back.
fn whole_line(tokens: &[Token]) -> Whole {
    let blurs = |t: &Token| match t.kind {
        Kind::Word(Meaning::Blur(_)) => true,
        Kind::Word(Meaning::Verb(verb, _)) => verb == Verb::No,
        _ => false,
    };
    let takes_back = |t: &Token| {
        matches!(
            t.kind,
            Kind::Word(Meaning::Verb(Verb::Undo | Verb::Stop, _))
        )
    };
    let leading = tokens.iter().take_while(|t| !is_unit(t)).any(blurs);
    let last = tokens.iter().rev().find(|t| !t.is_filler());
    let ends = last.is_some_and(|t| t.kind == Kind::Word(Meaning::Blur(Blur::Future)));
    Whole {
        unsure: leading || ends || tokens.iter().any(takes_back),
        headed: Headed::No,
    }
}

/// Tokens that make or change a fact, so that what stands before a unit may belong to it.
pub(super) fn is_fact_like(token: &Token) -> bool {
    match token.kind {
        Kind::Number(_) | Kind::Pair { .. } | Kind::Dashed(_) | Kind::Word(Meaning::Put) => true,
        Kind::Word(Meaning::Verb(verb, _)) => {
            registry::of(verb).scope == Scope::Unit && verb != Verb::Eggs
        }
        Kind::Near(verb) => registry::of(verb).care.is_some(),
        _ => false,
    }
}

pub(super) fn is_number(token: &Token) -> bool {
    matches!(
        token.kind,
        Kind::Number(_) | Kind::Pair { .. } | Kind::Dashed(_)
    )
}

/// Words whose number is no weight of eggs.
pub(super) fn takes_amount(token: &Token) -> bool {
    matches!(
        token.kind,
        Kind::Word(Meaning::Put | Meaning::Verb(Verb::Stock | Verb::Dead, _))
    )
}
