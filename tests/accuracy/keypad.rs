//! The telephone keypad of ITU-T E.161, and the ways in which a thumb slips on it.
//!
//! This file does not know words or farms.

/// Letters of the keys 2 to 9 (ITU-T E.161, figure 2).
const KEYS: [(u8, &str); 8] = [
    (2, "abc"),
    (3, "def"),
    (4, "ghi"),
    (5, "jkl"),
    (6, "mno"),
    (7, "pqrs"),
    (8, "tuv"),
    (9, "wxyz"),
];

/// The key and the number of presses (from 0) that write a letter by multi-tap.
pub fn key_of(letter: char) -> Option<(u8, usize)> {
    let letter = letter.to_ascii_lowercase();
    KEYS.iter()
        .find_map(|(key, letters)| letters.find(letter).map(|press| (*key, press)))
}

/// The letters of a key.
pub fn letters_of(key: u8) -> &'static str {
    KEYS.iter()
        .find(|(k, _)| *k == key)
        .map_or("", |(_, letters)| letters)
}

/// The digits that write a word by predictive text.
pub fn digits_of(word: &str) -> Option<String> {
    word.chars()
        .map(|c| key_of(c).map(|(key, _)| char::from(b'0' + key)))
        .collect()
}

/// One press too many or too few on the same key, in the letter's own case.
pub fn one_press_off(letter: char, too_many: bool) -> Option<char> {
    let (key, press) = key_of(letter)?;
    let letters = letters_of(key);
    let n = letters.len();
    let slipped = letters
        .chars()
        .nth((press + if too_many { 1 } else { n - 1 }) % n)?;
    Some(in_case_of(letter, slipped))
}

/// The same number of presses on a key beside, above or below.
pub fn neighbours_of(letter: char) -> Vec<char> {
    let Some((key, press)) = key_of(letter) else {
        return Vec::new();
    };
    digits_beside(key)
        .into_iter()
        .filter_map(|k| letters_of(k).chars().nth(press))
        .map(|slipped| in_case_of(letter, slipped))
        .collect()
}

/// Digit keys beside, above or below a digit's key; 0 stands under 8.
pub fn digits_beside(digit: u8) -> Vec<u8> {
    let place = |d: u8| {
        if d == 0 {
            (3, 1)
        } else {
            (i32::from(d - 1) / 3, i32::from(d - 1) % 3)
        }
    };
    let (row, column) = place(digit);
    (0..=9)
        .filter(|other| {
            let (r, c) = place(*other);
            (r - row).abs() + (c - column).abs() == 1
        })
        .collect()
}

fn in_case_of(model: char, letter: char) -> char {
    if model.is_ascii_uppercase() {
        letter.to_ascii_uppercase()
    } else {
        letter
    }
}
