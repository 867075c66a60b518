//! Where a session can stand, and what each list offers there.
//!
//! Kept between two steps, so every place is small and bounded. This room does not know texts or keys pressed.

use crate::domain::code::UnitCode;
use crate::domain::said::Verb;
use crate::domain::{CareJob, MemberNo, Role};
use serde::{Deserialize, Serialize};

/// A place in the menu.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Place {
    /// A list, and which of its pages.
    List(List, u8),
    /// Eggs of a unit; `round`: the next laying cage follows.
    Weigh {
        /// Unit.
        unit: UnitCode,
        /// One after another.
        round: bool,
    },
    /// Something is to be typed.
    Type(Typed),
    /// The line is right? Nothing is saved before.
    Sure {
        /// The line, as it will be said.
        line: String,
        /// Days back, which the line may still get.
        days: Option<u8>,
        /// May it be for another day.
        dated: bool,
    },
    /// How many days back.
    DaysBack {
        /// The line so far.
        line: String,
    },
    /// What the desk asked.
    Asked {
        /// In its words.
        text: String,
        /// `add` is an answer too.
        addable: bool,
        /// `yes` is an answer.
        answerable: bool,
    },
    /// Something to read.
    Read {
        /// All of it.
        text: String,
        /// Which part.
        page: u8,
    },
}

/// A list to choose from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum List {
    /// The first screen.
    First,
    /// Care jobs.
    Care,
    /// Stocking, retiring, how a cage is.
    Cages,
    /// Things seen.
    Seen,
    /// Corrections and reminders.
    Reminders,
    /// Messages and their copies.
    Messages,
    /// Languages.
    Langs,
    /// Words to have explained.
    Help,
    /// Cages that fit.
    Units(Act),
    /// By count or by weight, for a cage that is stocked.
    StockBy(UnitCode),
    /// One age or mixed, for a cage and the amount as it will be said.
    Kind(UnitCode, String),
    /// Whose farm, on a phone of several.
    Whose,
    /// Go on where the last session broke off?
    GoOn,
    /// What a number that is no member can do.
    Stranger,
}

/// What is done at a cage that is still to be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Act {
    /// A care job.
    Care(CareJob),
    /// Eggs, out of turn.
    Eggs,
    /// A second harvest of today.
    Add,
    /// Another weight for today.
    Fix,
    /// New pupae.
    Stock,
    /// Emptied.
    Retire,
    /// Dead flies.
    Dead,
    /// Ants.
    Ants,
    /// How is it.
    State,
}

/// What is to be typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Typed {
    /// A weight of eggs for a unit and an act of [`Act::Add`] or [`Act::Fix`].
    Weight(Act, UnitCode),
    /// The number of a new cage.
    NewCage,
    /// Pupae by count.
    Count(UnitCode),
    /// Pupae by weight in grams.
    PupaeWeight(UnitCode),
    /// Dead flies in grams.
    Dead(UnitCode),
    /// Lowest air.
    Coldest,
    /// Highest air, after the lowest.
    Hottest(String),
    /// Eggs wanted a week.
    Plan,
    /// Days away.
    Days,
    /// Hour of reminders.
    Hour,
    /// The member for whom an officer enters.
    Member,
    /// The member whose eggs are received.
    Giver,
    /// Grams received from a member.
    Got(MemberNo),
    /// The cooperative's code.
    JoinCode,
    /// A name, after the code.
    JoinName(String),
    /// A PIN. It is never part of a place.
    Pin,
}

/// What a choice leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Goes {
    /// Another place.
    To(Place),
    /// The morning's round of weighing.
    Round,
    /// Said at once: it records no number.
    Say(String),
    /// The copies of what is saved by menu, on or off.
    Copies(bool),
    /// One of the phone's members.
    Owner(MemberNo),
    /// The session that broke off.
    GoOn,
    /// The first screen.
    Anew,
}

/// The verb of an item of the first lists, and where it leads. Every verb of the registry has its place here: a new one does not compile without.
#[must_use]
pub fn home_of(verb: Verb) -> (List, Role) {
    match verb {
        Verb::Eggs | Verb::Tasks | Verb::Plan | Verb::Undo | Verb::Help | Verb::Lang => {
            (List::First, Role::Keeper)
        }
        Verb::Bait | Verb::Water | Verb::Moat | Verb::Traps | Verb::Shade | Verb::Swept => {
            (List::Care, Role::Keeper)
        }
        Verb::Stock | Verb::Retire | Verb::Fix | Verb::Add => (List::Cages, Role::Keeper),
        Verb::Dead | Verb::Ants | Verb::Temp => (List::Seen, Role::Keeper),
        Verb::Away | Verb::Back | Verb::Hour | Verb::Lessons => (List::Reminders, Role::Keeper),
        Verb::Stop | Verb::Start | Verb::Data | Verb::Forget | Verb::Pin => {
            (List::Messages, Role::Keeper)
        }
        // Answers have a place of their own while a question is open.
        Verb::Yes | Verb::No => (List::First, Role::Keeper),
        Verb::Join => (List::Stranger, Role::Keeper),
        Verb::Got => (List::First, Role::Collector),
        Verb::For => (List::First, Role::Officer),
    }
}
