//! The questions that a reply may ask.
//!
//! What each holds is what `yes`, `no` and `add` will do; nothing here knows how it is worded or what is held.

use crate::desk::reply::Saved;
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::pin::Behind;
use crate::domain::question::Unplaced;
use crate::domain::said::Why;
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// A question. `yes` accepts the likely reading where there is one.
#[derive(Clone, Debug, PartialEq)]
pub enum Ask {
    /// The day has another weight: replace, add or keep?
    OtherWeight {
        /// Cage.
        unit: UnitCode,
        /// Day.
        day: FarmDay,
        /// On record.
        old: Grams,
        /// Said now.
        new: Grams,
    },
    /// The same `add` again.
    AddAgain {
        /// Cage.
        unit: UnitCode,
        /// Day.
        day: FarmDay,
        /// Added before, and again.
        grams: Grams,
        /// The day's total now.
        total: Grams,
    },
    /// Eggs received that are far from the farm's own weights, or come on top of what that day has.
    Delivery {
        /// As received.
        grams: Grams,
        /// Day.
        day: FarmDay,
        /// As the farm weighed them.
        own: Option<Grams>,
        /// What that day has already.
        already: Grams,
    },
    /// Not plausible; `likely` is what `yes` saves where there is one, else `yes` saves `said`.
    Implausible {
        /// Cage.
        unit: UnitCode,
        /// As said.
        said: Grams,
        /// The most that is plausible.
        most: Grams,
        /// What was probably meant.
        likely: Option<Grams>,
    },
    /// Flies cannot have laid yet.
    TooEarly {
        /// Cage.
        unit: UnitCode,
        /// As said.
        grams: Grams,
        /// Days since stocking.
        days: u16,
    },
    /// The cage has no flies: eggs are never saved there.
    NotStocked {
        /// Cage.
        unit: UnitCode,
        /// As said.
        grams: Grams,
    },
    /// The cage is running: retire the run and start a new one?
    Restock {
        /// Cage.
        unit: UnitCode,
        /// Pupae of the new run, where said.
        pupae: Option<Pupae>,
        /// Day the running one was stocked.
        since: FarmDay,
    },
    /// A stocking that is implausibly large or small.
    StockSize {
        /// Cage.
        unit: UnitCode,
        /// As said.
        pupae: Pupae,
        /// What was probably meant.
        likely: Option<Pupae>,
    },
    /// Which cage? None was named and several fit.
    WhichUnit {
        /// The weight, where it was one.
        grams: Option<Grams>,
        /// What was said instead of a weight, where it is known.
        of: Option<Unplaced>,
        /// Those that fit.
        units: Vec<UnitCode>,
    },
    /// Whose farm? The phone serves several members and more than one fits.
    Whose(Vec<(MemberNo, String)>),
    /// The text has more than one reading. With one `likely` reading `yes` takes it; else the keeper sends the line again.
    Doubt {
        /// Why.
        why: Why,
        /// The cage, where one was named.
        unit: Option<UnitCode>,
        /// The piece of text.
        text: String,
        /// The possible weights or facts, in words short enough to show: `12.5g`.
        options: Vec<String>,
        /// What `yes` saves.
        likely: Option<Saved>,
    },
    /// Take the member out of the record for good?
    Forget,
    /// The PIN, before what it guards; or a new one.
    Pin(Behind),
}
