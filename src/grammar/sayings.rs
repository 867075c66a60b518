//! Words that mean something only side by side: a day or a date in several words, a farewell, an apology that takes back, `water all`.
//!
//! Each is put into the one token that it stands for, or passed over. The words stand in the word files, by their roles. This room reads no facts
//! and repairs no number and no code.

use crate::domain::said::{DaySaid, Verb};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{Blur, Meaning};
use crate::grammar::registry;
use crate::grammar::roles::Role;
use crate::grammar::tokens::{Kind, Token};
use chrono::NaiveDate;

/// The shortest day that is put together from two words: `jana`.
const SHORTEST_DAY: usize = 4;

/// Before neighbours are joined to codes, ranges and weights.
pub(crate) fn settle(tokens: &mut Vec<Token>, lexicon: &Lexicon) {
    let mut i = 0;
    while i < tokens.len() {
        let (before, ahead) = tokens.split_at(i);
        let found = split_day(ahead, lexicon)
            .or_else(|| dated(before, ahead, lexicon))
            .or_else(|| days_back(ahead, lexicon))
            .or_else(|| farewell(ahead, lexicon))
            .or_else(|| small_word(before, ahead, lexicon));
        if let Some((count, kind)) = found {
            merge(tokens, i, count, kind);
        }
        i += 1;
    }
}

/// Makes one token of `count`.
fn merge(tokens: &mut Vec<Token>, at: usize, count: usize, kind: Kind) {
    let Some(end) = tokens.get(at + count - 1).map(|t| t.end) else {
        return;
    };
    let rest: Vec<Token> = tokens.drain(at + 1..at + count).collect();
    if let Some(token) = tokens.get_mut(at) {
        token.end = end;
        token.text.extend(rest.into_iter().map(|t| t.text));
        token.kind = kind;
    }
}

/// With how many tokens a phrase of that role begins.
fn begins(tokens: &[Token], role: Role, lexicon: &Lexicon) -> Option<usize> {
    lexicon.begins(role, tokens.iter().map(|t| t.text.as_str()))
}

fn plays(token: Option<&Token>, role: Role, lexicon: &Lexicon) -> bool {
    token.is_some_and(|t| lexicon.plays(role, &t.text))
}

fn plain(token: Option<&Token>) -> Option<u8> {
    match &token?.kind {
        Kind::Number(number) => number.plain.and_then(|n| u8::try_from(n).ok()),
        _ => None,
    }
}

fn is_number(token: &Token) -> bool {
    matches!(token.kind, Kind::Number(_))
}

fn is_care(token: &Token) -> bool {
    matches!(token.kind, Kind::Word(Meaning::Verb(verb, _)) if registry::of(verb).care.is_some())
}

/// `ja na`, `wednes day`, `to day`, `avant-hier`: a day with a space or a dash in it.
fn split_day(ahead: &[Token], lexicon: &Lexicon) -> Option<(usize, Kind)> {
    let (first, second, count) = match ahead {
        [first, dash, second, ..] if dash.kind == Kind::Dash => (first, second, 3),
        [first, second, ..] => (first, second, 2),
        _ => return None,
    };
    let whole = format!("{}{}", first.text, second.text);
    let letters = whole.bytes().all(|b| b.is_ascii_lowercase());
    let whole_day = matches!(first.kind, Kind::Day(_)) || first.text.is_empty();
    if !letters || whole_day || second.text.len() < 2 || whole.len() < SHORTEST_DAY {
        return None;
    }
    match lexicon.get(&whole)?.meaning {
        Meaning::Day(day) => Some((count, Kind::Day(day))),
        _ => None,
    }
}

