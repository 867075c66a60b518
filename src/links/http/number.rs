//! How networks write a sender's number, and who is meant.
//!
//! `+255700000101` and `00255700000101` are always read. With the link's country set, `255700000101` and the national form `0700000101` are read
//! too; without it they could mean somebody else's phone and are refused. Short codes and names are told apart: they are never answered.

use crate::domain::phone::PhoneNumber;
use crate::links::address::{AddressError, Country, NumberType, Party, SenderName, ShortCode};

/// Who `text` is; `country` is the link's, a calling code such as `255` or an ISO code such as `TZ`; empty where none is set.
///
/// # Errors
/// It is no number, short code or name that this link can have.
pub fn read_party(text: &str, country: &str) -> Result<Party, AddressError> {
    if let Some(country) = Country::of_setting(country) {
        return country.read(text, NumberType::Unknown);
    }
    let text = text.trim();
    let international = text.strip_prefix("00").map(|rest| format!("+{rest}"));
    let written = international.as_deref().unwrap_or(text);
    let phone = PhoneNumber::new(written).filter(|_| written.starts_with('+'));
    if let Some(phone) = phone {
        return Ok(Party::Phone(phone));
    }
    if let Some(code) = ShortCode::new(text) {
        return Ok(Party::ShortCode(code));
    }
    SenderName::new(text)
        .map(Party::Name)
        .ok_or(AddressError::NoName)
}

/// The phone that `text` means, where it is one.
#[must_use]
pub fn read_number(text: &str, country: &str) -> Option<PhoneNumber> {
    match read_party(text, country) {
        Ok(Party::Phone(number)) => Some(number),
        Ok(Party::ShortCode(_) | Party::Name(_)) | Err(_) => None,
    }
}

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
        for country in ["255", "TZ"] {
            assert_eq!(read("255700000101", country), whole);
            assert_eq!(read("0700000101", country), whole);
            assert_eq!(read("700000101", country), whole);
            assert_eq!(read("2557000", country), None);
            assert_eq!(
                read("00254712345678", country).as_deref(),
                Some("+254712345678")
            );
        }
        // A country that is not listed: calling codes are read, lengths are not known.
        assert_eq!(read("9990700000101", "999"), None);
        assert_eq!(read("99970000010", "999").as_deref(), Some("+99970000010"));
        assert_eq!(read("070000010", "999").as_deref(), Some("+99970000010"));
        assert_eq!(read("INFO", "255"), None);
        assert_eq!(read("", "255"), None);
        assert_eq!(read("+2557000001011234567", ""), None);
    }

    #[test]
    fn short_codes_and_names_are_themselves() {
        for country in ["", "255"] {
            assert!(matches!(
                read_party("40123", country),
                Ok(Party::ShortCode(_))
            ));
            assert!(matches!(read_party("KILIMO", country), Ok(Party::Name(_))));
            assert!(read_party("a name far too long", country).is_err());
        }
    }
}
