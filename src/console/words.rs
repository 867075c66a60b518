//! The texts of the pages, one Project Fluent file for each language in `grammar/pages/`.
//!
//! A text that a language lacks is shown in English; a test finds it first. This room does not know what a page is about.

use crate::domain::lang::Lang;
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use unic_langid::LanguageIdentifier;

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/pages");

/// A value in a text.
pub type Value = FluentValue<'static>;

/// All languages.
pub struct Texts(BTreeMap<Lang, FluentBundle<FluentResource>>);

impl std::fmt::Debug for Texts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.0.keys()).finish()
    }
}

impl Texts {
    /// The languages that the program was built with; a file that does not read is left out, which a test finds.
    #[must_use]
    pub fn builtin() -> Self {
        let mut texts = BTreeMap::new();
        for file in FILES.files() {
            let name = file.path().file_stem().and_then(|name| name.to_str());
            let lang = name.and_then(Lang::new);
            if let (Some(lang), Some(source)) = (lang, file.contents_utf8())
                && let Some(bundle) = bundle(lang, source)
            {
                texts.insert(lang, bundle);
            }
        }
        Self(texts)
    }

    /// The languages there are, by code.
    pub fn langs(&self) -> impl Iterator<Item = Lang> {
        self.0.keys().copied()
    }

    /// The texts as one reader reads them.
    #[must_use]
    pub fn of(&self, lang: Lang) -> Words<'_> {
        Words { texts: self, lang }
    }
}

fn bundle(lang: Lang, source: &str) -> Option<FluentBundle<FluentResource>> {
    let resource = FluentResource::try_new(source.to_owned()).ok()?;
    let locale: LanguageIdentifier = lang.to_string().parse().unwrap_or_default();
    let mut bundle = FluentBundle::new_concurrent(vec![locale]);
    // Every language here is written from left to right.
    bundle.set_use_isolating(false);
    bundle.add_resource(resource).ok()?;
    Some(bundle)
}

/// One language's texts.
#[derive(Clone, Copy, Debug)]
pub struct Words<'t> {
    texts: &'t Texts,
    /// The language.
    pub lang: Lang,
}

impl Words<'_> {
    /// The text of `key`; the key itself where no language has one.
    #[must_use]
    pub fn t(&self, key: &str) -> String {
        self.say(key, &[])
    }

    /// The text of `key` with values in their places.
    #[must_use]
    pub fn say(&self, key: &str, values: &[(&'static str, Value)]) -> String {
        let args: FluentArgs = values
            .iter()
            .map(|(name, value)| (*name, value.clone()))
            .collect();
        for lang in [self.lang, Lang::EN] {
            let Some(bundle) = self.texts.0.get(&lang) else {
                continue;
            };
            let message = bundle.get_message(key);
            if let Some(pattern) = message.and_then(|message| message.value()) {
                let mut errors = Vec::new();
                let text = bundle.format_pattern(pattern, Some(&args), &mut errors);
                return text.into_owned();
            }
        }
        key.to_owned()
    }

    /// Whether this language itself has the text.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        let bundle = self.texts.0.get(&self.lang);
        bundle.is_some_and(|bundle| bundle.get_message(key).is_some_and(|m| m.value().is_some()))
    }
}
