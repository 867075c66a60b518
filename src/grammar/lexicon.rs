//! The words of every language and what they mean.
//!
//! The files of `grammar/words/` are embedded when the program is built; adding a language is adding a file. Words of all languages are read
//! whatever a member's language is. This room does not know how words make a line.

use crate::domain::lang::Lang;
use crate::domain::said::Verb;
use crate::grammar::keypad::{self, Near};
use crate::grammar::meanings::{Entry, Manner, Meaning, day, kind, unit};
use crate::grammar::registry;
use crate::grammar::roles::{Role, Roles};
use crate::grammar::word_file::File;
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use std::sync::LazyLock;

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/words");
static BUILTIN: LazyLock<Lexicon> = LazyLock::new(|| {
    let texts = FILES.files().filter_map(|f| f.contents_utf8());
    Lexicon::from_texts(texts).expect("the embedded word files are read by a test")
});

/// Why words do not make a lexicon.
#[derive(Debug, thiserror::Error)]
pub enum LexiconError {
    /// The file is no word file.
    #[error("a word file is not readable: {0}. Expected the tables of grammar/words/en.toml")]
    File(#[from] toml::de::Error),
    /// A language code.
    #[error("`{0}` is no language code: expected two letters such as `en`")]
    Lang(String),
    /// A key of the verbs table.
    #[error("`{0}` is no verb: expected a key such as `eggs`")]
    Verb(String),
    /// One word with two meanings.
    #[error("`{0}` would mean two things: choose another word")]
    Clash(String),
    /// A confidence without its word.
    #[error("`{0}` has a confidence but no meaning: expected a word of the same file")]
    Confidence(String),
    /// A list of months that is none.
    #[error("expected twelve months, January first, but found {0}")]
    Months(usize),
    /// A word that the reader could never meet.
    #[error("`{0}` is no word: expected lower-case letters a to z, at least two, as in `bait`")]
    Word(String),
}

/// The words of every language.
#[derive(Clone, Debug, Default)]
pub struct Lexicon {
    words: BTreeMap<String, Entry>,
    preferred: BTreeMap<(Lang, Verb), String>,
    lang_names: BTreeMap<String, Lang>,
    negative_starts: Vec<String>,
    verb_starts: Vec<String>,
    months: BTreeMap<String, u8>,
    roles: Roles,
    probable: BTreeMap<String, Verb>,
}

impl Lexicon {
    /// The words that are built in.
    #[must_use]
    pub fn builtin() -> &'static Self {
        &BUILTIN
    }

