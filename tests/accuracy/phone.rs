//! From a line without a slip to what the phone sends: one slip of a given kind, made by construction.
//!
//! This file does not know what the program reads, so it cannot choose slips that are easy or hard.

use crate::accuracy::farm::pick;
use crate::accuracy::keypad;
use crate::accuracy::slips::Slip;
use crate::accuracy::words;
use crate::accuracy::writer::{Piece, Role, text_of};
use clutchline::domain::code::UnitCode;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// A text on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Sent {
    pub text: String,
    /// Minutes after the line would have been sent.
    pub minutes: i64,
}

/// What a slip may need to know besides the line.
pub struct Around<'a> {
    /// The farm's cages.
    pub cages: &'a [UnitCode],
    /// The line of the day before, if one was sent.
    pub yesterday: Option<&'a str>,
    /// Words for something not done, for [`Slip::NotDone`].
    pub not_done: &'a str,
}

/// The line with one slip; none where it has nothing to slip on.
pub fn slip(
    rng: &mut ChaCha8Rng,
    kind: Slip,
    pieces: &[Piece],
    around: &Around<'_>,
) -> Option<Vec<Sent>> {
    let whole = text_of(pieces);
    let text = match kind {
        Slip::MultiTap
        | Slip::NeighbourKey
        | Slip::Transposed
        | Slip::LetterLostOrDoubled
        | Slip::DigitForLetter => {
            let words = [Role::Keyword, Role::Around, Role::Day];
            change(rng, pieces, &words, |rng, word| in_word(rng, kind, word))?
        }
        Slip::Twin => change(rng, pieces, &[Role::Keyword, Role::Day], twin)?,
        Slip::Abbreviated => change(rng, pieces, &[Role::Keyword], abbreviate)?,
        Slip::SpaceMissing => change(rng, pieces, &[Role::Gap], |_, gap| {
            let closed: String = gap.chars().filter(|c| !c.is_whitespace()).collect();
            (closed != gap).then_some(closed)
        })?,
        Slip::SpaceExtra => change(rng, pieces, &EVERY_ROLE, space)?,
        Slip::LetterForDigit => {
            let numbers = [Role::Weight, Role::Number, Role::Code];
            change(rng, pieces, &numbers, letter_for_digit)?
        }
        Slip::PointLost => change(rng, pieces, &[Role::Weight, Role::Number], |_, number| {
            number
                .contains(['.', ','])
                .then(|| number.replace(['.', ','], ""))
        })?,
        Slip::PointAwry => change(rng, pieces, &[Role::Weight, Role::Number], point_awry)?,
        Slip::UnitWrong => unit_wrong(rng, pieces)?,
        Slip::CodeLetterMissing => change(rng, pieces, &[Role::Code], |_, code| {
            Some(code.chars().filter(char::is_ascii_digit).collect())
        })?,
        Slip::OtherCage => change(rng, pieces, &[Role::Code], |rng, code| {
            let other = pick(rng, around.cages);
            (!is_code(code, other)).then(|| other.to_string())
        })?,
        Slip::AbsentCage => change(rng, pieces, &[Role::Code], |rng, code| {
            absent(rng, code, around.cages)
        })?,
        Slip::YesterdaysLine => around.yesterday?.to_owned(),
        Slip::SentTwice => whole.clone(),
        Slip::CutInHalf => cut(rng, &whole)?,
        Slip::TwoThoughts => {
            let mark = pick(rng, &[" ", ". ", ", ", "\n"]);
            format!("{whole}{mark}{}", pick(rng, &THOUGHTS))
        }
        Slip::NotDone if around.not_done.is_empty() => return None,
        Slip::NotDone => format!("{whole} {}", around.not_done),
        Slip::WrongNumber => change(rng, pieces, &[Role::Weight, Role::Number], wrong_number)?,
    };
    let sent = |text, minutes| Sent { text, minutes };
    Some(if kind == Slip::SentTwice {
        let again = rng.random_range(15..=180);
        vec![sent(whole, 0), sent(text, again)]
    } else {
        vec![sent(text, 0)]
    })
}

