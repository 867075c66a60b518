//! Pieces to tokens: what each piece is by itself, before its neighbours are looked at.
//!
//! This room knows words, codes and numbers; it does not know what they mean together.

mod mended;

use crate::domain::said::{DaySaid, Repair, UnitSaid, Verb, Why};
use crate::grammar::chunks::{Piece, Shape};
use crate::grammar::codes::{self, CodeRead, CodeReading};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{Blur, Meaning};
use crate::grammar::numbers::{self, Number};
use crate::grammar::tokens::mended::{
    abbreviated, day_before_code, ends_in_digit_for_letter, is_near_day, number_and_code,
    two_words, with_letters_back,
};
use crate::units::Celsius;
use chrono::NaiveDate;

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Kind {
    /// One or more units: a code, or a range counted out.
    Units(Vec<UnitSaid>),
    /// A piece that names units in several readings.
    UnitDoubt(Why, Vec<CodeReading>),
    /// Meant as a unit, but none.
    BadUnit,
    /// A range without a second end.
    BadRange,
    /// A number.
    Number(Number),
    /// Two numbers with a dash between. `loose`: with a space before the dash and none after, as days are written.
    Pair {
        gross: Number,
        tare: Number,
        loose: bool,
    },
    /// A number after a dash that follows a code: `C4 - 8`.
    Dashed(Number),
    /// A day.
    Day(DaySaid),
    /// A day that does not exist, or a date that is not day/month.
    BadDay,
    /// A farm's two temperatures, as written.
    Temperature(Celsius, Celsius),
    /// `temp` without two temperatures.
    BadTemperature,
    /// Two temperatures after a word that is probably `temp`.
    NearTemperature(Celsius, Celsius),
    /// A listed word.
    Word(Meaning),
    /// One or two unlisted letters: they may start a code.
    Letters,
    /// An unlisted word.
    Unknown,
    /// An unlisted word that is probably this one.
    Near(Verb),
    /// Digits with something that makes them no number.
    Junk,
    /// `-`.
    Dash,
    /// `?`.
    Ask,
}

/// A token and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Token {
    pub(crate) kind: Kind,
    /// As folded.
    pub(crate) text: String,
    /// Its first character in the message.
    pub(crate) at: usize,
    /// One past its last.
    pub(crate) end: usize,
    /// No space before it.
    pub(crate) glued: bool,
}

impl Token {
    /// Passed over wherever it stands.
    pub(crate) fn is_filler(&self) -> bool {
        matches!(
            self.kind,
            // `got` means a delivery only where it leads the line.
            Kind::Word(Meaning::Filler | Meaning::And | Meaning::Verb(Verb::Got, _))
        )
    }
}

impl Kind {
    /// A word after which a number is a member's.
    pub(crate) fn names_member(&self) -> bool {
        matches!(self, Self::Word(Meaning::Verb(Verb::For | Verb::Got, _)))
    }
}

/// Reads every piece; repaired words are added to `repaired`.
pub(crate) fn read_all(
    pieces: &[Piece],
    lexicon: &Lexicon,
    repaired: &mut Vec<Repair>,
) -> Vec<Token> {
    let mut tokens = Vec::with_capacity(pieces.len());
    for piece in pieces {
        let kind = match &piece.shape {
            Shape::Text(text) => {
                read_text(piece, text, lexicon, &mut tokens, repaired);
                continue;
            }
            Shape::Address(_) => Kind::Junk,
            Shape::Dash => Kind::Dash,
            Shape::Ask => Kind::Ask,
            Shape::Blur => Kind::Word(Meaning::Blur(Blur::Unsure)),
            Shape::And => Kind::Word(Meaning::And),
        };
        tokens.push(token(piece, kind, ""));
    }
    tokens
}

fn token(piece: &Piece, kind: Kind, text: &str) -> Token {
    Token {
        kind,
        text: text.to_owned(),
        at: piece.at,
        end: piece.end,
        glued: piece.glued,
    }
}

