//! What a new keeper is told, one thing a day: the first week's, and what each stage of a cage asks for.
//!
//! This room holds names only: the words are in `grammar/lessons/`, and when each is told is the desk's business.

use serde::{Deserialize, Serialize};

/// One short lesson. New ones go to the end: what a farm was told is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Topic {
    /// One line each morning.
    OneLine,
    /// Care in the same line.
    Care,
    /// How a cage is; the day's list.
    HowIs,
    /// Putting a slip right.
    Slip,
    /// A day that was missed.
    OtherDay,
    /// What `yes` and `no` settle.
    Questions,
    /// How the texts are moved, rested and ended.
    Quiet,
    /// Setting water.
    Water,
    /// Bait with traps on top.
    BaitAndTraps,
    /// Ant moats.
    Moats,
    /// Shade and light.
    Shade,
    /// Pulling traps.
    PullTraps,
    /// Weighing.
    Weighing,
    /// Hatching.
    Hatching,
    /// When to retire.
    Retiring,
    /// Cleaning and restocking.
    Cleaning,
    /// Dust and breath.
    Allergy,
    /// What may be used as bait and feed.
    Waste,
    /// Lifting.
    Lifting,
}

impl Topic {
    /// The first week's, in their order.
    pub const WEEK: [Self; 7] = [
        Self::OneLine,
        Self::Care,
        Self::HowIs,
        Self::Slip,
        Self::OtherDay,
        Self::Questions,
        Self::Quiet,
    ];

    /// All of them.
    pub const ALL: [Self; 19] = [
        Self::OneLine,
        Self::Care,
        Self::HowIs,
        Self::Slip,
        Self::OtherDay,
        Self::Questions,
        Self::Quiet,
        Self::Water,
        Self::BaitAndTraps,
        Self::Moats,
        Self::Shade,
        Self::PullTraps,
        Self::Weighing,
        Self::Hatching,
        Self::Retiring,
        Self::Cleaning,
        Self::Allergy,
        Self::Waste,
        Self::Lifting,
    ];

    /// Its key in the files of lessons.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::OneLine => "one-line",
            Self::Care => "care",
            Self::HowIs => "how-is",
            Self::Slip => "slip",
            Self::OtherDay => "other-day",
            Self::Questions => "questions",
            Self::Quiet => "quiet",
            Self::Water => "water",
            Self::BaitAndTraps => "bait-and-traps",
            Self::Moats => "moats",
            Self::Shade => "shade",
            Self::PullTraps => "pull-traps",
            Self::Weighing => "weighing",
            Self::Hatching => "hatching",
            Self::Retiring => "retiring",
            Self::Cleaning => "cleaning",
            Self::Allergy => "allergy",
            Self::Waste => "waste",
            Self::Lifting => "lifting",
        }
    }
}
