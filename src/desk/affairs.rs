//! The cooperative's own affairs: permits, promised eggs, texts to many that are under way.
//!
//! `apply` is the only way the state changes. This room does not send anything.

use crate::desk::dossier::{DossierError, keep, may_drop, may_keep};
use crate::domain::affairs::{AffairsEvent, Promise};
use crate::domain::dossier::Permit;
use crate::units::Grams;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// Promises kept: some years of a change a month; older ones stay in the record.
const PROMISES_MAX: usize = 60;

/// The affairs.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Affairs {
    /// Permits, the first to lapse first.
    pub permits: Vec<Permit>,
    /// Promises by day, oldest first.
    pub promises: Vec<Promise>,
    /// The number of the last text to many.
    pub last_broadcast: u32,
    /// Those that wait or run.
    pub open_broadcasts: Vec<u32>,
}

impl Affairs {
    /// What the event makes of the affairs.
    pub fn apply(&mut self, event: &AffairsEvent) {
        match event {
            AffairsEvent::PermitKept(permit) => keep(&mut self.permits, permit),
            AffairsEvent::PermitDropped { kind, number } => {
                self.permits.retain(|permit| !permit.is(kind, number));
            }
            AffairsEvent::Promised(promise) => {
                let same =
                    |known: &Promise| known.ward == promise.ward && known.from == promise.from;
                self.promises.retain(|known| !same(known));
                self.promises.push(promise.clone());
                self.promises.sort_by_key(|known| known.from);
                if self.promises.len() > PROMISES_MAX {
                    self.promises.remove(0);
                }
            }
            AffairsEvent::BroadcastOpened(no) => {
                self.last_broadcast = self.last_broadcast.max(*no);
                self.open_broadcasts.push(*no);
            }
            AffairsEvent::BroadcastClosed(no) => self.open_broadcasts.retain(|open| open != no),
        }
    }

    /// Whether this may happen.
    ///
    /// # Errors
    /// What was expected instead.
    pub fn allows(&self, event: &AffairsEvent) -> Result<(), DossierError> {
        match event {
            AffairsEvent::PermitKept(permit) => may_keep(&self.permits, permit),
            AffairsEvent::PermitDropped { kind, number } => may_drop(&self.permits, kind, number),
            AffairsEvent::Promised(_)
            | AffairsEvent::BroadcastOpened(_)
            | AffairsEvent::BroadcastClosed(_) => Ok(()),
        }
    }

    /// What is promised a week of a ward on a day, the empty name being the whole cooperative; none where nothing is.
    #[must_use]
    pub fn promised(&self, ward: &str, day: FarmDay) -> Option<Grams> {
        let mut known = self.promises.iter().rev();
        let promise = known.find(|promise| promise.ward == ward && promise.from <= day)?;
        (promise.weekly > Grams::ZERO).then_some(promise.weekly)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_promise_holds_until_the_next_one_for_the_same_ward() {
        let day = |n| FarmDay::from_ymd_opt(2026, 3, n).unwrap();
        let grams = |n: u32| Grams::from_hundredths(n * 100).unwrap();
        let mut affairs = Affairs::default();
        for (ward, from, weekly) in [
            ("", 1, 700),
            ("", 10, 0),
            ("Msitu", 5, 70),
            ("", 20, 900),
            ("", 20, 800),
        ] {
            affairs.apply(&AffairsEvent::Promised(Promise {
                ward: ward.to_owned(),
                from: day(from),
                weekly: grams(weekly),
            }));
        }
        assert_eq!(affairs.promised("", day(9)), Some(grams(700)));
        assert_eq!(
            affairs.promised("", day(10)),
            None,
            "nothing is promised any more"
        );
        assert_eq!(
            affairs.promised("", day(25)),
            Some(grams(800)),
            "the same day said anew"
        );
        assert_eq!(affairs.promised("Msitu", day(4)), None);
        assert_eq!(affairs.promised("Msitu", day(31)), Some(grams(70)));
    }
}
