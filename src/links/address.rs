//! Who sent a message, or gets it: a phone number, a short code or a name, told apart before anything is stored.
//!
//! Reads what a network wrote (international, `00`, national with or without the trunk digit) with the link's country.
//! Does not know members, and does not decide who may write.

use crate::domain::phone::PhoneNumber;
use serde::Deserialize;
use serde::Serialize;
use std::fmt;

/// A number of 3 to 8 digits that only the own network knows, such as `22345`. Never turned into an international number.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct ShortCode(String);

impl ShortCode {
    /// From 3 to 8 digits; `None` for anything else. A leading zero is a national number's, not a code's.
    #[must_use]
    pub fn new(digits: &str) -> Option<Self> {
        let plausible =
            (3..=8).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
        (plausible && !digits.starts_with('0')).then(|| Self(digits.to_owned()))
    }

    /// The digits.
    #[must_use]
    pub fn digits(&self) -> &str {
        &self.0
    }
}

/// A name in place of a number, up to 11 characters of GSM-7 (3GPP TS 23.040 clause 9.1.2.5). It cannot be answered.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SenderName(String);

impl SenderName {
    /// `None` when empty, longer than 11 characters, without any letter or with a control character.
    #[must_use]
    pub fn new(name: &str) -> Option<Self> {
        let name = name.trim_matches(|c: char| c.is_whitespace() || c == '\0');
        let plausible = (1..=11).contains(&name.chars().count())
            && name.chars().any(char::is_alphabetic)
            && !name.chars().any(char::is_control);
        plausible.then(|| Self(name.to_owned()))
    }

    /// The name as sent.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Either end of a message.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Party {
    /// A phone, or anything else that has an international number. Only this can be a member.
    Phone(PhoneNumber),
    /// A service of the own network.
    ShortCode(ShortCode),
    /// A name.
    Name(SenderName),
}

/// Phones masked, codes and names as they are.
impl fmt::Display for Party {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Phone(number) => number.fmt(f),
            Self::ShortCode(code) => f.write_str(&code.0),
            Self::Name(name) => f.write_str(&name.0),
        }
    }
}

/// How the network says an address is to be read: the type of number of 3GPP TS 23.040 and SMPP.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NumberType {
    /// Not said.
    Unknown,
    /// With the country's calling code, `+` or not.
    International,
    /// Without the calling code.
    National,
    /// A code of the network, or an abbreviated number.
    Network,
    /// A name.
    Alphanumeric,
}

/// Why an address is no party. The address itself is not repeated: it may be a whole phone number, and this is logged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AddressError {
    /// Nothing there.
    #[error("the address is empty; expected a number such as +255700000101")]
    Empty,
    /// Not a number in any form that the country uses, and not a short code or a name.
    #[error(
        "{digits} digits are no number here; expected +{calling_code} and {least} to {most} digits, the same after 00, a national number, or a short code"
    )]
    NoNumber {
        /// How many digits there were.
        digits: usize,
        /// The link's country.
        calling_code: u16,
        /// Fewest digits after the calling code.
        least: u8,
        /// Most digits after the calling code.
        most: u8,
    },
    /// Neither a number nor a name.
    #[error("an address with characters that are neither digits nor a name of at most 11 letters")]
    NoName,
}

/// How numbers are written in a link's country.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Country {
    /// Calling code (ITU-T E.164), such as 255.
    pub calling_code: u16,
    /// A national number is dialled with a leading 0.
    pub trunk_zero: bool,
    /// Fewest digits after the calling code.
    pub least_digits: u8,
    /// Most digits after the calling code.
    pub most_digits: u8,
}

/// Mobile numbers by ISO 3166 code: calling code, leading 0 in national form, digits after the calling code. Checked against
/// the metadata of PyPI phonenumbers 9.0.43 by `tests/reference/countries.py`.
const COUNTRIES: [(&str, Country); 27] = [
    ("BD", country(880, true, 10, 10)),
    ("BF", country(226, false, 8, 8)),
    ("BI", country(257, false, 8, 8)),
    ("BJ", country(229, false, 10, 10)),
    ("CD", country(243, true, 9, 9)),
    ("CI", country(225, false, 10, 10)),
    ("CM", country(237, false, 9, 9)),
    ("ET", country(251, true, 9, 9)),
    ("GH", country(233, true, 9, 9)),
    ("ID", country(62, true, 9, 12)),
    ("IN", country(91, true, 10, 10)),
    ("KE", country(254, true, 9, 9)),
    ("MG", country(261, true, 9, 9)),
    ("ML", country(223, false, 8, 8)),
    ("MW", country(265, true, 9, 9)),
    ("MZ", country(258, false, 9, 9)),
    ("NG", country(234, true, 10, 10)),
    ("PH", country(63, true, 10, 10)),
    ("RW", country(250, true, 9, 9)),
    ("SN", country(221, false, 9, 9)),
    ("SS", country(211, true, 9, 9)),
    ("TG", country(228, false, 8, 8)),
    ("TZ", country(255, true, 9, 9)),
    ("UG", country(256, true, 9, 9)),
    ("ZA", country(27, true, 9, 9)),
    ("ZM", country(260, true, 9, 9)),
    ("ZW", country(263, true, 9, 9)),
];

const fn country(
    calling_code: u16,
    trunk_zero: bool,
    least_digits: u8,
    most_digits: u8,
) -> Country {
    Country {
        calling_code,
        trunk_zero,
        least_digits,
        most_digits,
    }
}

