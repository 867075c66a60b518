//! A member's language, by its two-letter ISO 639-1 code.
//!
//! This room does not know which languages the gateway speaks; the files in `grammar/` decide that.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Two lower-case letters: `en`, `sw`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Lang([u8; 2]);

impl Lang {
    /// English: every member's language until `lang` says otherwise.
    pub const EN: Self = Self(*b"en");

    /// From a two-letter code in either case.
    #[must_use]
    pub fn new(code: &str) -> Option<Self> {
        match *code.as_bytes() {
            [a, b] if a.is_ascii_alphabetic() && b.is_ascii_alphabetic() => {
                Some(Self([a.to_ascii_lowercase(), b.to_ascii_lowercase()]))
            }
            _ => None,
        }
    }
}

impl fmt::Display for Lang {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", char::from(self.0[0]), char::from(self.0[1]))
    }
}

impl fmt::Debug for Lang {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}
