//! Cutting folded letters into pieces: runs of letters and digits with the marks that may belong to a number, dashes and question marks.
//!
//! Other punctuation is dropped, except where dropping it would make a number of something that is none (prices, clock times, phone numbers, links):
//! there it stays in the piece, which then is no number. This room does not know words.

use crate::grammar::letters::{BLUR, Letter};

/// What a piece is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Shape {
    /// Letters, digits and what belongs to them.
    Text(String),
    /// A link, an address: never read.
    Address(String),
    /// `-`.
    Dash,
    /// `?`.
    Ask,
    /// `~` and its kin: about.
    Blur,
    /// `&` or `+` between things.
    And,
}

/// A piece and where it stands, in characters of the message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Piece {
    pub(crate) shape: Shape,
    pub(crate) at: usize,
    /// One past its last character.
    pub(crate) end: usize,
    /// No space before it.
    pub(crate) glued: bool,
}

/// Faces made of characters that would otherwise be read.
const FACES: [&str; 14] = [
    ":d", ":p", "<3", "xd", ":o", ";d", ";p", "=d", ":-d", ":-p", ":-o", ":3", ":x", "b)",
];

/// Cuts folded letters into pieces.
pub(crate) fn split(letters: &[Letter]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut i = 0;
    let mut glued = false;
    while let Some(letter) = letters.get(i) {
        if letter.c.is_whitespace() {
            glued = false;
            i += 1;
            continue;
        }
        if !glued && let Some(end) = whole_piece(letters, i, &mut pieces) {
            i = end;
            continue;
        }
        let end = match letter.c {
            '-' => Some((i + 1, Shape::Dash)),
            '?' => Some((i + 1, Shape::Ask)),
            BLUR => Some((i + 1, Shape::Blur)),
            '&' => Some((i + 1, Shape::And)),
            '+' if !starts_text(letters, i) => Some((i + 1, Shape::And)),
            '<' | '>' if !matches!(peek(letters, i, -1), Some('-' | '=')) => {
                Some((i + 1, Shape::Blur))
            }
            _ if starts_text(letters, i) => {
                let (end, text) = text_from(letters, i);
                Some((end, Shape::Text(text)))
            }
            _ => None,
        };
        if let Some((end, shape)) = end {
            pieces.push(Piece {
                shape,
                at: letter.at,
                end: letters.get(end - 1).map_or(letter.at, |l| l.at) + 1,
                glued,
            });
            i = end;
        } else {
            i += 1;
        }
        glued = true;
    }
    pieces
}

fn peek(letters: &[Letter], i: usize, step: isize) -> Option<char> {
    letters.get(i.checked_add_signed(step)?).map(|l| l.c)
}

/// Faces are passed over and addresses taken whole; gives the end of the run in both cases.
fn whole_piece(letters: &[Letter], i: usize, pieces: &mut Vec<Piece>) -> Option<usize> {
    let run: String = letters[i..]
        .iter()
        .map(|l| l.c)
        .take_while(|c| !c.is_whitespace())
        .collect();
    let end = i + run.chars().count();
    if FACES.contains(&run.as_str()) {
        return Some(end);
    }
    let dotted = || {
        let c: Vec<char> = run.chars().collect();
        c.windows(3)
            .any(|w| w[0].is_alphabetic() && w[1] == '.' && w[2].is_alphabetic())
    };
    let address = run.contains("://")
        || run.starts_with("www.")
        || run.contains('@') && dotted()
        || run.contains('/') && dotted();
    address.then(|| {
        pieces.push(Piece {
            shape: Shape::Address(run),
            at: letters[i].at,
            end: letters.get(end - 1).map_or(0, |l| l.at) + 1,
            glued: false,
        });
        end
    })
}

fn starts_text(letters: &[Letter], i: usize) -> bool {
    let Some(c) = peek(letters, i, 0) else {
        return false;
    };
    let digit_next = peek(letters, i, 1).is_some_and(|c| c.is_ascii_digit());
    let before = peek(letters, i, -1);
    match c {
        '.' => {
            (digit_next || peek(letters, i, 1) == Some('o'))
                && !before.is_some_and(char::is_alphanumeric)
        }
        ',' => digit_next && before.is_none_or(char::is_whitespace),
        '+' | '$' | '#' | '*' => digit_next && before.is_none_or(char::is_whitespace),
        '@' => false,
        _ => is_body(c),
    }
}

/// Letters, digits, and marks on them that no folding took away.
fn is_body(c: char) -> bool {
    c.is_alphanumeric() || (!c.is_ascii() && !c.is_whitespace())
}

const fn is_look_alike(c: char) -> bool {
    matches!(c, 'o' | 'l' | 'i')
}

/// Takes the text piece that starts at `i`; gives its end and its text.
fn text_from(letters: &[Letter], start: usize) -> (usize, String) {
    let mut text = String::new();
    let mut i = start;
    while let Some(c) = peek(letters, i, 0) {
        if i == start || is_body(c) {
            text.push(c);
        } else {
            match inside(letters, i, &text, c) {
                Inside::Keep => text.push(c),
                Inside::Drop => (),
                Inside::End => break,
            }
        }
        i += 1;
    }
    (i, text)
}