const EVERY_ROLE: [Role; 8] = [
    Role::Code,
    Role::Weight,
    Role::Number,
    Role::Unit,
    Role::Keyword,
    Role::Around,
    Role::Day,
    Role::Gap,
];

/// What people add to a line; several carry numbers, days or words that mean something to the program.
const THOUGHTS: [&str; 16] = [
    "call me 0712345678",
    "I need 2 bags of bran",
    "price is 5000?",
    "will come tomorrow at 9",
    "nitakuja kesho",
    "nahitaji kilo 5 za pumba",
    "see you friday",
    "tutaonana ijumaa",
    "my phone has 3 percent",
    "how is C2",
    "send 1000 airtime",
    "bei ya mayai ni ngapi",
    "the net of C1 is torn",
    "mvua kubwa jana usiku",
    "I used 4kg of bran",
    "naomba msaada",
];

/// Tries pieces of these roles in random order until the change takes.
fn change(
    rng: &mut ChaCha8Rng,
    pieces: &[Piece],
    roles: &[Role],
    mut how: impl FnMut(&mut ChaCha8Rng, &str) -> Option<String>,
) -> Option<String> {
    let at: Vec<usize> = (0..pieces.len())
        .filter(|i| roles.contains(&pieces[*i].role))
        .collect();
    let start = rng.random_range(0..at.len().max(1));
    (0..at.len()).find_map(|i| {
        let i = at[(start + i) % at.len()];
        let changed = how(rng, &pieces[i].text).filter(|new| *new != pieces[i].text)?;
        let mut slipped = pieces.to_vec();
        slipped[i].text = changed;
        Some(text_of(&slipped))
    })
}

fn in_word(rng: &mut ChaCha8Rng, kind: Slip, word: &str) -> Option<String> {
    let mut letters: Vec<char> = word.chars().collect();
    if letters.len() < 3 || !letters.iter().all(char::is_ascii_alphabetic) {
        return None;
    }
    let at = rng.random_range(0..letters.len());
    match kind {
        Slip::MultiTap => letters[at] = keypad::one_press_off(letters[at], rng.random_bool(0.6))?,
        Slip::NeighbourKey => {
            let beside = keypad::neighbours_of(letters[at]);
            letters[at] = *beside.get(rng.random_range(0..beside.len().max(1)))?;
        }
        Slip::Transposed => letters.swap(at.max(1) - 1, at.max(1)),
        Slip::LetterLostOrDoubled if rng.random_bool(0.6) => {
            letters.remove(at);
        }
        Slip::LetterLostOrDoubled => letters.insert(at, letters[at]),
        _ => {
            let looks = |c: char| match c.to_ascii_lowercase() {
                'o' => Some('0'),
                'l' | 'i' => Some('1'),
                's' => Some('5'),
                'e' => Some('3'),
                _ => None,
            };
            let key = keypad::key_of(letters[at]).map(|(key, _)| char::from(b'0' + key));
            let look = looks(letters[at]).filter(|_| rng.random_bool(0.5));
            letters[at] = look.or(key)?;
        }
    }
    Some(letters.into_iter().collect())
}

fn twin(rng: &mut ChaCha8Rng, word: &str) -> Option<String> {
    let lower = word.to_ascii_lowercase();
    let twins: Vec<&str> = words::TWINS
        .iter()
        .filter(|(meant, _)| *meant == lower)
        .map(|(_, twin)| *twin)
        .collect();
    (!twins.is_empty()).then(|| pick(rng, &twins).to_owned())
}

fn abbreviate(rng: &mut ChaCha8Rng, word: &str) -> Option<String> {
    if word.len() < 4 {
        return None;
    }
    let first = |n: usize| word.chars().take(n).collect::<String>();
    let is_vowel = |c: char| "aeiouAEIOU".contains(c);
    Some(match rng.random_range(0..6) {
        0 => first(2),
        1 | 2 => first(3),
        3 => first(4),
        _ => word
            .char_indices()
            .filter(|(i, c)| *i == 0 || !is_vowel(*c))
            .map(|(_, c)| c)
            .collect(),
    })
}

