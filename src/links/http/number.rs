//! How networks write a sender's number, and what E.164 number is meant.
//!
//! `+255700000101` and `00255700000101` are always read. With the link's country calling code set, `255700000101` and the national form
//! `0700000101` are read too; without it they could mean somebody else's phone and are refused.

use crate::domain::phone::PhoneNumber;

/// The number that `text` means; `country` is the link's calling code, empty where none is set.
#[must_use]
pub fn read_number(text: &str, country: &str) -> Option<PhoneNumber> {
    let text = text.trim();
    if text.starts_with('+') {
        return PhoneNumber::new(text);
    }
    if let Some(rest) = text.strip_prefix("00") {
        return PhoneNumber::new(&format!("+{rest}"));
    }
    if country.is_empty() {
        return None;
    }
    if let Some(national) = text.strip_prefix('0') {
        return PhoneNumber::new(&format!("+{country}{national}"));
    }
    let national = text.strip_prefix(country)?;
    // A short rest would be a short code or a national number that happens to begin alike.
    let digits = national.bytes().filter(u8::is_ascii_digit).count();
    (digits >= NATIONAL_DIGITS_MIN)
        .then(|| PhoneNumber::new(&format!("+{text}")))
        .flatten()
}

/// Mobile numbers after the calling code have at least eight digits in every country that we know of (from memory).
const NATIONAL_DIGITS_MIN: usize = 8;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_forms_with_one_meaning_are_read() {
        let read = |text, country| read_number(text, country).map(|n| n.full().to_owned());
        let whole = Some("+255700000101".to_owned());
        assert_eq!(read("+255700000101", ""), whole);
        assert_eq!(read("+255 700-000-101", ""), whole);
        assert_eq!(read("00255700000101", ""), whole);
        assert_eq!(read("255700000101", ""), None);
        assert_eq!(read("0700000101", ""), None);
        assert_eq!(read("255700000101", "255"), whole);
        assert_eq!(read("0700000101", "255"), whole);
        assert_eq!(read("700000101", "255"), None);
        assert_eq!(read("2557000", "255"), None);
        assert_eq!(read("INFO", "255"), None);
        assert_eq!(read("", "255"), None);
        assert_eq!(read("+2557000001011234567", ""), None);
    }
}
