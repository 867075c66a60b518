//! Text to reading and reply to text: the two places where the counter touches a language.
//!
//! This room holds the word lists and the phrasebook; it knows no word itself.

use crate::desk::phrase::Phrasebook;
use crate::desk::reply::Reply;
use crate::domain::said::Reading;
use crate::grammar::Lexicon;
use std::sync::{Arc, OnceLock};

/// What is needed to read and to answer.
#[derive(Debug)]
pub(crate) struct Wording {
    lexicon: &'static Lexicon,
    phrasebook: Phrasebook,
}

impl Wording {
    /// The languages built in, read once a process.
    #[must_use]
    pub(crate) fn builtin() -> Arc<Self> {
        static BUILTIN: OnceLock<Arc<Wording>> = OnceLock::new();
        let wording = BUILTIN.get_or_init(|| {
            Arc::new(Self {
                lexicon: Lexicon::builtin(),
                phrasebook: Phrasebook::builtin(),
            })
        });
        Arc::clone(wording)
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