impl Country {
    /// By ISO 3166 code, such as `TZ`; `None` for one that is not listed, whose four values can be set instead.
    #[must_use]
    pub fn by_code(iso: &str) -> Option<Self> {
        COUNTRIES
            .iter()
            .find(|(code, _)| code.eq_ignore_ascii_case(iso))
            .map(|(_, c)| *c)
    }

    /// By what the settings say: an ISO code or a calling code. One that is not listed has trunk zeros and 8 to 12 digits (no country that we know
    /// of has fewer; from memory). None where the setting is empty or neither.
    #[must_use]
    pub fn of_setting(text: &str) -> Option<Self> {
        if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
            return Self::by_code(text);
        }
        let calling_code: u16 = text.parse().ok().filter(|code| (1..=999).contains(code))?;
        let listed = COUNTRIES
            .iter()
            .map(|(_, listed)| *listed)
            .find(|listed| listed.calling_code == calling_code);
        Some(listed.unwrap_or(country(calling_code, true, 8, 12)))
    }

    /// ISO codes of the countries listed.
    pub fn codes() -> impl Iterator<Item = &'static str> {
        COUNTRIES.iter().map(|(code, _)| *code)
    }

    /// Reads an address as the network wrote it.
    ///
    /// # Errors
    /// Empty, or neither number, short code nor name.
    pub fn read(self, written: &str, kind: NumberType) -> Result<Party, AddressError> {
        let written = written.trim_matches(|c: char| c.is_whitespace() || c == '\0');
        if written.is_empty() {
            return Err(AddressError::Empty);
        }
        let numeric = written
            .trim_start_matches('+')
            .chars()
            .all(|c| c.is_ascii_digit() || " -().".contains(c));
        if kind == NumberType::Alphanumeric || !numeric {
            return self.read_name(written);
        }
        let plus = written.starts_with('+');
        let digits: String = written.chars().filter(char::is_ascii_digit).collect();
        self.read_digits(&digits, plus, kind)
            .ok_or(AddressError::NoNumber {
                digits: digits.len(),
                calling_code: self.calling_code,
                least: self.least_digits,
                most: self.most_digits,
            })
    }

    fn read_name(self, written: &str) -> Result<Party, AddressError> {
        // Some networks write a short code or a number as a name.
        if written
            .trim_start_matches('+')
            .bytes()
            .all(|b| b.is_ascii_digit())
        {
            return self.read(written, NumberType::Unknown);
        }
        SenderName::new(written)
            .map(Party::Name)
            .ok_or(AddressError::NoName)
    }

    fn read_digits(self, digits: &str, plus: bool, kind: NumberType) -> Option<Party> {
        if plus {
            return self.international(digits);
        }
        // 00 and 000 lead abroad whatever the country's own prefix is; no calling code begins with 0 (E.164).
        if let Some(rest) = digits.strip_prefix("00") {
            return self.international(rest.trim_start_matches('0'));
        }
        match kind {
            // Message centres mark short codes as international too.
            NumberType::International if digits.len() > 8 => {
                return self.international(digits);
            }
            NumberType::National => return self.national(digits),
            NumberType::Network => {
                if let Some(code) = ShortCode::new(digits) {
                    return Some(Party::ShortCode(code));
                }
            }
            _ => (),
        }
        let calling_code = self.calling_code.to_string();
        if let Some(rest) = digits.strip_prefix(calling_code.as_str())
            && self.has_length(rest)
            && !(self.trunk_zero && rest.starts_with('0'))
        {
            return self.international(digits);
        }
        // A national number needs its own length; anything shorter is a code, anything longer is nobody.
        self.national(digits)
            .or_else(|| ShortCode::new(digits).map(Party::ShortCode))
    }

    /// Digits that begin with a calling code. Of the own country, the length must fit; other countries' are not known.
    fn international(self, digits: &str) -> Option<Party> {
        let calling_code = self.calling_code.to_string();
        if let Some(rest) = digits.strip_prefix(calling_code.as_str()) {
            // `+255 0712…` is a common slip: the trunk digit stays at home.
            let rest = if self.trunk_zero {
                rest.strip_prefix('0').unwrap_or(rest)
            } else {
                rest
            };
            if !self.has_length(rest) {
                return None;
            }
            return PhoneNumber::new(&format!("+{calling_code}{rest}")).map(Party::Phone);
        }
        PhoneNumber::new(&format!("+{digits}")).map(Party::Phone)
    }

    fn national(self, digits: &str) -> Option<Party> {
        let rest = if self.trunk_zero {
            digits.strip_prefix('0').unwrap_or(digits)
        } else {
            digits
        };
        if !self.has_length(rest) || (self.trunk_zero && rest.starts_with('0')) {
            return None;
        }
        PhoneNumber::new(&format!("+{}{rest}", self.calling_code)).map(Party::Phone)
    }

    fn has_length(self, rest: &str) -> bool {
        (usize::from(self.least_digits)..=usize::from(self.most_digits)).contains(&rest.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_not_a_number_and_an_error_does_not_repeat_the_address() {
        let tz = Country::by_code("tz").unwrap();
        assert!(matches!(
            tz.read("FRANCOIS", NumberType::Alphanumeric),
            Ok(Party::Name(_))
        ));
        let refused = tz.read("+25570000010", NumberType::Unknown).unwrap_err();
        assert!(!refused.to_string().contains("5570000010"), "{refused}");
        assert_eq!(
            tz.read(" \0", NumberType::Unknown),
            Err(AddressError::Empty)
        );
    }
}
