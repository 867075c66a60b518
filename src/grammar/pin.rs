//! PINs in a text: taken out before anything else is read, so that no digit of one can become a number of something else, and blotted out of what
//! is kept.
//!
//! A PIN follows its word (`pin 4711`, `my data pin 4711`, `pin off 4711`) or is all of a text. This room does not know whose PIN it is, or
//! whether anybody has one.

use crate::domain::pin::{BLOT, LEAST_DIGITS, MOST_DIGITS, Pin, PinSaid};
use crate::domain::said::{Digits, Order, Reading, Verb};
use crate::grammar::letters::Letter;
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::Meaning;
use crate::grammar::roles::Role;
use std::ops::RangeInclusive;

/// Words between `pin` and its digits: `pin yangu ni 4711`.
const WORDS_BETWEEN: usize = 2;
/// Digits that a word near `pin` needs after it to be taken for a slip: the digits of a PIN.
const SLIP_DIGITS: RangeInclusive<usize> = LEAST_DIGITS..=MOST_DIGITS;

/// A run of letters or of digits.
#[derive(Clone, Debug)]
struct Run {
    text: String,
    digits: bool,
    /// Characters of the message.
    at: usize,
    end: usize,
    /// A run of the other kind is stuck to its front.
    stuck: bool,
}

/// Takes what is said of a PIN out of the letters: blanks stand there afterwards.
pub(crate) fn take(letters: &mut [Letter], lexicon: &Lexicon, reading: &mut Reading) {
    let runs = runs(letters);
    whole_message(letters, &runs, reading);
    if runs
        .first()
        .is_some_and(|run| is_verb(run, lexicon, Verb::Join))
    {
        return;
    }
    let mut from = 0;
    while let Some(at) = (from..runs.len()).find(|at| is_pin(&runs, *at, lexicon)) {
        let followed = said(&runs, at, lexicon);
        let followed = followed.filter(|(_, last)| !is_weight(letters, &runs[at..=*last]));
        let Some((said, last)) = followed else {
            from = at + 1;
            continue;
        };
        let first = first_of(&runs, at, lexicon);
        let (start, end) = (runs[first].at, runs[last].end);
        let secret = runs[at..=last].iter().filter(|run| run.digits);
        reading.secrets.extend(secret.map(|run| (run.at, run.end)));
        for letter in letters.iter_mut().filter(|l| (start..end).contains(&l.at)) {
            letter.c = ' ';
        }
        // One is meant; what is said twice is not clear.
        let before = reading.orders.iter().any(|o| matches!(o, Order::Pin(_)));
        if before {
            reading
                .orders
                .retain(|order| !matches!(order, Order::Pin(_)));
            reading.orders.push(Order::Pin(PinSaid::Unclear));
        } else {
            reading.orders.push(Order::Pin(said));
        }
        from = last + 1;
    }
    after_request(letters, &runs, lexicon, reading);
}

/// `my data 4711`: what a PIN guards, and then the message's only number, which has the form of one.
fn after_request(letters: &mut [Letter], runs: &[Run], lexicon: &Lexicon, reading: &mut Reading) {
    let [head @ .., last] = runs else {
        return;
    };
    let asks = |run: &Run| is_verb(run, lexicon, Verb::Data) || is_verb(run, lexicon, Verb::Forget);
    let said = reading.orders.iter().any(|o| matches!(o, Order::Pin(_)));
    if said || !last.digits || !head.iter().rev().take(WORDS_BETWEEN).any(asks) {
        return;
    }
    if let Some(digits) = reading
        .digits
        .take_if(|digits| digits.at == (last.at, last.end))
    {
        for letter in letters
            .iter_mut()
            .filter(|l| (last.at..last.end).contains(&l.at))
        {
            letter.c = ' ';
        }
        reading.secrets.push(digits.at);
        reading.orders.push(Order::Pin(PinSaid::One(digits.pin)));
    }
}

/// One whole number of the length of a PIN is all of the message, or its only number.
fn whole_message(letters: &[Letter], runs: &[Run], reading: &mut Reading) {
    let mut numbers = runs.iter().filter(|run| run.digits);
    let (Some(only), None) = (numbers.next(), numbers.next()) else {
        return;
    };
    let Some(pin) = Pin::new(&only.text).filter(|_| !only.stuck) else {
        return;
    };
    // `C` after a number, `4711g`: a weight or a code.
    let followed = runs.iter().any(|run| run.stuck && run.at == only.end);
    let kin = |c: char| c.is_numeric() || matches!(c, '/' | '%' | '$');
    let dressed = letters
        .iter()
        .any(|l| !(only.at..only.end).contains(&l.at) && kin(l.c));
    if followed || dressed {
        return;
    }
    reading.digits = Some(Digits {
        pin,
        alone: runs.len() == 1,
        at: (only.at, only.end),
    });
}

fn runs(letters: &[Letter]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut before: Option<bool> = None;
    for letter in letters {
        let kind = match letter.c {
            c if c.is_ascii_digit() => Some(true),
            c if c.is_alphabetic() => Some(false),
            _ => None,
        };
        match (kind, before, runs.last_mut()) {
            (Some(digits), Some(same), Some(run)) if digits == same => {
                run.text.push(letter.c);
                run.end = letter.at + 1;
            }
            (Some(digits), _, _) => runs.push(Run {
                text: letter.c.to_string(),
                digits,
                at: letter.at,
                end: letter.at + 1,
                stuck: before.is_some(),
            }),
            (None, ..) => {}
        }
        before = kind;
    }
    runs
}

