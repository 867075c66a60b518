//! The texts of one language, read from its reply file (Project Fluent).
//!
//! A file that lacks a text, or has one that nothing says, is refused as a whole. This room does not know what a reply is.

use crate::desk::phrase::keys::Key;
use crate::domain::lang::Lang;
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use std::fmt;
use unic_langid::LanguageIdentifier;

/// What is wrong with a reply file.
#[derive(Debug, thiserror::Error)]
pub enum WordsError {
    /// The file is not named after a language.
    #[error("{0}: expected a file named after a language, like en.ftl")]
    Name(String),
    /// The file does not parse.
    #[error("{0}.ftl: expected `key = text` lines as Project Fluent writes them: {1}")]
    Syntax(Lang, String),
    /// The file defines a text twice.
    #[error("{0}.ftl: expected each key once: {1}")]
    Twice(Lang, String),
    /// Keys without a text in this language.
    #[error("{0}.ftl: expected a text for every key, but it lacks {1}")]
    Missing(Lang, String),
    /// There is no language at all, or not the one that every member starts with.
    #[error("expected en.ftl among the reply files")]
    NoEnglish,
}

/// A value in a text: words, or a number where the language chooses its form by it.
pub(super) type Value = FluentValue<'static>;

/// One language's texts.
pub(super) struct Words {
    bundle: FluentBundle<FluentResource>,
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Words")
            .field("locales", &self.bundle.locales)
            .finish()
    }
}

impl Words {
    /// Reads a whole reply file.
    pub(super) fn parse(lang: Lang, source: &str) -> Result<Self, WordsError> {
        let resource = FluentResource::try_new(source.to_owned()).map_err(|(_, errors)| {
            let first = errors.first().map(ToString::to_string);
            WordsError::Syntax(lang, first.unwrap_or_default())
        })?;
        let locale: LanguageIdentifier = lang.to_string().parse().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![locale]);
        // Isolation marks are outside GSM-7 and would cut a part to 70 characters.
        bundle.set_use_isolating(false);
        bundle.add_resource(resource).map_err(|errors| {
            let first = errors.first().map(ToString::to_string);
            WordsError::Twice(lang, first.unwrap_or_default())
        })?;
        let has = |key: &Key| {
            bundle
                .get_message(key.name())
                .is_some_and(|message| message.value().is_some())
        };
        let missing: Vec<&str> = Key::ALL
            .iter()
            .filter(|key| !has(key))
            .map(|key| key.name())
            .collect();
        if missing.is_empty() {
            Ok(Self { bundle })
        } else {
            Err(WordsError::Missing(lang, missing.join(", ")))
        }
    }

    /// The text of `key` with `values` in their places.
    pub(super) fn say(&self, key: Key, values: &[(&'static str, Value)]) -> String {
        let args: FluentArgs = values
            .iter()
            .map(|(name, value)| (*name, value.clone()))
            .collect();
        let message = self.bundle.get_message(key.name());
        let Some(pattern) = message.and_then(|message| message.value()) else {
            // `parse` refused every file in which this could happen.
            return String::new();
        };
        let mut errors = Vec::new();
        self.bundle
            .format_pattern(pattern, Some(&args), &mut errors)
            .into_owned()
    }

    /// The text of `key` where nothing is to be filled in.
    pub(super) fn plain(&self, key: Key) -> String {
        self.say(key, &[])
    }
}
