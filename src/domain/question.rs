//! What a question holds until it is answered.
//!
//! Everything that `yes`, `no` and `add` need is in here, so that an answer needs no other message. This room asks and judges nothing.

use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::compact;
use crate::domain::event::{Delivery, FarmEvent, Harvest, Stocking};
use crate::domain::pin::Behind;
use crate::domain::said::Why;
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};
use serde::{Deserialize, Serialize};

/// What is held, by the reason it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Held {
    /// The day has another weight. `yes` replaces, `add` adds, `no` keeps.
    OtherWeight {
        /// Said now.
        harvest: Harvest,
        /// On record.
        old: Grams,
    },
    /// The same `add` again. `yes` or `add` adds once more.
    AddAgain {
        /// Said again.
        harvest: Harvest,
    },
    /// Not plausible. `yes` saves `likely`, or what was said where there is none.
    Implausible {
        /// As said.
        harvest: Harvest,
        /// The most that is plausible.
        most: Grams,
        /// What was probably meant.
        likely: Option<Grams>,
    },
    /// Flies cannot have laid yet. `yes` saves.
    TooEarly {
        /// As said.
        harvest: Harvest,
        /// Days since stocking.
        days: u16,
    },
    /// No flies there. `yes` saves nothing.
    NotStocked {
        /// As said.
        harvest: Harvest,
    },
    /// The unit is running. `yes` ends that run and begins this one.
    Restock {
        /// The new run.
        stocking: Stocking,
        /// When the running one began.
        #[serde(with = "compact::day")]
        since: FarmDay,
    },
    /// An implausible number of pupae. `yes` saves `likely`, or what was said where there is none.
    StockSize {
        /// As said.
        stocking: Stocking,
        /// A correction of the running stocking, not a new run.
        fix: bool,
        /// What was probably meant.
        likely: Option<(Pupae, Option<Grams>)>,
    },
    /// No unit was named and several fit. `yes` saves nothing.
    WhichUnit {
        /// The weight, where it was one.
        grams: Option<Grams>,
        /// Those that fit.
        units: Vec<UnitCode>,
    },
    /// More than one reading. `yes` judges `likely` as if it had been said clearly.
    Doubt {
        /// Why.
        why: Why,
        /// The unit, where one was named.
        unit: Option<UnitCode>,
        /// The piece of text.
        text: String,
        /// The possible readings, in words.
        options: Vec<String>,
        /// What `yes` saves; empty where no single reading is likely.
        likely: Vec<FarmEvent>,
    },
    /// A delivery that is far from the farm's own weights, or a second one of its day. `yes` saves it beside what is there.
    Delivery {
        /// As said.
        delivery: Delivery,
        /// What that day has already; nothing where it is the first.
        already: Grams,
    },
    /// The member asked to be forgotten. `yes` takes them out of the record for good.
    Forget,
    /// The sender's PIN is waited for; the right one does this.
    Pin(Behind),
    /// Work without a weight named no unit, and several fit. `yes` saves nothing.
    WhichUnitFor {
        /// What was said.
        of: Unplaced,
        /// Those that fit.
        units: Vec<UnitCode>,
    },
}

/// What may be said without its unit, besides a weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unplaced {
    /// A care job.
    Care(CareJob),
    /// Ants seen.
    Ants,
    /// Dead flies.
    Dead,
    /// Pupae put in.
    Stock,
    /// A unit emptied.
    Retire,
}

/// How a question was closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Closing {
    /// `yes`.
    Yes,
    /// `no`.
    No,
    /// `add`.
    Add,
    /// Something said later made it moot.
    Withdrawn,
    /// Nobody answered in time.
    Expired,
}
