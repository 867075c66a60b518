//! Phone numbers in international form (ITU-T E.164), and how they are shown to people who need not know them.
//!
//! National forms, short codes and names as senders are read by the links, which know their country.

use serde::{Deserialize, Serialize};
use std::fmt;

/// `+` and 7 to 15 digits (E.164 allows at most 15). `Display` and `Debug` mask it; [`PhoneNumber::full`] does not.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct PhoneNumber(String);

impl PhoneNumber {
    /// From `+255700000101`, spaces and dashes allowed; `None` for anything else.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        let digits: String = text
            .trim()
            .strip_prefix('+')?
            .chars()
            .filter(|c| !matches!(c, ' ' | '-'))
            .collect();
        let plausible = (7..=15).contains(&digits.len())
            && digits.bytes().all(|b| b.is_ascii_digit())
            && !digits.starts_with('0');
        plausible.then(|| Self(format!("+{digits}")))
    }

    /// The whole number, for links and for people who may see it. Never for logs.
    #[must_use]
    pub fn full(&self) -> &str {
        &self.0
    }
}

/// Country digits and the last two: `+255*******01`.
impl fmt::Display for PhoneNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (head, tail) = (&self.0[..4], &self.0[self.0.len() - 2..]);
        write!(f, "{head}{}{tail}", "*".repeat(self.0.len() - 6))
    }
}

impl fmt::Debug for PhoneNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]
    use super::*;

    #[test]
    fn numbers_are_masked_when_shown() {
        let number = PhoneNumber::new("+255 700 000 101").unwrap();
        assert_eq!(number.full(), "+255700000101");
        assert_eq!(
            format!("{number} {number:?}"),
            "+255*******01 +255*******01"
        );
        assert_eq!(PhoneNumber::new("0700000101"), None);
        assert_eq!(PhoneNumber::new("+12345"), None);
    }
}