fn space(rng: &mut ChaCha8Rng, text: &str) -> Option<String> {
    let n = text.chars().count();
    let at = if text.trim().is_empty() {
        0
    } else {
        rng.random_range(1..n.max(2))
    };
    if n == 1 && !text.trim().is_empty() {
        return None;
    }
    let (head, tail): (String, String) = (
        text.chars().take(at).collect(),
        text.chars().skip(at).collect(),
    );
    Some(format!("{head} {tail}"))
}

fn letter_for_digit(rng: &mut ChaCha8Rng, number: &str) -> Option<String> {
    let places: Vec<usize> = number
        .char_indices()
        .filter(|(_, c)| c.is_ascii_digit())
        .map(|(i, _)| i)
        .collect();
    let at = *places.get(rng.random_range(0..places.len().max(1)))?;
    let digit = number.as_bytes()[at] - b'0';
    let look = match digit {
        0 => Some('o'),
        1 => Some(pick(rng, &['l', 'i'])),
        5 => Some('s'),
        8 => Some('b'),
        _ => None,
    };
    let look = look.filter(|_| rng.random_bool(0.7));
    let letter = look.or_else(|| keypad::letters_of(digit).chars().next())?;
    Some(format!("{}{letter}{}", &number[..at], &number[at + 1..]))
}

fn point_awry(rng: &mut ChaCha8Rng, number: &str) -> Option<String> {
    let (whole, part) = number.split_once(['.', ','])?;
    let mark = pick(rng, &["..", ". ", " .", " ", ",,", ".,", "-"]);
    Some(format!("{whole}{mark}{part}"))
}

/// The unit of a weight changed, put where none was, or taken away from a stocking.
fn unit_wrong(rng: &mut ChaCha8Rng, pieces: &[Piece]) -> Option<String> {
    let changed = change(rng, pieces, &[Role::Unit], |rng, unit| {
        Some(match unit {
            "kg" | "KG" => pick(rng, &["g", "", "kh", "k"]).to_owned(),
            _ => pick(rng, &["kg", "h", "mg", "f", "kgs"]).to_owned(),
        })
    });
    changed.or_else(|| {
        change(rng, pieces, &[Role::Weight], |rng, number| {
            let wrong = pick(rng, &["kg", " kg", "h", "mg", " kilo"]);
            Some(format!("{number}{wrong}"))
        })
    })
}

fn is_code(text: &str, code: UnitCode) -> bool {
    let (letters, digits): (String, String) = text
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .partition(char::is_ascii_alphabetic);
    letters.eq_ignore_ascii_case(&code.letters())
        && digits.parse::<u16>().ok() == Some(code.number())
}

fn absent(rng: &mut ChaCha8Rng, code: &str, cages: &[UnitCode]) -> Option<String> {
    let slipped = if rng.random_bool(0.4) {
        let letter = code.chars().next()?;
        let slipped = keypad::one_press_off(letter, rng.random_bool(0.6))?;
        code.replacen(letter, &slipped.to_string(), 1)
    } else {
        wrong_number(rng, code)?
    };
    let exists = cages.iter().any(|cage| is_code(&slipped, *cage));
    (!exists).then_some(slipped)
}

fn cut(rng: &mut ChaCha8Rng, whole: &str) -> Option<String> {
    let n = whole.chars().count();
    (n >= 6).then(|| whole.chars().take(rng.random_range(3..n)).collect())
}

/// One digit slipped: the neighbouring key, lost, doubled, or swapped with the next.
fn wrong_number(rng: &mut ChaCha8Rng, number: &str) -> Option<String> {
    let mut chars: Vec<char> = number.chars().collect();
    let digits: Vec<usize> = (0..chars.len())
        .filter(|i| chars[*i].is_ascii_digit())
        .collect();
    let at = *digits.get(rng.random_range(0..digits.len().max(1)))?;
    match rng.random_range(0..10) {
        0..=4 => {
            let digit = chars[at] as u8 - b'0';
            let beside = keypad::digits_beside(digit);
            chars[at] = char::from(b'0' + pick(rng, &beside));
        }
        5 | 6 if digits.len() > 1 => {
            chars.remove(at);
        }
        7 => chars.insert(at, chars[at]),
        _ => {
            let next = digits.iter().copied().find(|i| *i > at)?;
            chars.swap(at, next);
        }
    }
    Some(chars.into_iter().collect())
}