fn read_text(
    piece: &Piece,
    text: &str,
    lexicon: &Lexicon,
    tokens: &mut Vec<Token>,
    repaired: &mut Vec<Repair>,
) {
    if !text.contains(|c: char| c.is_numeric()) {
        if let Some((head, tail)) = two_words(text, lexicon) {
            let cut = piece.at + head.len();
            let kinds = [head, tail].map(|word| read_word(word, lexicon, repaired));
            let [first, second] = kinds;
            tokens.push(Token {
                end: cut,
                ..token(piece, first, head)
            });
            tokens.push(Token {
                at: cut,
                ..token(piece, second, tail)
            });
            return;
        }
        let kind = read_word(text, lexicon, repaired);
        tokens.push(token(piece, kind, text));
        return;
    }
    if text.contains('/') && !text.starts_with(|c: char| c.is_ascii_alphabetic()) {
        tokens.push(token(piece, date(text), text));
        return;
    }
    if !is_code_first(text)
        && let Some(number) = numbers::read(text, lexicon)
    {
        tokens.push(token(piece, Kind::Number(number), text));
        return;
    }
    match codes::read(text, lexicon) {
        Some(CodeRead::Sure(unit, end)) => {
            tokens.push(token(piece, Kind::Units(vec![unit]), &text[..end]));
            if let Some(rest) = text.get(end..).filter(|rest| !rest.is_empty()) {
                read_text(piece, rest, lexicon, tokens, repaired);
            }
        }
        // `ja6a`: a day with a digit in it is no cage with a wrong check letter.
        Some(CodeRead::Doubt(Why::CheckLetter, _))
            if let Some((word, Meaning::Day(day))) = with_letters_back(text, lexicon) =>
        {
            tokens.push(token(piece, Kind::Day(day), &word));
            repaired.push(Repair {
                typed: text.to_owned(),
                read_as: word,
            });
        }
        Some(CodeRead::Doubt(why, readings)) if !readings.is_empty() => {
            tokens.push(token(piece, Kind::UnitDoubt(why, readings), text));
        }
        no_code => match (with_letters_back(text, lexicon), no_code) {
            (Some((word, meaning)), _) => {
                tokens.push(token(piece, of_meaning(meaning), &word));
                repaired.push(Repair {
                    typed: text.to_owned(),
                    read_as: word,
                });
            }
            (None, Some(_)) => tokens.push(token(piece, Kind::BadUnit, text)),
            (None, None) => word_and_number(piece, text, lexicon, tokens),
        },
    }
}

/// Whether a piece is tried as a code before it is tried as a number. `l2.5` is a number typed with a letter; `L2` and `L12.5` may be cages.
fn is_code_first(text: &str) -> bool {
    let mut chars = text.chars();
    match chars.next() {
        Some('l') => {
            let rest = chars.as_str();
            let digits = rest.chars().take_while(char::is_ascii_digit).count();
            !(digits == 1 && rest[1..].starts_with(['.', ',']))
        }
        Some(first) => first.is_alphabetic() && !matches!(first, 'o' | 'i'),
        None => false,
    }
}

/// `bait12.5`, `12.5bait`: a listed word stuck to a number. Two-letter words are too short to be sure of.
fn word_and_number(piece: &Piece, text: &str, lexicon: &Lexicon, tokens: &mut Vec<Token>) {
    const SHORTEST: usize = 3;
    let leading = text.len()
        - text
            .trim_start_matches(|c: char| c.is_ascii_alphabetic())
            .len();
    let trailing = text
        .trim_end_matches(|c: char| c.is_ascii_alphabetic())
        .len();
    let listed = |word: &str| {
        lexicon
            .get(word)
            .map(|e| e.meaning)
            .filter(|_| word.len() >= SHORTEST)
    };
    let (word, number, word_first) = if leading > 0 {
        let (word, number) = text.split_at(leading);
        (word, number, true)
    } else {
        let (number, word) = text.split_at(trailing);
        (word, number, false)
    };
    if let (Some(meaning), Some(mut number_read)) = (listed(word), numbers::read(number, lexicon)) {
        // `ant7` may be `ants`.
        if word_first && ends_in_digit_for_letter(text, lexicon) {
            let value = number_read.hundredths;
            number_read.doubt.get_or_insert((Why::Word, vec![value]));
        }
        let word = token(piece, of_meaning(meaning), word);
        let number = token(piece, Kind::Number(number_read), number);
        tokens.extend(if word_first {
            [word, number]
        } else {
            [number, word]
        });
        return;
    }
    // `juziN1`
    if let Some((day_text, day)) = day_before_code(text, lexicon) {
        let cut = day_text.len();
        tokens.push(Token {
            end: piece.at + cut,
            ..token(piece, Kind::Day(day), day_text)
        });
        return read_text(piece, &text[cut..], lexicon, tokens, &mut Vec::new());
    }
    if let Some((number_text, number, unit)) = number_and_code(text, lexicon) {
        let cut = piece.at + number_text.len();
        let first = Token {
            end: cut,
            ..token(piece, Kind::Number(number), &text[..number_text.len()])
        };
        let second = Token {
            at: cut,
            ..token(piece, Kind::Units(vec![unit]), &text[number_text.len()..])
        };
        tokens.extend([first, second]);
        return;
    }
    let letter_then_digit = text
        .as_bytes()
        .windows(2)
        .any(|w| w[0].is_ascii_alphabetic() && w[1].is_ascii_digit());
    let kind = if leading > 0 || letter_then_digit {
        // What follows belongs to a cage that was not understood, never to the one before.
        Kind::BadUnit
    } else if is_dotted_date(text) {
        date(&text.replace('.', "/"))
    } else {
        Kind::Junk
    };
    tokens.push(token(piece, kind, text));
}

