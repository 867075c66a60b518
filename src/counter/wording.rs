//! Text to reading and reply to text: the two places where the counter touches a language.
//!
//! This room holds the word lists and the phrasebook; it knows no word itself.

use crate::desk::reply::Reply;
use crate::domain::said::Reading;

/// What is needed to read and to answer.
#[derive(Debug)]
pub(crate) struct Wording;

impl Wording {
    /// The languages built in.
    #[must_use]
    pub(crate) const fn builtin() -> Self {
        Self
    }

    /// What a text says.
    #[must_use]
    pub(crate) fn read(&self, text: &str) -> Reading {
        let _ = text;
        Reading::default()
    }

    /// A reply in words: one part.
    #[must_use]
    pub(crate) fn render(&self, reply: &Reply) -> String {
        let _ = reply;
        String::new()
    }
}
