//! The check letter of a unit code: one of the 23 letters that codes use.
//!
//! The letters (A = 1 … Z = 23, an absent first letter = 0) and the number are written side by side as one decimal number,
//! two places a letter and three for the number, and its remainder modulo the prime 23 picks the letter. Place by place that is
//! a weighted sum with the unequal weights 19, 11, 8, 10, 1, so every single wrong character and every swap of two neighbours
//! changes it: the published kind of scheme that national identity numbers use.
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
