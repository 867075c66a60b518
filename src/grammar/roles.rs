//! What a word may be beside others, whatever it means by itself: the ending of `5 th`, the `see you` of a farewell, the `sorry` that takes back.
//!
//! The lists stand in the word files; who looks at a neighbour says what comes of it. This room does not know any language's words.

use serde::Deserialize;
use std::collections::BTreeMap;

/// A part that a word or a few words play beside others. The names are the keys of a word file's `[roles]`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Before a date, and nothing by itself: `tarehe 5/3`.
    BeforeDate,
    /// After the number of a day: `5 th`.
    DayEnding,
    /// Between a day and its month: `5th of march`.
    OfMonth,
    /// Two days back in several words.
    TwoDaysBack,
    /// Before a number of days back: `il y a 2 jours`.
    DaysBack,
    /// Ends a line and says nothing of the day that may follow it.
    Farewell,
    /// Before a number, nearly so much: `karibu 12`; elsewhere it welcomes.
    Nearly,
    /// Says that there is none left, or more of something.
    NoMore,
    /// Between two numbers it takes the first one back.
    TakenBack,
    /// Between a number and the next cage it only binds.
    But,
    /// The last word of these says nothing: `you all`.
    PassedAfter,
    /// Says nothing before the work at the moat: `ant moat`.
    PassedBeforeMoat,
    /// Says nothing beside the traps: `set traps`.
    PassedBesideTraps,
    /// Says nothing before a line's first cage: `ants at C4`.
    PassedBeforeCage,
    /// A letter that is a small word and no cage's: `C4 a donne 12`.
    Article,
    /// Asks for a thing to do: `what`.
    TasksAsk,
    /// What it is asked with: `do`.
    TasksDo,
    /// What may stand beside them: `should i ... today`.
    TasksWith,
    /// How a question about how things are done begins.
    How,
    /// Before what is kept of a member: `show my data`.
    Show,
    /// Before `away` and `back`, saying nothing: `i am back`.
    Lead,
    /// Before `away`, saying nothing; before `back` it is still to come.
    LeadToCome,
    /// The adult animals: beside a number they are counted.
    Flies,
    /// What a number of pieces counts.
    Pieces,
    /// After the work of stocking: the amount was still to come.
    StockOpen,
    /// Around two temperatures: lowest and highest.
    AroundTemperatures,
    /// After the second temperature.
    Degrees,
    /// Before the number of a day that names no month: `on the 3rd`.
    BeforeDay,
    /// Asks for the farm's eggs by itself.
    Forecast,
    /// Asks how many: of eggs, the farm's.
    HowMany,
    /// What may stand beside a question for the farm's eggs.
    EggsWith,
    /// Before the noun of eggs: none were taken.
    NotAny,
    /// The end of a PIN, besides the words for `stop`.
    PinOff,
    /// Before the word for a PIN.
    BeforePin,
}

/// Which words play which role, in every language together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Roles(BTreeMap<Role, Vec<Vec<String>>>);

impl Roles {
    /// Adds words and phrases of a role.
    pub(super) fn add(&mut self, role: Role, phrases: &[String]) {
        let words = |phrase: &String| phrase.split(' ').map(str::to_owned).collect();
        self.0
            .entry(role)
            .or_default()
            .extend(phrases.iter().map(words));
    }

    /// Whether the word alone plays the role.
    pub(super) fn plays(&self, role: Role, word: &str) -> bool {
        let mut phrases = self.0.get(&role).into_iter().flatten();
        phrases.any(|phrase| matches!(phrase.as_slice(), [only] if only == word))
    }

    /// With how many of the words that come the longest phrase of the role begins.
    pub(super) fn begins<'t>(
        &self,
        role: Role,
        words: impl Iterator<Item = &'t str> + Clone,
    ) -> Option<usize> {
        let said = |phrase: &&Vec<String>| {
            let mut come = words.clone();
            phrase.iter().all(|word| come.next() == Some(word.as_str()))
        };
        let phrases = self.0.get(&role).into_iter().flatten();
        phrases.filter(said).map(Vec::len).max()
    }
}
