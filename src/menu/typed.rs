//! What may be typed where a number or a word is expected, as the entry language writes it.
//!
//! Checks the form only; what is plausible is the desk's business.

use crate::menu::{TYPED_MOST, Typing};

/// A weight in grams: `12.5`, `12,5`, in a session also `12*5`; dialled, 125 is 12.5 g.
pub(crate) fn weight(typed: &str, how: Typing) -> Option<String> {
    if typed.is_empty() {
        return None;
    }
    let digits = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit())
    };
    if let Typing::Dialled { .. } = how {
        let tenths: u32 = digits(typed, 6).then(|| typed.parse().ok()).flatten()?;
        return Some(match tenths % 10 {
            0 => (tenths / 10).to_string(),
            rest => format!("{}.{rest}", tenths / 10),
        });
    }
    let star = matches!(
        how,
        Typing::Session {
            star_is_point: true
        }
    );
    let point = |c: char| matches!(c, '.' | ',') || (star && c == '*');
    let (whole, rest) = match typed.split_once(point) {
        Some((whole, rest)) => (whole, Some(rest)),
        None => (typed, None),
    };
    let whole = if whole.is_empty() { "0" } else { whole };
    let fits = digits(whole, 5) && rest.is_none_or(|rest| digits(rest, 2));
    let whole = whole.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    fits.then(|| match rest {
        Some(rest) => format!("{whole}.{rest}"),
        None => whole.to_owned(),
    })
}

/// A whole number from `least` to `most`.
pub(crate) fn whole(typed: &str, least: u32, most: u32) -> Option<u32> {
    let digits = (1..=7).contains(&typed.len()) && typed.bytes().all(|b| b.is_ascii_digit());
    digits
        .then(|| typed.parse().ok())
        .flatten()
        .filter(|n| (least..=most).contains(n))
}

/// A word of letters and digits, such as a join code.
pub(crate) fn code(typed: &str) -> Option<String> {
    let fits = (3..=12).contains(&typed.len()) && typed.bytes().all(|b| b.is_ascii_alphanumeric());
    fits.then(|| typed.to_ascii_uppercase())
}

/// A name: letters, no digits.
pub(crate) fn name(typed: &str) -> Option<String> {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let name = words.join(" ");
    let plain = |c: char| c.is_alphabetic() || matches!(c, ' ' | '\'' | '-');
    let fits = name.chars().any(char::is_alphabetic) && name.chars().all(plain);
    (fits && name.chars().count() <= TYPED_MOST).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weight_is_written_with_a_point_whatever_was_typed() {
        let session = Typing::Session {
            star_is_point: true,
        };
        let path = Typing::Session {
            star_is_point: false,
        };
        let dialled = Typing::Dialled { more: false };
        for (typed, how, read) in [
            ("12.5", session, Some("12.5")),
            ("12,5", session, Some("12.5")),
            ("12*5", session, Some("12.5")),
            ("12*5", path, None),
            ("125", session, Some("125")),
            ("125", dialled, Some("12.5")),
            ("120", dialled, Some("12")),
            ("5", dialled, Some("0.5")),
            ("012.5", path, Some("12.5")),
            (".5", path, Some("0.5")),
            ("12.", path, None),
            ("12.555", path, None),
            ("12g", path, None),
            ("", path, None),
        ] {
            assert_eq!(weight(typed, how).as_deref(), read, "{typed}");
        }
    }
}
