//! Quantities with their units: grams, head counts, degrees, degree-days.
//!
//! A number without a unit does not exist above this floor. Every quantity is an integer in its
//! smallest written step, so that sums are exact and replay is bit-identical.
//! This room does not know what is plausible for a cage; that is the desk's business.

pub mod check_letter;
pub mod day;
pub mod septets;

use serde::{Deserialize, Serialize};
use std::fmt;

/// A mass in hundredths of a gram. Pocket scales show 0.1 g; two decimals are the finest a line may carry.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct Grams(u32);

impl Grams {
    /// Nothing: a harvest of nothing is a harvest.
    pub const ZERO: Self = Self(0);
    /// The largest mass that a line may say: 999 kg. Beyond it a number is not a weight.
    pub const MAX: Self = Self(99_900_000);

    /// From hundredths of a gram; `None` above [`Grams::MAX`].
    #[must_use]
    pub const fn from_hundredths(hundredths: u32) -> Option<Self> {
        if hundredths <= Self::MAX.0 {
            Some(Self(hundredths))
        } else {
            None
        }
    }

    /// Nearest hundredth of a gram to `grams`; `None` when negative, not finite or too large.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn from_f64(grams: f64) -> Option<Self> {
        let hundredths = (grams * 100.0).round();
        (hundredths >= 0.0 && hundredths <= f64::from(Self::MAX.0))
            .then_some(Self(hundredths as u32))
    }

    /// Hundredths of a gram.
    #[must_use]
    pub const fn hundredths(self) -> u32 {
        self.0
    }

    /// Grams as a floating number, for the sums.
    #[must_use]
    pub fn as_f64(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// Sum; stays at [`Grams::MAX`] rather than wrapping.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0).min(Self::MAX.0))
    }

    /// Difference; `None` when `other` is larger.
    #[must_use]
    pub fn minus(self, other: Self) -> Option<Self> {
        self.0.checked_sub(other.0).map(Self)
    }
}

/// `12.5g`, `8g`, `0.05g`, `1.2kg`: digits, a point, then the unit; kilograms from 1000 g up.
impl fmt::Display for Grams {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole_unit, digits, name) = if self.0 >= 100_000 {
            (100_000, 5, "kg")
        } else {
            (100, 2, "g")
        };
        let (whole, rest) = (self.0 / whole_unit, self.0 % whole_unit);
        if rest == 0 {
            return write!(f, "{whole}{name}");
        }
        let rest = format!("{rest:0digits$}");
        write!(f, "{whole}.{}{name}", rest.trim_end_matches('0'))
    }
}

/// A number of pupae put into a cage, or taken from a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Pupae(u32);

impl Pupae {
    /// The most pupae that a line may say for one cage; 100 kg at 150 mg is 667,000.
    pub const MAX: Self = Self(1_000_000);

    /// From a head count; `None` above [`Pupae::MAX`].
    #[must_use]
    pub const fn new(count: u32) -> Option<Self> {
        if count <= Self::MAX.0 {
            Some(Self(count))
        } else {
            None
        }
    }

    /// The head count.
    #[must_use]
    pub const fn count(self) -> u32 {
        self.0
    }
}

impl fmt::Display for Pupae {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// An air temperature in tenths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Celsius(i16);

impl Celsius {
    /// Coldest and hottest air that a farm could truthfully report.
    pub const MIN: Self = Self(-200);
    /// See [`Celsius::MIN`].
    pub const MAX: Self = Self(600);

    /// From tenths of a degree; `None` outside [`Celsius::MIN`] to [`Celsius::MAX`].
    #[must_use]
    pub const fn from_tenths(tenths: i16) -> Option<Self> {
        if tenths >= Self::MIN.0 && tenths <= Self::MAX.0 {
            Some(Self(tenths))
        } else {
            None
        }
    }

    /// Tenths of a degree.
    #[must_use]
    pub const fn tenths(self) -> i16 {
        self.0
    }

    /// Degrees as a floating number, for the sums.
    #[must_use]
    pub fn as_f64(self) -> f64 {
        f64::from(self.0) / 10.0
    }
}

/// `31` or `31.5`, without the degree sign, which GSM-7 does not have.
impl fmt::Display for Celsius {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let (whole, tenth) = (self.0.abs() / 10, self.0.abs() % 10);
        if tenth == 0 {
            write!(f, "{sign}{whole}")
        } else {
            write!(f, "{sign}{whole}.{tenth}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masses_are_written_the_same_way_everywhere() {
        let shown = |h| {
            Grams::from_hundredths(h)
                .map(|g| g.to_string())
                .unwrap_or_default()
        };
        assert_eq!(shown(1250), "12.5g");
        assert_eq!(shown(800), "8g");
        assert_eq!(shown(5), "0.05g");
        assert_eq!(shown(0), "0g");
        assert_eq!(shown(120_000), "1.2kg");
        assert_eq!(shown(123_456), "1.23456kg");
        assert_eq!(Grams::from_hundredths(99_900_001), None);
    }

    #[test]
    fn degrees_keep_their_sign_below_one() {
        assert_eq!(
            Celsius::from_tenths(-5).map(|c| c.to_string()).as_deref(),
            Some("-0.5")
        );
        assert_eq!(
            Celsius::from_tenths(310).map(|c| c.to_string()).as_deref(),
            Some("31")
        );
        assert_eq!(Celsius::from_tenths(601), None);
    }
}