    /// From the texts of word files.
    ///
    /// # Errors
    /// The first file, key or word that does not fit, and words that would mean two things.
    pub fn from_texts<'a>(texts: impl Iterator<Item = &'a str>) -> Result<Self, LexiconError> {
        let mut lexicon = Self::default();
        for text in texts {
            lexicon.add_file(&toml::from_str(text)?)?;
        }
        Ok(lexicon)
    }

    /// These words and a cooperative's own, which must not clash with them.
    ///
    /// # Errors
    /// A synonym that has a meaning already, or that is no word.
    pub fn with_synonyms(
        &self,
        lang: Lang,
        synonyms: &[(String, Verb)],
    ) -> Result<Self, LexiconError> {
        let mut lexicon = self.clone();
        for (word, verb) in synonyms {
            // One letter may be a cage, and marks or capitals never reach the lookup.
            if word.len() < 2 || !word.bytes().all(|b| b.is_ascii_lowercase()) {
                return Err(LexiconError::Word(word.clone()));
            }
            lexicon.add(word, lang, Meaning::Verb(*verb, Manner::Plain))?;
        }
        Ok(lexicon)
    }

    /// These words and a cooperative's own; one that has got another meaning here since it was taught is left out.
    #[must_use]
    pub fn with_own<'w>(&self, own: impl Iterator<Item = (&'w str, Verb, Lang)>) -> Self {
        let mut lexicon = self.clone();
        for (word, verb, lang) in own {
            let meaning = Meaning::Verb(verb, Manner::Plain);
            // A clash leaves the word as it was.
            lexicon.add(word, lang, meaning).ok();
        }
        lexicon
    }

    /// The word of a verb that help and echoes use; English where the language has none.
    #[must_use]
    pub fn word(&self, verb: Verb, lang: Lang) -> &str {
        self.preferred
            .get(&(lang, verb))
            .or_else(|| self.preferred.get(&(Lang::EN, verb)))
            .map_or_else(|| registry::of(verb).key, String::as_str)
    }

    /// The languages that have words, in the order of their codes.
    #[must_use]
    pub fn langs(&self) -> Vec<Lang> {
        let mut langs: Vec<Lang> = self.preferred.keys().map(|(lang, _)| *lang).collect();
        langs.dedup();
        langs
    }

    /// The language of a name (`swahili`) or code (`sw`), lower case.
    #[must_use]
    pub fn lang_named(&self, name: &str) -> Option<Lang> {
        self.lang_names.get(name).copied()
    }

    /// What a folded word means.
    #[must_use]
    pub fn get(&self, word: &str) -> Option<Entry> {
        self.words.get(word).copied()
    }

    /// The work that a word probably means, which is asked and never taken for granted.
    #[must_use]
    pub fn probable(&self, word: &str) -> Option<Verb> {
        self.probable.get(word).copied()
    }

    /// The month of a name, from 1.
    #[must_use]
    pub fn month(&self, word: &str) -> Option<u8> {
        self.months.get(word).copied()
    }

    /// Whether a word plays that role where its neighbours are right for it.
    #[must_use]
    pub fn plays(&self, role: Role, word: &str) -> bool {
        self.roles.plays(role, word)
    }

    /// With how many of these words a phrase of that role begins.
    #[must_use]
    pub fn begins<'t>(
        &self,
        role: Role,
        words: impl Iterator<Item = &'t str> + Clone,
    ) -> Option<usize> {
        self.roles.begins(role, words)
    }

    /// Every word with its entry, in alphabetical order.
    pub fn entries(&self) -> impl Iterator<Item = (&str, Entry)> {
        self.words
            .iter()
            .map(|(word, entry)| (word.as_str(), *entry))
    }

    /// Whether an unlisted word starts as a language's negated or future verbs do (`sijaweka`).
    #[must_use]
    pub fn is_negated(&self, word: &str) -> bool {
        // Shorter words are names and nouns more often than verbs.
        const SHORTEST: usize = 6;
        word.len() >= SHORTEST
            && self
                .negative_starts
                .iter()
                .any(|s| word.starts_with(s.as_str()))
    }

    /// The one keyword that an unlisted word is near to, if there is exactly one; see [`keypad`].
    #[must_use]
    pub fn nearest(&self, typed: &str) -> Option<(&str, Entry)> {
        let rest = self.rest(typed);
        let keywords = self.words.iter().filter_map(|(word, entry)| {
            Some((
                word.as_str(),
                *entry,
                self.tolerance(entry.meaning, word, typed, rest)?,
            ))
        });
        let mut best: Option<(&str, Entry, Near)> = None;
        for (word, entry, most) in keywords {
            let Some(near) = keypad::near(typed, word, most) else {
                continue;
            };
            match best {
                Some((_, held, _)) if held.meaning != entry.meaning => return None,
                Some((_, _, held)) if held <= near => (),
                _ => best = Some((word, entry, near)),
            }
        }
        // `retrre` is as near to `retire`, which no slip may be taken for, as to `leurre`.
        best.filter(|(_, held, near)| {
            !self.words.iter().any(|(word, entry)| {
                entry.meaning != held.meaning
                    && self.tolerance(entry.meaning, word, typed, rest).is_some()
                    && keypad::near(typed, word, near.0).is_some()
            })
        })
        .map(|(word, entry, _)| (word, entry))
    }

    /// How far `typed`, and its `rest` after such a start, may be from a keyword: of two that start as many verbs do (`nimekagua`, `nimefagia`) only
    /// the rest tells.
    fn tolerance(
        &self,
        meaning: Meaning,
        word: &str,
        typed: &str,
        rest: Option<&str>,
    ) -> Option<u8> {
        let rests = rest.and_then(|rest| Some((self.rest(word)?, rest)));
        let (word, typed) = rests.unwrap_or((word, typed));
        keypad::tolerance(meaning, word, typed)
    }

    /// What stands after a start that many verbs of a language share.
    fn rest<'w>(&self, word: &'w str) -> Option<&'w str> {
        let starts = self.verb_starts.iter();
        let rests = starts.filter_map(|start| word.strip_prefix(start.as_str()));
        rests.min_by_key(|rest| rest.len())
    }

    fn add_file(&mut self, file: &File) -> Result<(), LexiconError> {
        let lang = Lang::new(&file.code).ok_or_else(|| LexiconError::Lang(file.code.clone()))?;
        for name in &file.names {
            if self
                .lang_names
                .insert(name.clone(), lang)
                .is_some_and(|other| other != lang)
            {
                return Err(LexiconError::Clash(name.clone()));
            }
        }
        for (key, words) in &file.verbs {
            let verb = registry::by_key(key).ok_or_else(|| LexiconError::Verb(key.clone()))?;
            for word in words {
                // Two words (`weka pupa`) show how the verb is said; the parts are listed by themselves.
                if !word.contains(' ') {
                    self.add(word, lang, Meaning::Verb(verb, file.special.manner(word)))?;
                }
            }
            if let Some(first) = words.first() {
                self.preferred.insert((lang, verb), first.clone());
            }
        }
        for (table, read) in [
            (&file.days, day as fn(&str) -> Option<Meaning>),
            (&file.units, unit),
            (&file.words, kind),
        ] {
            for (key, words) in table {
                let meaning = read(key).ok_or_else(|| LexiconError::Verb(key.clone()))?;
                for word in words {
                    self.add(word, lang, meaning)?;
                }
            }
        }
        for (key, words) in &file.probable {
            let verb = registry::by_key(key).ok_or_else(|| LexiconError::Verb(key.clone()))?;
            self.probable
                .extend(words.iter().map(|word| (word.clone(), verb)));
        }
        if file.months.len() != 12 {
            return Err(LexiconError::Months(file.months.len()));
        }
        for (month, ways) in (1_u8..).zip(&file.months) {
            for word in ways.split(' ') {
                self.add(word, lang, Meaning::Measure)?;
                self.months.insert(word.to_owned(), month);
            }
        }
        for (role, phrases) in &file.roles {
            self.roles.add(*role, phrases);
        }
        for word in file.confidence.likely.iter().chain(&file.confidence.unsure) {
            if !self.words.contains_key(word) && !self.probable.contains_key(word) {
                return Err(LexiconError::Confidence(word.clone()));
            }
        }
        self.negative_starts
            .extend(file.negative_starts.iter().cloned());
        self.verb_starts.extend(file.verb_starts.iter().cloned());
        Ok(())
    }

    fn add(&mut self, word: &str, lang: Lang, meaning: Meaning) -> Result<(), LexiconError> {
        if word.is_empty() || !word.bytes().all(|b| b.is_ascii_lowercase()) {
            return Err(LexiconError::Word(word.to_owned()));
        }
        match self.words.get(word) {
            Some(held) if held.meaning != meaning => Err(LexiconError::Clash(word.to_owned())),
            Some(_) => Ok(()),
            None => {
                self.words.insert(word.to_owned(), Entry { meaning, lang });
                Ok(())
            }
        }
    }
}
