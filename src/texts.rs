//! The texts of one language, read from a file of its own (Project Fluent): replies, menus, pages, cards.
//!
//! A file that lacks a text, or has one that nothing says, is refused as a whole. This room does not know what the texts are for.

use crate::domain::lang::Lang;
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use std::collections::BTreeMap;
use std::fmt;
use unic_langid::LanguageIdentifier;

/// What is wrong with a file of texts.
#[derive(Debug, thiserror::Error)]
pub enum TextsError {
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
    #[error("expected en.ftl among the files of texts")]
    NoEnglish,
}

/// A value in a text: words, or a number where the language chooses its form by it.
pub type Value = FluentValue<'static>;

/// One language's texts.
pub struct Texts {
    bundle: FluentBundle<FluentResource>,
}

impl fmt::Debug for Texts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Texts")
            .field("locales", &self.bundle.locales)
            .finish()
    }
}

impl Texts {
    /// Reads a whole file, which must have a text for each of `keys`.
    ///
    /// # Errors
    /// When it does not parse, says a key twice, or lacks one.
    pub fn parse(lang: Lang, source: &str, keys: &[&str]) -> Result<Self, TextsError> {
        let resource = FluentResource::try_new(source.to_owned()).map_err(|(_, errors)| {
            let first = errors.first().map(ToString::to_string);
            TextsError::Syntax(lang, first.unwrap_or_default())
        })?;
        let locale: LanguageIdentifier = lang.to_string().parse().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![locale]);
        // Isolation marks are outside GSM-7 and would cut a part to 70 characters.
        bundle.set_use_isolating(false);
        bundle.add_resource(resource).map_err(|errors| {
            let first = errors.first().map(ToString::to_string);
            TextsError::Twice(lang, first.unwrap_or_default())
        })?;
        let has = |key: &str| {
            bundle
                .get_message(key)
                .is_some_and(|message| message.value().is_some())
        };
        let missing: Vec<&str> = keys.iter().filter(|key| !has(key)).copied().collect();
        if missing.is_empty() {
            Ok(Self { bundle })
        } else {
            Err(TextsError::Missing(lang, missing.join(", ")))
        }
    }

    /// Reads a folder's files, each a name like `en.ftl` and its contents; English must be among them.
    ///
    /// # Errors
    /// As [`Texts::parse`], or when a file is not named after a language.
    pub fn parse_all<'f>(
        files: impl Iterator<Item = (&'f str, &'f str)>,
        keys: &[&str],
    ) -> Result<BTreeMap<Lang, Self>, TextsError> {
        let mut texts = BTreeMap::new();
        for (name, source) in files {
            let lang = name.strip_suffix(".ftl").and_then(Lang::new);
            let lang = lang.ok_or_else(|| TextsError::Name(name.to_owned()))?;
            texts.insert(lang, Self::parse(lang, source, keys)?);
        }
        if texts.contains_key(&Lang::EN) {
            Ok(texts)
        } else {
            Err(TextsError::NoEnglish)
        }
    }

    /// The text of `key` with `values` in their places; empty where the file has no such key, which [`Texts::parse`] refuses.
    #[must_use]
    pub fn say(&self, key: &str, values: &[(&'static str, Value)]) -> String {
        let args: FluentArgs = values
            .iter()
            .map(|(name, value)| (*name, value.clone()))
            .collect();
        let message = self.bundle.get_message(key);
        let Some(pattern) = message.and_then(|message| message.value()) else {
            return String::new();
        };
        let mut errors = Vec::new();
        self.bundle
            .format_pattern(pattern, Some(&args), &mut errors)
            .into_owned()
    }
}

/// The files of an embedded folder, by name.
pub fn embedded<'d>(
    folder: &'d include_dir::Dir<'d>,
) -> impl Iterator<Item = (&'d str, &'d str)> + 'd {
    folder.files().filter_map(|file| {
        let name = file.path().file_name()?.to_str()?;
        Some((name, file.contents_utf8()?))
    })
}