/// `1.ag`, `7,d`: letters where the decimals should be. The piece keeps them, and so is no number rather than a smaller one.
fn breaks_number(letters: &[Letter], i: usize, last: char) -> bool {
    /// Longer runs are words.
    const MOST: usize = 2;
    let run: String = letters
        .iter()
        .skip(i + 1)
        .map(|l| l.c)
        .take_while(|c| c.is_alphanumeric())
        .collect();
    // `A 1,A 2` goes on with a code.
    let comma = peek(letters, i, 0) == Some(',');
    let code = comma
        && letters
            .iter()
            .skip(i + 1 + run.chars().count())
            .map(|l| l.c)
            .find(|c| !c.is_whitespace() && *c != '-')
            .is_some_and(|c| c.is_ascii_digit());
    // `2.g` too: 4 is typed with the key of the g, and nobody needs a point before a unit.
    let unit = code || matches!(run.as_str(), "gr" | "gm" | "kg" | "ok");
    let before_unit = run.len() > MOST
        && ["gr", "gm", "kg"]
            .iter()
            .any(|u| run.len() == 1 + u.len() && run.ends_with(u));
    last.is_ascii_digit()
        && ((1..=MOST).contains(&run.len()) || before_unit)
        && run.chars().all(|c| c.is_ascii_alphabetic())
        && !unit
}

enum Inside {
    Keep,
    Drop,
    End,
}

/// What a mark does inside a piece.
fn inside(letters: &[Letter], i: usize, text: &str, mark: char) -> Inside {
    let next = peek(letters, i, 1);
    let last = text.chars().last().unwrap_or(' ');
    let digit_next = next.is_some_and(|c| c.is_ascii_digit());
    let number_like = text.starts_with(|c: char| !c.is_alphabetic())
        || text.chars().all(|c| c.is_ascii_digit() || is_look_alike(c));
    let keep = match mark {
        '\'' => {
            if last.is_alphabetic() && next.is_some_and(char::is_alphabetic) {
                return Inside::Drop;
            }
            last.is_ascii_digit() && digit_next
        }
        '.' | ',' => keeps_point(letters, i, text, mark) || breaks_number(letters, i, last),
        // After a code too: `C1/2` may be two cages, and never a weight or a date.
        '/' => {
            last.is_ascii_digit()
                && (digit_next || (number_like && matches!(next, Some('=' | '-'))))
        }
        '=' | '-' => last == '/',
        // `C-04:12.5`: the digits before the colon are a code's.
        ':' if after_letter_dash(letters, i, text) => false,
        // `L1:69.3`: a code whose letter looks like a digit is a code.
        ':' if text.starts_with(|c: char| c.is_alphabetic() && !matches!(c, 'i' | 'o' | 'q')) => {
            false
        }
        ':' | ';' | '+' | '*' | '#' | '_' | '|' | '\\' | '^' | '(' => {
            number_like && last.is_ascii_digit() && digit_next
        }
        '%' | '$' => last.is_ascii_digit(),
        '@' => true,
        _ => false,
    };
    if keep { Inside::Keep } else { Inside::End }
}

/// Whether the piece before place `i` stands after a letter and a dash.
fn after_letter_dash(letters: &[Letter], i: usize, text: &str) -> bool {
    let dash = i.checked_sub(text.chars().count() + 1);
    let letter = dash.and_then(|d| d.checked_sub(1));
    dash.and_then(|d| peek(letters, d, 0)) == Some('-')
        && letter
            .and_then(|l| peek(letters, l, 0))
            .is_some_and(|c| c.is_ascii_alphabetic())
}

/// Whether a point or comma belongs to a number: digits on both sides, look-alikes counted in.
fn keeps_point(letters: &[Letter], i: usize, text: &str, mark: char) -> bool {
    let rest: String = letters[i + 1..]
        .iter()
        .map(|l| l.c)
        .take_while(|c| c.is_alphanumeric())
        .collect();
    let digits = rest.trim_end_matches('g').trim_end_matches('k');
    let number_next = !digits.is_empty()
        && (digits.starts_with(|c: char| c.is_ascii_digit())
            || digits.chars().all(|c| matches!(c, 'o' | 'i')));
    let last_counts = text
        .chars()
        .last()
        .is_some_and(|c| c.is_ascii_digit() || is_look_alike(c));
    let has_digit = text.contains(|c: char| c.is_ascii_digit());
    if has_digit || text.chars().all(is_look_alike) {
        return number_next && last_counts;
    }
    // `bait.5` may be 5 or 0.5: it stays whole and is no number. `c.4` is a code written with a point.
    mark == '.' && number_next && text.chars().count() > 2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grammar::letters::fold;

    fn shown(text: &str) -> Vec<String> {
        split(&fold(text))
            .into_iter()
            .map(|p| match p.shape {
                Shape::Text(t) => t,
                Shape::Address(t) => format!("<{t}>"),
                Shape::Dash => "-".to_owned(),
                Shape::Ask => "?".to_owned(),
                Shape::Blur => "~".to_owned(),
                Shape::And => "&".to_owned(),
            })
            .collect()
    }

    #[test]
    fn marks_belong_to_numbers_or_fall_away() {
        assert_eq!(
            shown("C4:12.5g;C5=8, C6 0."),
            ["c4", "12.5g", "c5", "8", "c6", "0"]
        );
        assert_eq!(shown("C-04 62.5-50"), ["c", "-", "04", "62.5", "-", "50"]);
        assert_eq!(shown("12,5,C5"), ["12,5", "c5"]);
        assert_eq!(shown("don't! (C4?)"), ["dont", "c4", "?"]);
    }

    #[test]
    fn prices_times_and_links_stay_whole() {
        assert_eq!(
            shown("500/= 12:30 +255700 5% $5"),
            ["500/=", "12:30", "+255700", "5%", "$5"]
        );
        assert_eq!(
            shown("x.com/5 www.a.b a@b.c"),
            ["<x.com/5>", "<www.a.b>", "<a@b.c>"]
        );
        assert_eq!(shown("ok :D <3"), ["ok"]);
    }
}
