//! Who and what exists: members, phones, farms, units, and the words for what they do.
//!
//! Plain values that every floor above shares. This room does not know how a line is written, what is plausible, or where anything is kept.

pub mod affairs;
pub mod broadcast;
pub mod code;
pub mod compact;
pub mod consent;
pub mod dossier;
pub mod event;
pub mod lang;
pub mod message;
pub mod phone;
pub mod pin;
pub mod question;
pub mod rules;
pub mod said;
pub mod topic;
pub mod user;
pub mod words;

use serde::{Deserialize, Serialize};
use std::fmt;

/// A member's number in the cooperative, as written in `for 2071 ...`. Unique in one cooperative.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct MemberNo(pub u32);

impl fmt::Display for MemberNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What a member may do. Order is rank: each role may do what the ones before it may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Role {
    /// Keeps cages (or trays) on their own farm.
    Keeper,
    /// Receives and re-weighs eggs at a collection point.
    Collector,
    /// Visits farms and enters for others.
    Officer,
}

/// Whether the pupae put into a cage were of one age or mixed ages.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum StockKind {
    /// One day's pupation batch: a short, high laying curve.
    OneAge,
    /// Larvae and pupae of mixed ages: flies for up to six weeks (common practice, no source).
    Mixed,
}

/// What a farm's unit is. Trays will join cages here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum UnitKind {
    /// A net cage of adult flies.
    Cage,
}

/// A care job done at a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum CareJob {
    /// Bait renewed.
    Bait,
    /// Water topped up.
    Water,
    /// Ant moat refilled.
    Moat,
    /// Egg traps renewed.
    Traps,
    /// Shade set.
    Shade,
    /// Dead flies swept out.
    Swept,
}

impl CareJob {
    /// Every job, in the order in which replies list them.
    pub const ALL: [Self; 6] = [
        Self::Bait,
        Self::Water,
        Self::Moat,
        Self::Traps,
        Self::Shade,
        Self::Swept,
    ];
}
