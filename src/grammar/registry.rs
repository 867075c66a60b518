//! The registry of verbs: one row for every word of the entry language.
//!
//! The parser, help, menus, documents and tests all read this table; a new verb is a new row, its words in every language, and its meaning.
//! The words themselves are in `grammar/words/`, the help texts with the other replies.

use crate::domain::CareJob;
use crate::domain::pin::Behind;
use crate::domain::said::Verb;

/// What a verb is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// A fact about one or several units.
    Unit,
    /// A fact about the whole farm.
    Farm,
    /// A request or a setting; it stands for itself.
    Order,
    /// Changes how the facts beside it are taken (`fix`, `add`).
    Modifier,
    /// Says for whom the line is.
    Address,
}

/// What a verb takes with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Takes {
    /// Nothing.
    Nothing,
    /// A weight.
    Weight,
    /// A weight, if one was taken.
    OptionalWeight,
    /// Pupae by weight or count, if known.
    OptionalAmount,
    /// Lowest and highest temperature.
    TwoTemperatures,
    /// A member's number.
    Member,
    /// A member's number and a weight.
    MemberAndWeight,
    /// A cooperative's code and a name.
    CodeAndName,
    /// A language.
    Language,
    /// A verb, if one is asked about.
    OptionalVerb,
    /// A number of days.
    Days,
    /// An hour of the day.
    Hour,
    /// A PIN, two to change one, or none.
    Pin,
}

/// One verb.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// Which.
    pub verb: Verb,
    /// Its key in the word files and in the keys of help texts.
    pub key: &'static str,
    /// What it is about.
    pub scope: Scope,
    /// What it takes.
    pub takes: Takes,
    /// The care job that it means, where it is one.
    pub care: Option<CareJob>,
    /// What a member's PIN guards of it, once they have one: it shows personal data, or cannot be taken back.
    pub behind: Option<Behind>,
    /// A correct line, in English.
    pub example: &'static str,
}

const fn row(
    verb: Verb,
    key: &'static str,
    scope: Scope,
    takes: Takes,
    example: &'static str,
) -> Row {
    Row {
        verb,
        key,
        scope,
        takes,
        care: None,
        behind: None,
        example,
    }
}

const fn care(verb: Verb, key: &'static str, job: CareJob, example: &'static str) -> Row {
    Row {
        verb,
        key,
        scope: Scope::Unit,
        takes: Takes::Nothing,
        care: Some(job),
        behind: None,
        example,
    }
}

/// The row of what a PIN guards.
const fn guarded(row: Row, behind: Behind) -> Row {
    Row {
        behind: Some(behind),
        ..row
    }
}

/// Every verb, in the order in which help lists them.
pub const VERBS: [Row; 33] = [
    row(Verb::Eggs, "eggs", Scope::Unit, Takes::Weight, "C4 12.5"),
    row(
        Verb::Stock,
        "stock",
        Scope::Unit,
        Takes::OptionalAmount,
        "C7 stock 8000",
    ),
    care(Verb::Bait, "bait", CareJob::Bait, "C4 bait"),
    care(Verb::Water, "water", CareJob::Water, "C1-C6 water"),
    care(Verb::Moat, "moat", CareJob::Moat, "all moat"),
    care(Verb::Traps, "traps", CareJob::Traps, "C4 traps"),
    care(Verb::Shade, "shade", CareJob::Shade, "C4 shade"),
    care(Verb::Swept, "swept", CareJob::Swept, "C4 swept"),
    row(
        Verb::Dead,
        "dead",
        Scope::Unit,
        Takes::OptionalWeight,
        "C4 dead 40g",
    ),
    row(Verb::Ants, "ants", Scope::Unit, Takes::Nothing, "C4 ants"),
    row(
        Verb::Temp,
        "temp",
        Scope::Farm,
        Takes::TwoTemperatures,
        "temp 18-31",
    ),
    row(
        Verb::Retire,
        "retire",
        Scope::Unit,
        Takes::Nothing,
        "C4 retire",
    ),
    row(Verb::Tasks, "tasks", Scope::Order, Takes::Nothing, "tasks"),
    row(
        Verb::Fix,
        "fix",
        Scope::Modifier,
        Takes::Weight,
        "fix C4 11.5",
    ),
    row(Verb::Undo, "undo", Scope::Order, Takes::Nothing, "undo"),
    row(Verb::Add, "add", Scope::Modifier, Takes::Weight, "C4 3 add"),
    row(Verb::Yes, "yes", Scope::Order, Takes::Nothing, "yes"),
    row(Verb::No, "no", Scope::Order, Takes::Nothing, "no"),
    row(
        Verb::For,
        "for",
        Scope::Address,
        Takes::Member,
        "for 2071 C4 12.5",
    ),
    row(
        Verb::Join,
        "join",
        Scope::Order,
        Takes::CodeAndName,
        "join CODE Name",
    ),
    row(Verb::Lang, "lang", Scope::Order, Takes::Language, "lang sw"),
    row(Verb::Stop, "stop", Scope::Order, Takes::Nothing, "stop"),
    row(Verb::Start, "start", Scope::Order, Takes::Nothing, "start"),
    row(
        Verb::Help,
        "help",
        Scope::Order,
        Takes::OptionalVerb,
        "help bait",
    ),
    row(
        Verb::Plan,
        "plan",
        Scope::Order,
        Takes::OptionalWeight,
        "plan 500g",
    ),
    row(Verb::Away, "away", Scope::Order, Takes::Days, "away 5"),
    row(Verb::Back, "back", Scope::Order, Takes::Nothing, "back"),
    row(Verb::Hour, "hour", Scope::Order, Takes::Hour, "hour 6"),
    row(
        Verb::Got,
        "got",
        Scope::Address,
        Takes::MemberAndWeight,
        "got 2071 48.2",
    ),
    guarded(
        row(Verb::Data, "data", Scope::Order, Takes::Nothing, "my data"),
        Behind::Data,
    ),
    guarded(
        row(
            Verb::Forget,
            "forget",
            Scope::Order,
            Takes::Nothing,
            "forget me",
        ),
        Behind::Forget,
    ),
    row(
        Verb::Lessons,
        "lessons",
        Scope::Order,
        Takes::Nothing,
        "lessons stop",
    ),
    guarded(
        row(Verb::Pin, "pin", Scope::Order, Takes::Pin, "pin 4711"),
        Behind::End,
    ),
];

/// The row of a verb.
#[must_use]
pub fn of(verb: Verb) -> &'static Row {
    // Every verb has a row (tested below); the first row stands in only to keep this total.
    VERBS
        .iter()
        .find(|row| row.verb == verb)
        .unwrap_or(&VERBS[0])
}

/// The verb of a key in the word files.
#[must_use]
pub fn by_key(key: &str) -> Option<Verb> {
    VERBS.iter().find(|row| row.key == key).map(|row| row.verb)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_in_the_order_of_the_verbs_and_each_is_there_once() {
        for pair in VERBS.windows(2) {
            assert!(pair[0].verb < pair[1].verb, "{:?}", pair[1].verb);
        }
        for row in VERBS {
            assert_eq!(
                of(row.verb),
                VERBS.iter().find(|r| r.key == row.key).unwrap()
            );
        }
        // `Pin` is the last verb; a new one without a row is found here.
        assert_eq!(Verb::Pin as usize + 1, VERBS.len());
    }
}
