//! How near a mistyped word is to a keyword on a phone's keys.
//!
//! The layout is ITU-T E.161: abc on 2, def on 3, ghi on 4, jkl on 5, mno on 6, pqrs on 7, tuv on 8, wxyz on 9. A wrong letter of the same key
//! (one tap too few or too many) costs less than one of another key; two neighbouring letters swapped are one slip; a doubled or undoubled
//! letter is a small one. Predictive typing gives a word with the same digits, so such twins count as a small slip whatever their number.
//! This room does not know what a line says; codes and numbers never come here.

use crate::domain::said::Verb;
use crate::grammar::meanings::Meaning;

/// The key of each letter, a to z (ITU-T E.161).
const KEYS: &[u8; 26] = b"22233344455566677778889999";

/// The cost of a slip along one key, of a doubled letter, and of a predictive twin.
pub const SMALL: u8 = 1;
/// The cost of a letter of another key, a letter too many or too few, or two neighbours swapped.
pub const SLIP: u8 = 2;

/// A distance between words; smaller is nearer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Near(pub u8);

/// One letter wrong, however far its key.
pub const ONE_SLIP: u8 = SLIP;
/// The longest word that is compared; no keyword is longer.
const LONGEST: usize = 24;

/// The key of a letter.
#[must_use]
pub fn key_of(letter: u8) -> Option<u8> {
    KEYS.get(usize::from(letter.checked_sub(b'a')?)).copied()
}

/// How far `typed` may be from a keyword to be taken for it; `None` where the keyword is never repaired to.
///
/// Up to three letters never: the harm of a wrong repair is greater than that of a question. Four letters stand a slip along the key or a swap,
/// a letter left out of five, five any one slip, six and seven a slip and a small one, longer words two. What answers, takes back or ends something, or moves a fact to
/// another day or unit, stands a slip along the key or a swap from five letters, one slip from seven, and nothing in shorter words.
#[must_use]
pub fn tolerance(meaning: Meaning, keyword: &str, typed: &str) -> Option<u8> {
    let shorter = keyword.len().min(typed.len());
    let grave = match meaning {
        Meaning::Verb(
            Verb::Stop
            | Verb::Undo
            | Verb::Retire
            | Verb::Fix
            | Verb::Yes
            | Verb::No
            | Verb::For
            | Verb::Add
            | Verb::Join
            | Verb::Start
            | Verb::Got
            | Verb::Data
            | Verb::Forget
            | Verb::Pin,
            _,
        )
        | Meaning::Day(_)
        | Meaning::All => true,
        Meaning::Verb(..) | Meaning::Mixed => false,
        _ => return None,
    };
    if grave && shorter < 5 {
        return None;
    }
    match shorter {
        0..=3 => None,
        4 => Some(SMALL),
        _ if grave && shorter <= 6 => Some(SMALL),
        5 => Some(SLIP),
        _ if grave => Some(SLIP),
        6..=7 => Some(SLIP + SMALL),
        _ => Some(2 * SLIP),
    }
}

/// The distance of two words if it is at most `most`. Words of four letters stand a swap as well, which costs more than their tolerance.
#[must_use]
pub fn near(typed: &str, keyword: &str, most: u8) -> Option<Near> {
    let (a, b) = (typed.as_bytes(), keyword.as_bytes());
    if a.len().abs_diff(b.len()) > usize::from(most) || a.len().max(b.len()) > LONGEST {
        return None;
    }
    if most == SMALL && is_swap(a, b) {
        return Some(Near(SLIP));
    }
    // `wter`: four letters of a keyword of five, one left out.
    if most == SMALL && a.len() == 4 && b.len() == 5 && distance(a, b) == SLIP && omits_one(a, b) {
        return Some(Near(SLIP));
    }
    if is_twin(a, b) {
        return Some(Near(SMALL));
    }
    let cost = distance(a, b);
    (cost <= most).then_some(Near(cost))
}

