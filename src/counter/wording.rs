//! Text to reading and reply to text: the two places where the counter touches a language.
//!
//! This room holds the word lists and the phrasebook; it knows no word itself.

use crate::desk::phrase::Phrasebook;
use crate::desk::reply::Reply;
use crate::domain::said::Reading;
use crate::grammar::Lexicon;

/// What is needed to read and to answer.
#[derive(Debug)]
pub(crate) struct Wording {
    lexicon: &'static Lexicon,
    phrasebook: Phrasebook,
}

impl Wording {
    /// The languages built in.
    #[must_use]
    pub(crate) fn builtin() -> Self {
        Self {
            lexicon: Lexicon::builtin(),
            phrasebook: Phrasebook::builtin(),
        }
    }

    /// What a text says.
    #[must_use]
    pub(crate) fn read(&self, text: &str) -> Reading {
        crate::grammar::read(text, self.lexicon)
    }

    /// A reply in words: one part.
    #[must_use]
    pub(crate) fn render(&self, reply: &Reply) -> String {
        self.phrasebook.render(reply)
    }
}