fn is_verb(run: &Run, lexicon: &Lexicon, verb: Verb) -> bool {
    let entry = lexicon.get(&run.text).filter(|_| !run.digits);
    matches!(entry.map(|e| e.meaning), Some(Meaning::Verb(v, _)) if v == verb)
}

/// The word, or an unknown one that is a slip of it and has a PIN's digits behind it.
fn is_pin(runs: &[Run], at: usize, lexicon: &Lexicon) -> bool {
    let Some(run) = runs.get(at).filter(|run| !run.digits && !run.stuck) else {
        return false;
    };
    is_verb(run, lexicon, Verb::Pin) || is_slip(runs, at, lexicon)
}

fn is_slip(runs: &[Run], at: usize, lexicon: &Lexicon) -> bool {
    let (Some(run), Some(next)) = (runs.get(at), runs.get(at + 1)) else {
        return false;
    };
    let fits = next.digits && SLIP_DIGITS.contains(&next.text.len());
    fits && lexicon.get(&run.text).is_none()
        && lexicon.entries().any(|(word, entry)| {
            matches!(entry.meaning, Meaning::Verb(Verb::Pin, _)) && one_slip(&run.text, word)
        })
}

/// One letter other, one more, one less, or two changed about.
fn one_slip(typed: &str, word: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (typed.chars().collect(), word.chars().collect());
    let same_start = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    let (a, b) = (&a[same_start..], &b[same_start..]);
    let same_end = a
        .iter()
        .rev()
        .zip(b.iter().rev())
        .take_while(|(x, y)| x == y)
        .count();
    let (a, b) = (&a[..a.len() - same_end], &b[..b.len() - same_end]);
    match (a, b) {
        ([_], [_]) | ([_], []) | ([], [_]) => true,
        ([w, x], [y, z]) => w == z && x == y,
        _ => false,
    }
}

fn is_off(run: &Run, lexicon: &Lexicon) -> bool {
    !run.digits && (lexicon.plays(Role::PinOff, &run.text) || is_verb(run, lexicon, Verb::Stop))
}

/// What is said from the word on, and its last run; `None` where no digits and no end follow: then it is a word like any other.
fn said(runs: &[Run], at: usize, lexicon: &Lexicon) -> Option<(PinSaid, usize)> {
    let mut off = false;
    let mut numbers: Vec<&str> = Vec::new();
    let mut last = None;
    let mut between = 0;
    for (place, run) in runs.iter().enumerate().skip(at + 1) {
        // `C4` is a cage, wherever it stands.
        let code = runs
            .get(place + 1)
            .is_some_and(|next| next.stuck && next.digits);
        if run.digits {
            let glued = runs.get(place + 1).is_some_and(|next| next.stuck);
            numbers.push(if glued { "" } else { &run.text });
            last = Some(place);
        } else if is_off(run, lexicon) && !off {
            off = true;
            last = Some(place);
        } else if !code && numbers.is_empty() && between < WORDS_BETWEEN {
            between += 1;
        } else {
            break;
        }
    }
    let pins: Vec<Option<Pin>> = numbers.iter().map(|digits| Pin::new(digits)).collect();
    let slip = is_slip(runs, at, lexicon);
    let said = match (pins.as_slice(), off) {
        _ if slip => PinSaid::Unclear,
        ([], true) => PinSaid::Off(None),
        ([Some(pin)], true) => PinSaid::Off(Some(pin.clone())),
        ([Some(pin)], false) => PinSaid::One(pin.clone()),
        ([Some(old), Some(new)], false) => PinSaid::Two(old.clone(), new.clone()),
        _ => PinSaid::Unclear,
    };
    last.map(|last| (said, last))
}

/// `code 4 12.5`: somebody says a cage and its weight by a word that we take for another.
fn is_weight(letters: &[Letter], runs: &[Run]) -> bool {
    let numbers = || runs.iter().filter(|run| run.digits);
    let long = numbers().any(|run| run.text.len() >= LEAST_DIGITS);
    let point = |at: usize| {
        letters
            .iter()
            .any(|l| l.at == at && matches!(l.c, '.' | ','))
    };
    let decimal = numbers()
        .zip(numbers().skip(1))
        .any(|(a, b)| b.at == a.end + 1 && point(a.end));
    numbers().count() > 0 && !long && decimal
}

/// The first run that belongs to the word.
fn first_of(runs: &[Run], at: usize, lexicon: &Lexicon) -> usize {
    let before = runs[..at].iter().rev();
    let belongs = before.take_while(|run| !run.digits && lexicon.plays(Role::BeforePin, &run.text));
    at - belongs.count()
}

/// The text with a blot in the place of each span of characters.
#[must_use]
pub fn blot(text: &str, spans: &[(usize, usize)]) -> String {
    let mut kept = String::with_capacity(text.len());
    for (at, c) in text.chars().enumerate() {
        match spans.iter().find(|(from, to)| (*from..*to).contains(&at)) {
            Some((from, _)) if *from == at => kept.push_str(BLOT),
            Some(_) => {}
            None => kept.push(c),
        }
    }
    kept
}

/// A text as others may see it: without anything that may be a PIN.
#[must_use]
pub fn hidden(text: &str) -> String {
    let reading = crate::grammar::read(text, Lexicon::builtin());
    let bare = reading.digits.filter(|digits| digits.alone);
    let spans: Vec<(usize, usize)> = reading
        .secrets
        .into_iter()
        .chain(bare.map(|digits| digits.at))
        .collect();
    blot(text, &spans)
}

/// The characters with blanks in the place of each span.
pub(crate) fn blanked(mut original: Vec<char>, spans: &[(usize, usize)]) -> Vec<char> {
    for (from, to) in spans {
        if let Some(span) = original.get_mut(*from..*to) {
            span.fill(' ');
        }
    }
    original
}