fn of_meaning(meaning: Meaning) -> Kind {
    match meaning {
        Meaning::Day(day) => Kind::Day(day),
        _ => Kind::Word(meaning),
    }
}

fn read_word(text: &str, lexicon: &Lexicon, repaired: &mut Vec<Repair>) -> Kind {
    if let Some(entry) = lexicon.get(text) {
        return of_meaning(entry.meaning);
    }
    if text.chars().count() <= 2 {
        return if text.is_ascii() {
            Kind::Letters
        } else {
            Kind::Unknown
        };
    }
    if lexicon.is_negated(text) {
        return Kind::Word(Meaning::Blur(Blur::Unsure));
    }
    if lexicon.probable(text).is_some() {
        return Kind::Unknown;
    }
    match lexicon.nearest(text) {
        // A line cut inside `stock` has lost its amount too.
        Some((_, entry)) if is_stock(entry.meaning) && is_cut(text, lexicon) => {
            Kind::Near(Verb::Stock)
        }
        Some((word, entry)) => {
            repaired.push(Repair {
                typed: text.to_owned(),
                read_as: word.to_owned(),
            });
            of_meaning(entry.meaning)
        }
        None if is_near_day(text, lexicon) => Kind::BadDay,
        None if let Some((word, meaning)) = abbreviated(text, lexicon) => {
            repaired.push(Repair {
                typed: text.to_owned(),
                read_as: word,
            });
            of_meaning(meaning)
        }
        None => Kind::Unknown,
    }
}

/// `sto`, `stocke`: the beginning of a word for stocking.
fn is_cut(text: &str, lexicon: &Lexicon) -> bool {
    lexicon.entries().any(|(word, entry)| {
        is_stock(entry.meaning) && word.len() > text.len() && word.starts_with(text)
    })
}

fn is_stock(meaning: Meaning) -> bool {
    matches!(meaning, Meaning::Verb(Verb::Stock, _))
}

/// `23.11.2026`: meant as a day.
fn is_dotted_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('.').collect();
    parts.len() == 3
        && parts
            .iter()
            .all(|p| matches!(p.len(), 1 | 2 | 4) && p.bytes().all(|b| b.is_ascii_digit()))
}

/// `23/11`, `23/11/2026`: day and month that exist together. Anything else with a stroke is no date.
fn date(text: &str) -> Kind {
    /// A leap year, so that 29/2 is a date.
    const LEAP_YEAR: u16 = 2024;
    /// Years that a breeder's book may have.
    const YEARS: std::ops::Range<u16> = 2000..2100;
    let parts: Vec<&str> = text.split('/').collect();
    if !parts
        .iter()
        .all(|p| !p.is_empty() && p.bytes().all(|b| b.is_ascii_digit()))
    {
        return Kind::Junk;
    }
    let number = |part: &str| part.parse::<u8>().ok().filter(|_| part.len() <= 2);
    // Two figures may be a third number as well as a year.
    let in_full = |part: &str| part.parse().ok().filter(|year| YEARS.contains(year));
    let (day, month, year) = match parts[..] {
        [day, month] => (number(day), number(month), None),
        [day, month, year] => match in_full(year) {
            Some(year) => (number(day), number(month), Some(year)),
            None => return Kind::BadDay,
        },
        _ => return Kind::BadDay,
    };
    let (Some(day), Some(month)) = (day, month) else {
        return Kind::BadDay;
    };
    let exists = |year: u16| NaiveDate::from_ymd_opt(year.into(), month.into(), day.into());
    match (exists(year.unwrap_or(LEAP_YEAR)), year) {
        (None, _) => Kind::BadDay,
        (Some(_), None) => Kind::Day(DaySaid::Date { day, month }),
        (Some(date), Some(_)) => Kind::Day(DaySaid::Dated(date)),
    }
}
