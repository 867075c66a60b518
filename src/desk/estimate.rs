//! Estimates as a member is told them: a range of grams, how a weight compares, a plan.
//!
//! Ranges are rounded outwards to what a pocket scale can tell. This room does not compute anything from a farm.

use crate::biology::mixture::Range;
use crate::biology::plan::Limit;
use crate::units::Grams;
use std::fmt;

/// Below this many grams a range is told in tenths, above it in whole grams.
const TENTHS_BELOW_G: f64 = 10.0;

/// Four chances in five that the grams lie from `low` to `high`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Estimate {
    /// One chance in ten of less.
    pub low: Grams,
    /// One chance in ten of more.
    pub high: Grams,
}

impl Estimate {
    /// The range, rounded outwards.
    #[must_use]
    pub fn of(range: &Range) -> Self {
        let (low, high) = if range.high < TENTHS_BELOW_G {
            (
                (range.low * 10.0).floor() / 10.0,
                (range.high * 10.0).ceil() / 10.0,
            )
        } else {
            (range.low.floor(), range.high.ceil())
        };
        let grams = |value: f64| Grams::from_f64(value.max(0.0)).unwrap_or(Grams::MAX);
        Self {
            low: grams(low),
            high: grams(high),
        }
    }
}

/// `9-14g`, `0.5-3g`; where the ends have different units both are written out.
impl fmt::Display for Estimate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (low, high) = (self.low.to_string(), self.high.to_string());
        let plain = |text: &str| !text.ends_with("kg");
        match low.strip_suffix('g') {
            Some(number) if plain(&low) && plain(&high) => write!(f, "{number}-{high}"),
            _ => write!(f, "{low}-{high}"),
        }
    }
}

/// How a weight stands to what was expected of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compared {
    /// Inside the range.
    AsExpected,
    /// Under it.
    Low(Estimate),
    /// Over it.
    High(Estimate),
}

/// What a keeper looks at first where a cage gives less than expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Check {
    /// Water.
    Water,
    /// Bait.
    Bait,
    /// Heat: shade.
    Heat,
    /// Ants.
    Ants,
}

impl Check {
    /// Every check, in the order of a farm whose record says nothing: flies without water die within days.
    pub const ALL: [Self; 4] = [Self::Water, Self::Bait, Self::Heat, Self::Ants];
}

/// What to stock for a wanted supply. An estimate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlanTold {
    /// Grams of eggs a week that it is for.
    pub weekly: Grams,
    /// Pupae put into each cage.
    pub pupae_each: u32,
    /// Cages stocked on the same day.
    pub cages_at_once: u32,
    /// Days from one stocking to the next.
    pub days_between: u32,
    /// Cages in use.
    pub cages: u32,
    /// Cages that the farm has.
    pub have: u32,
    /// Pupae to keep back each week.
    pub keep_pupae: u32,
    /// What binds first.
    pub binds: Limit,
}

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPlan {
    /// The farm has no eggs on record to plan from, or the amount is none.
    Amount,
    /// Too cold for flies to emerge.
    Cold,
    /// More cages than a farm may have.
    Cages {
        /// Cages needed.
        needed: u32,
        /// Cages that a farm may have.
        most: u32,
    },
    /// More pupae than can be had.
    Pupae,
    /// A colony cannot hold back so much: per cent needed and per cent that it can spare.
    HoldBack {
        /// Needed.
        share: u32,
        /// Spared at most.
        most: u32,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_rounded_outwards() {
        let shown = |low, high| {
            let middle = f64::midpoint(low, high);
            Estimate::of(&Range { low, middle, high }).to_string()
        };
        assert_eq!(shown(9.7, 13.2), "9-14g");
        assert_eq!(shown(0.55, 2.91), "0.5-3g");
        assert_eq!(shown(0.0, 0.0), "0-0g");
        assert_eq!(shown(900.0, 1200.5), "900g-1.201kg");
    }
}
