//! The check letter of a unit code: one of the 23 letters that codes use.
//!
//! The letters (A = 1 … Z = 23, an absent first letter = 0) and the number are written side by side as one decimal number,
//! two places a letter and three for the number, and its remainder modulo the prime 23 picks the letter. Place by place that is
//! a weighted sum with the unequal weights 19, 11, 8, 10, 1, so every single wrong letter for a letter, digit for a digit
//! and every swap of two neighbours changes it (a digit typed as a letter moves the places: one in about 23 of those passes): the published kind of scheme that national identity numbers use.
//! This room does not know which codes exist at a farm.

/// The letters that a code may use: never I, O or Q, which are taken for digits.
pub const ALPHABET: &[u8; 23] = b"ABCDEFGHJKLMNPRSTUVWXYZ";

/// The value of a code letter, 1 to 23; `None` for I, O, Q and anything that is no capital letter.
#[must_use]
pub fn letter_value(letter: u8) -> Option<u32> {
    (1..)
        .zip(ALPHABET)
        .find_map(|(value, known)| (*known == letter).then_some(value))
}

/// The check letter for a code of the given letter values (0 where absent) and number.
#[must_use]
pub fn check_letter(first: u32, second: u32, number: u16) -> char {
    let written = first * 100_000 + second * 1000 + u32::from(number);
    char::from(ALPHABET[(written % 23) as usize])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The value of every byte as a code letter, 0 for none: the test asks some fifty million times.
    fn values() -> [u32; 256] {
        let mut values = [0; 256];
        for letter in ALPHABET {
            values[usize::from(*letter)] = letter_value(*letter).unwrap();
        }
        values
    }

    /// Whether the last letter of a written code is its check letter; `None` where it is no code with one.
    fn is_right(values: &[u32; 256], written: &[u8]) -> Option<bool> {
        let (mut first, mut second, mut number, mut i) = (0, 0, 0, 0);
        while i < written.len() && written[i].is_ascii_uppercase() {
            (first, second) = (second, values[usize::from(written[i])]);
            i += 1;
        }
        let digits = written.len().checked_sub(i + 1)?;
        if i == 0 || i > 2 || !(1..=3).contains(&digits) || written[i] == b'0' {
            return None;
        }
        while i + 1 < written.len() {
            if !written[i].is_ascii_digit() {
                return None;
            }
            number = number * 10 + u16::from(written[i] - b'0');
            i += 1;
        }
        (values[usize::from(written[i])] != 0)
            .then(|| check_letter(first, second, number) == char::from(written[i]))
    }

    fn codes() -> impl Iterator<Item = Vec<u8>> {
        let one = ALPHABET.iter().map(|l| vec![*l]);
        let two = ALPHABET
            .iter()
            .flat_map(|a| ALPHABET.iter().map(|b| vec![*a, *b]));
        one.chain(two).flat_map(|letters| {
            (1..=999_u16).map(move |number| {
                let value = |l: u8| letter_value(l).unwrap();
                let (first, second) = match letters[..] {
                    [only] => (0, value(only)),
                    [first, second] => (value(first), value(second)),
                    _ => unreachable!("one or two letters"),
                };
                let letter = check_letter(first, second, number);
                [&letters[..], format!("{number}{letter}").as_bytes()].concat()
            })
        })
    }

    #[test]
    fn every_wrong_character_and_every_swap_of_neighbours_is_caught() {
        let (values, mut tried) = (values(), 0_u64);
        for code in codes() {
            assert_eq!(is_right(&values, &code), Some(true));
            let mut wrong = code.clone();
            for i in 0..code.len() {
                let same_kind =
                    |c: &u8| *c != code[i] && c.is_ascii_digit() == code[i].is_ascii_digit();
                for other in ALPHABET
                    .iter()
                    .copied()
                    .chain(b'0'..=b'9')
                    .filter(same_kind)
                {
                    wrong[i] = other;
                    tried += u64::from(is_right(&values, &wrong).is_some());
                    assert_ne!(
                        is_right(&values, &wrong),
                        Some(true),
                        "{code:?} as {wrong:?}"
                    );
                }
                wrong[i] = code[i];
            }
            for i in 1..code.len() {
                if code[i] != code[i - 1] {
                    wrong.swap(i, i - 1);
                    tried += u64::from(is_right(&values, &wrong).is_some());
                    assert_ne!(
                        is_right(&values, &wrong),
                        Some(true),
                        "{code:?} as {wrong:?}"
                    );
                    wrong.swap(i, i - 1);
                }
            }
        }
        assert!(tried > 30_000_000, "{tried}");
    }

    /// The remainder modulo 23 that `tests/reference/check_letter.py` had from python-stdnum (its version is in the table's head), for a
    /// spread of written numbers.
    #[test]
    fn remainders_agree_with_a_reference_library() {
        /// The published order of letters of the reference scheme, by remainder 0 to 22.
        const PUBLISHED: &[u8; 23] = b"TRWAGMYFPDXBNJZSQVHLCKE";
        let table = include_str!("../../tests/reference/check_letter.tsv");
        let mut rows = 0;
        for line in table.lines().filter(|l| !l.starts_with('#')) {
            let [first, second, number, letter] = line.split('\t').collect::<Vec<_>>()[..] else {
                panic!("{line}");
            };
            let remainder = PUBLISHED
                .iter()
                .position(|l| char::from(*l).to_string() == letter)
                .unwrap();
            let ours = check_letter(
                first.parse().unwrap(),
                second.parse().unwrap(),
                number.parse().unwrap(),
            );
            assert_eq!(ours, char::from(ALPHABET[remainder]), "{line}");
            rows += 1;
        }
        assert!(rows > 2000, "{rows}");
    }
}