fn is_swap(a: &[u8], b: &[u8]) -> bool {
    let differs: Vec<usize> = (0..a.len().min(b.len()))
        .filter(|i| a[*i] != b[*i])
        .collect();
    a.len() == b.len()
        && matches!(differs[..], [i, j] if j == i + 1 && a[i] == b[j] && a[j] == b[i])
}

/// Whether leaving one letter out of `b` gives `a`.
fn omits_one(a: &[u8], b: &[u8]) -> bool {
    (0..b.len()).any(|i| b[..i] == a[..i.min(a.len())] && b[i + 1..] == a[i.min(a.len())..])
}

fn is_twin(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len()
        && a.iter()
            .zip(b)
            .all(|(x, y)| key_of(*x).is_some() && key_of(*x) == key_of(*y))
}

fn substitution(a: u8, b: u8) -> u8 {
    if a == b {
        0
    } else if key_of(a).is_some() && key_of(a) == key_of(b) {
        SMALL
    } else {
        SLIP
    }
}

/// The cost of one letter too many or too few: small where it doubles its neighbour.
fn extra(word: &[u8], i: usize) -> u8 {
    let doubles = i > 0 && word[i] == word[i - 1];
    if doubles { SMALL } else { SLIP }
}

/// Weighted edit distance with swaps of neighbours (optimal string alignment).
fn distance(a: &[u8], b: &[u8]) -> u8 {
    let mut rows = [[0_u8; LONGEST + 1]; LONGEST + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            rows[i][j] = match (i, j) {
                (0, 0) => 0,
                (0, _) => rows[0][j - 1] + extra(b, j - 1),
                (_, 0) => rows[i - 1][0] + extra(a, i - 1),
                _ => {
                    let mut best = (rows[i - 1][j - 1] + substitution(a[i - 1], b[j - 1]))
                        .min(rows[i - 1][j] + extra(a, i - 1))
                        .min(rows[i][j - 1] + extra(b, j - 1));
                    if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                        best = best.min(rows[i - 2][j - 2] + SLIP);
                    }
                    best
                }
            };
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grammar::Lexicon;

    /// ITU-T E.161 (2001), the letters of each digit key.
    #[test]
    fn the_keys_carry_the_letters_of_the_standard() {
        let layout = [
            (b'2', "abc"),
            (b'3', "def"),
            (b'4', "ghi"),
            (b'5', "jkl"),
            (b'6', "mno"),
            (b'7', "pqrs"),
            (b'8', "tuv"),
            (b'9', "wxyz"),
        ];
        for (key, letters) in layout {
            assert!(letters.bytes().all(|l| key_of(l) == Some(key)), "{letters}");
        }
        assert_eq!(key_of(b'1'), None);
    }

    fn read_as(typed: &str) -> Option<&'static str> {
        Lexicon::builtin().nearest(typed).map(|(word, _)| word)
    }

    #[test]
    fn one_near_keyword_is_found() {
        for (typed, word) in [
            ("watwr", "water"),
            ("wtaer", "water"),
            ("waterr", "water"),
            ("baiit", "bait"),
            ("biat", "bait"),
            ("bajt", ""),
            ("waves", "water"),
            ("chamo", "chambo"),
            ("kivulli", "kivuli"),
            ("yesterdey", "yesterday"),
            ("retrie", "retire"),
            ("wamekuda", "wamekufa"),
            // Of two verbs that start alike only the rest tells.
            ("wamekifa", ""),
            ("wamekuja", ""),
            ("nimekagua", ""),
            ("mtegoo", "mtego"),
        ] {
            assert_eq!(read_as(typed).unwrap_or_default(), word, "{typed}");
        }
    }

    #[test]
    fn short_or_grave_words_are_left_alone() {
        for typed in [
            "ad", "eqq", "sto", "stpo", "udno", "undp", "jane", "jama", "futs", "achs", "zotr",
            "dean", "xyz", "leoo", "ndoyo",
        ] {
            assert_eq!(read_as(typed), None, "{typed}");
        }
    }
}