/// `5 march`, `5th of march`, `march 5`, `tarehe 5/3`. A number right after a cage is its weight and no day of a month.
fn dated(before: &[Token], ahead: &[Token], lexicon: &Lexicon) -> Option<(usize, Kind)> {
    let first = ahead.first()?;
    if let Some(words) = begins(ahead, Role::TwoDaysBack, lexicon) {
        return Some((words, Kind::Day(DaySaid::Back(2))));
    }
    if plays(Some(first), Role::BeforeDate, lexicon) {
        let next = ahead.get(1)?;
        let date = dated(&ahead[..1], &ahead[1..], lexicon);
        if matches!(next.kind, Kind::Day(_)) || date.is_some() {
            return Some((1, Kind::Word(Meaning::Filler)));
        }
        return plain(Some(next)).map(|day| (2, of_month(day)));
    }
    let of_cage = before
        .last()
        .is_some_and(|t| matches!(t.kind, Kind::Units(_) | Kind::Letters));
    if let Some(day) = day_of_month(first, lexicon).filter(|_| !of_cage) {
        if is_the_day(before, ahead, lexicon) {
            return Some((1, of_month(day)));
        }
        let ordinal = usize::from(plays(ahead.get(1), Role::DayEnding, lexicon));
        let of = usize::from(plays(ahead.get(1 + ordinal), Role::OfMonth, lexicon));
        let month = month(ahead.get(1 + ordinal + of)?, lexicon)?;
        return Some((2 + ordinal + of, date(day, month)));
    }
    let month = month(first, lexicon)?;
    // `jan3` may be a slip of `jana`.
    let second = ahead.get(1).filter(|t| !t.glued && t.at > first.end)?;
    let day = day_of_month(second, lexicon)?;
    // `feb 5 C4 12`: the number may be a weight where something else follows it that makes it one.
    let measured = ahead.get(2).is_some_and(|t| {
        matches!(
            t.kind,
            Kind::Word(Meaning::Unit(_) | Meaning::Verb(Verb::Eggs, _))
        )
    });
    (!measured).then(|| Some((2, date(day, month)))).flatten()
}

/// `on the 3rd`, `le 1er`, at the end or before a cage: a day of the month by its number alone. `the 2nd harvest` is none.
fn is_the_day(before: &[Token], ahead: &[Token], lexicon: &Lexicon) -> bool {
    let led = plays(before.last(), Role::BeforeDay, lexicon);
    let ordinal = ahead.first().is_some_and(|t| t.kind == Kind::Junk);
    let closed = ahead.get(1).is_none_or(|t| {
        matches!(
            t.kind,
            Kind::Units(_) | Kind::Letters | Kind::Word(Meaning::And)
        )
    });
    led && ordinal && closed
}

fn of_month(day: u8) -> Kind {
    if (1..=31).contains(&day) {
        Kind::Day(DaySaid::OfMonth(day))
    } else {
        Kind::BadDay
    }
}

/// `5`, `5th`.
fn day_of_month(token: &Token, lexicon: &Lexicon) -> Option<u8> {
    plain(Some(token)).or_else(|| {
        let digits = token
            .text
            .trim_end_matches(|c: char| c.is_ascii_alphabetic());
        let ending = token.text.get(digits.len()..)?;
        (lexicon.plays(Role::DayEnding, ending) && token.kind == Kind::Junk)
            .then(|| digits.parse().ok())
            .flatten()
    })
}

fn date(day: u8, month: u8) -> Kind {
    /// A leap year, so that 29 February is a date.
    const LEAP_YEAR: i32 = 2024;
    match NaiveDate::from_ymd_opt(LEAP_YEAR, month.into(), day.into()) {
        Some(_) => Kind::Day(DaySaid::Date { day, month }),
        None => Kind::BadDay,
    }
}

/// The month that a word names, where the word was not taken for something else before.
fn month(token: &Token, lexicon: &Lexicon) -> Option<u8> {
    let word = token.kind == Kind::Word(Meaning::Measure);
    lexicon.month(&token.text).filter(|_| word)
}

/// `il y a 2 jours` counts days back; `il y a des fourmis` says that there are some.
fn days_back(ahead: &[Token], lexicon: &Lexicon) -> Option<(usize, Kind)> {
    let words = begins(ahead, Role::DaysBack, lexicon)?;
    let days = ahead
        .get(words + 1)
        .is_some_and(|t| t.kind == Kind::Word(Meaning::Days));
    match plain(ahead.get(words)).filter(|_| days) {
        Some(days) => Some((words + 2, Kind::Day(DaySaid::Back(days)))),
        None => Some((words, Kind::Word(Meaning::Filler))),
    }
}

/// `see you tomorrow`, `tutaonana kesho`, `a demain` at the end of a line.
fn farewell(ahead: &[Token], lexicon: &Lexicon) -> Option<(usize, Kind)> {
    let words = begins(ahead, Role::Farewell, lexicon)?;
    let when = ahead.get(words).is_some_and(|t| {
        matches!(
            t.kind,
            Kind::Day(_) | Kind::Word(Meaning::Blur(Blur::Future))
        )
    });
    let count = words + usize::from(when);
    let ends = ahead.get(count..)?.iter().all(Token::is_filler);
    ends.then_some((count, Kind::Word(Meaning::Filler)))
}

