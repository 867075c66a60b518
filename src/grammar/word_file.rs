//! The shape of a word file: the tables of `grammar/words/en.toml`.
//!
//! This room does not know what the words mean.

use crate::grammar::meanings::Manner;
use crate::grammar::roles::Role;
use serde::Deserialize;
use std::collections::BTreeMap;

/// One word file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) code: String,
    pub(super) names: Vec<String>,
    pub(super) verbs: BTreeMap<String, Vec<String>>,
    pub(super) days: BTreeMap<String, Vec<String>>,
    pub(super) units: BTreeMap<String, Vec<String>>,
    pub(super) words: BTreeMap<String, Vec<String>>,
    pub(super) negative_starts: Vec<String>,
    pub(super) verb_starts: Vec<String>,
    pub(super) months: Vec<String>,
    pub(super) roles: BTreeMap<Role, Vec<String>>,
    pub(super) probable: BTreeMap<String, Vec<String>>,
    pub(super) special: Special,
    pub(super) confidence: Confidence,
}

/// Words for native speakers to look at first. The reader treats all words alike.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Confidence {
    pub(super) likely: Vec<String>,
    pub(super) unsure: Vec<String>,
}

/// Words of verbs that are not the verb by themselves.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Special {
    pub(super) loose_retire: Vec<String>,
    pub(super) six_hour_clock: Vec<String>,
    pub(super) yes_when_alone: Vec<String>,
}

impl Special {
    /// How a verb's word is meant.
    pub(super) fn manner(&self, word: &str) -> Manner {
        let has = |list: &[String]| list.iter().any(|w| w == word);
        if has(&self.loose_retire) {
            Manner::Loose
        } else if has(&self.six_hour_clock) {
            Manner::SixHourClock
        } else if has(&self.yes_when_alone) {
            Manner::YesWhenAlone
        } else {
            Manner::Plain
        }
    }
}