/// Small words whose neighbours say what they are.
fn small_word(before: &[Token], ahead: &[Token], lexicon: &Lexicon) -> Option<(usize, Kind)> {
    let token = ahead.first()?;
    let (last, next) = (before.last(), ahead.get(1));
    let is = |role| lexicon.plays(role, &token.text);
    let number_before = before.iter().any(is_number);
    let unsure = (is(Role::Nearly) && next.is_some_and(is_number))
        || begins(ahead, Role::NoMore, lexicon).is_some()
        || (is(Role::TakenBack) && number_before && ahead.iter().any(is_number));
    if unsure {
        return Some((1, Kind::Word(Meaning::Blur(Blur::Unsure))));
    }
    let unit_next = || ahead.get(1..).is_some_and(is_unit);
    if is(Role::But) && number_before && unit_next() {
        return Some((1, Kind::Word(Meaning::And)));
    }
    let traps = || [last, next].into_iter().flatten();
    let passed = passed_after(before, token, lexicon)
        || (is(Role::PassedBeforeMoat) && next.is_some_and(|t| is_job(t, Verb::Moat)))
        || (is(Role::PassedBesideTraps) && traps().any(|t| is_job(t, Verb::Traps)))
        // After another cage it may part two.
        || (is(Role::PassedBeforeCage)
            && unit_next()
            && !before.iter().any(|t| matches!(t.kind, Kind::Units(_))))
        || (is(Role::Article) && token.kind == Kind::Letters && is_article(before, ahead));
    passed.then_some((1, Kind::Word(Meaning::Filler)))
}

/// The last word of `you all`.
fn passed_after(before: &[Token], token: &Token, lexicon: &Lexicon) -> bool {
    before.last().is_some_and(|last| {
        let two = [last.text.as_str(), token.text.as_str()];
        lexicon.begins(Role::PassedAfter, two.into_iter()) == Some(2)
    })
}

fn is_job(token: &Token, job: Verb) -> bool {
    matches!(token.kind, Kind::Word(Meaning::Verb(verb, _)) if verb == job)
}

fn is_unit(ahead: &[Token]) -> bool {
    match ahead {
        [unit, ..] if matches!(unit.kind, Kind::Units(_)) => true,
        [letters, number, ..] => letters.kind == Kind::Letters && is_number(number),
        _ => false,
    }
}

/// `C4 a donne 12`, `eau a C4`: no cage of the line has that letter, and no number follows.
fn is_article(before: &[Token], ahead: &[Token]) -> bool {
    let own = |t: &Token| match &t.kind {
        Kind::Units(units) => units.iter().any(|u| u.code.letters().starts_with('A')),
        _ => false,
    };
    let spaced = |pair: &[Token]| {
        pair.first().is_some_and(|t| t.text.starts_with('a')) && pair.last().is_some_and(is_number)
    };
    let goes_on = ahead.get(1).is_some_and(|t| {
        matches!(
            t.kind,
            Kind::Word(Meaning::Filler | Meaning::Verb(..)) | Kind::Units(_)
        )
    });
    let all = || before.iter().chain(ahead);
    goes_on && !all().any(own) && !before.windows(2).chain(ahead.windows(2)).any(spaced)
}

/// `C1 10 C2 6 water all`, `maji zote`: work and then all, at the end, is work at all of them and not the last cage's alone.
pub(crate) fn all_at_end(tokens: &mut Vec<Token>) {
    let Some(last) = tokens.iter().rposition(|t| !t.is_filler()) else {
        return;
    };
    if !tokens
        .get(last)
        .is_some_and(|t| t.kind == Kind::Word(Meaning::All))
    {
        return;
    }
    let head = tokens.get(..last).unwrap_or_default();
    let run = head
        .iter()
        .rev()
        .take_while(|t| is_care(t) || t.is_filler() || t.kind == Kind::Word(Meaning::Put))
        .count();
    let start = last - run;
    let (before, work) = head.split_at(start);
    if work.iter().any(is_care) && before.last().is_some_and(is_number) {
        let all = tokens.remove(last);
        tokens.insert(start, all);
    }
}
