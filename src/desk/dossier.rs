//! What officers keep on one farm, and when its row comes back to the morning's page.
//!
//! `apply` is the only way the state changes. This room does not know how rows are ranked or shown.

use crate::domain::dossier::{DossierEvent, FollowUp, Handled, Mark, Permit, VisitNote};
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// Visits kept in the state: a year of monthly visits and calls between them; older ones stay in the record.
pub const NOTES_MAX: usize = 24;
/// Permits of one farm, or of the cooperative: a handful; bounded so that the state stays small.
pub const PERMITS_MAX: usize = 20;
/// Letters of what was seen, done or is to be done.
pub const NOTE_MAX: usize = 400;
/// Letters of a permit's kind or number.
pub const PERMIT_TEXT_MAX: usize = 60;
/// Days that a row rests at the most: a farm that nobody looks at for longer is forgotten.
pub const REST_MAX_DAYS: i64 = 60;
/// Hundredths of a gram by which more is at stake than when a row was marked, besides half as much again, before it comes back early: what a pocket
/// scale and a lucky day explain does not bring it back.
const WORSE_CG: u32 = 500;

/// A farm's dossier.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Dossier {
    /// The last visits and calls, oldest first.
    pub notes: Vec<VisitNote>,
    /// What is to be followed up.
    pub follow_up: Option<FollowUp>,
    /// How its row rests.
    pub mark: Option<Mark>,
    /// Its permits, the first to lapse first.
    pub permits: Vec<Permit>,
}

/// Why something was not noted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DossierError {
    /// Nothing was written.
    #[error("write what was seen or what was done, such as \"water dry in C3\"")]
    Empty,
    /// A day that is to come, or before the visit.
    #[error("a visit is of today or before, and a follow-up is not before it")]
    Day,
    /// A row that would rest in the past or for too long.
    #[error("a row rests until a day from tomorrow on, 60 days at the most")]
    Rest,
    /// A permit without a kind or number, or with too long a one.
    #[error(
        "a permit has a kind and a number of at the most 60 letters, such as \"feed premises\" and \"FP 114\""
    )]
    Permit,
    /// As many permits as there may be.
    #[error("there are 20 permits already; drop one that has lapsed")]
    TooManyPermits,
    /// Nothing of that kind is there.
    #[error("it is not there any more; load the page again")]
    Gone,
}

impl Dossier {
    /// What the event makes of the dossier.
    pub fn apply(&mut self, event: &DossierEvent) {
        match event {
            DossierEvent::Visited(note) => {
                self.follow_up.clone_from(&note.follow_up);
                self.notes.push(note.clone());
                if self.notes.len() > NOTES_MAX {
                    self.notes.remove(0);
                }
            }
            DossierEvent::FollowedUp => self.follow_up = None,
            DossierEvent::Marked(mark) => self.mark = Some(mark.clone()),
            DossierEvent::Unmarked => self.mark = None,
            DossierEvent::PermitKept(permit) => keep(&mut self.permits, permit),
            DossierEvent::PermitDropped { kind, number } => {
                self.permits.retain(|permit| !permit.is(kind, number));
            }
        }
    }

    /// Whether this may happen on that day.
    ///
    /// # Errors
    /// What was expected instead.
    pub fn allows(&self, event: &DossierEvent, today: FarmDay) -> Result<(), DossierError> {
        match event {
            DossierEvent::Visited(note) => {
                let follow_up = note.follow_up.as_ref();
                if note.seen.trim().is_empty() && note.done.trim().is_empty() {
                    Err(DossierError::Empty)
                } else if note.day > today || follow_up.is_some_and(|next| next.by < note.day) {
                    Err(DossierError::Day)
                } else {
                    Ok(())
                }
            }
            DossierEvent::Marked(mark) => {
                let days = mark.until.signed_duration_since(today).num_days();
                let fits = (1..=REST_MAX_DAYS).contains(&days);
                fits.then_some(()).ok_or(DossierError::Rest)
            }
            DossierEvent::FollowedUp => self
                .follow_up
                .as_ref()
                .map(|_| ())
                .ok_or(DossierError::Gone),
            DossierEvent::Unmarked => self.mark.as_ref().map(|_| ()).ok_or(DossierError::Gone),
            DossierEvent::PermitKept(permit) => may_keep(&self.permits, permit),
            DossierEvent::PermitDropped { kind, number } => may_drop(&self.permits, kind, number),
        }
    }
}

/// Keeps a permit in the place of the one with the same kind and number.
pub(crate) fn keep(permits: &mut Vec<Permit>, permit: &Permit) {
    permits.retain(|known| !known.is(&permit.kind, &permit.number));
    permits.push(permit.clone());
    permits.sort_by(|a, b| {
        (a.valid_until, &a.kind, &a.number).cmp(&(b.valid_until, &b.kind, &b.number))
    });
}

/// Whether a permit may be kept.
pub(crate) fn may_keep(permits: &[Permit], permit: &Permit) -> Result<(), DossierError> {
    let fits = |text: &str| !text.trim().is_empty() && text.chars().count() <= PERMIT_TEXT_MAX;
    let known = permits
        .iter()
        .any(|known| known.is(&permit.kind, &permit.number));
    if !fits(&permit.kind) || !fits(&permit.number) {
        Err(DossierError::Permit)
    } else if !known && permits.len() >= PERMITS_MAX {
        Err(DossierError::TooManyPermits)
    } else {
        Ok(())
    }
}

/// Whether there is such a permit to drop.
pub(crate) fn may_drop(permits: &[Permit], kind: &str, number: &str) -> Result<(), DossierError> {
    let known = permits.iter().any(|permit| permit.is(kind, number));
    known.then_some(()).ok_or(DossierError::Gone)
}

/// Whether a marked row still rests: until its day, and one that was called or resolved only while not much more is at stake than when that was
/// said. One that was put off comes back on its day and not before.
#[must_use]
pub fn rests(mark: &Mark, today: FarmDay, at_stake: u32) -> bool {
    let worse = at_stake > mark.at_stake.saturating_add(mark.at_stake / 2 + WORSE_CG);
    today < mark.until && (mark.how == Handled::Snoozed || !worse)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::dossier::Touch;
    use crate::domain::user::Login;

    fn day(n: u32) -> FarmDay {
        FarmDay::from_ymd_opt(2026, 3, n).unwrap()
    }

    fn mark(said: Handled) -> Mark {
        let by = Login::new("amina").unwrap();
        Mark {
            how: said,
            until: day(13),
            at_stake: 2_000,
            by,
        }
    }

    #[test]
    fn a_row_comes_back_on_its_day_and_earlier_only_when_it_got_worse() {
        for said in [Handled::Called, Handled::Resolved, Handled::Snoozed] {
            assert!(rests(&mark(said), day(12), 2_000), "{said:?}");
            assert!(
                rests(&mark(said), day(12), 3_500),
                "not much worse: {said:?}"
            );
            assert!(!rests(&mark(said), day(13), 0), "its day: {said:?}");
            let early = !rests(&mark(said), day(10), 3_501);
            assert_eq!(early, said != Handled::Snoozed, "{said:?}");
        }
    }

    #[test]
    fn a_visit_says_something_and_ends_what_was_to_be_followed_up() {
        let note = |seen: &str, on: u32, by: Option<u32>| {
            DossierEvent::Visited(VisitNote {
                touch: Touch::Call,
                day: day(on),
                by: Login::new("amina").unwrap(),
                seen: seen.to_owned(),
                done: String::new(),
                follow_up: by.map(|by| FollowUp {
                    by: day(by),
                    what: "look at the water".to_owned(),
                }),
            })
        };
        let mut dossier = Dossier::default();
        assert_eq!(
            dossier.allows(&note("", 10, None), day(10)),
            Err(DossierError::Empty)
        );
        assert_eq!(
            dossier.allows(&note("x", 11, None), day(10)),
            Err(DossierError::Day)
        );
        assert_eq!(
            dossier.allows(&note("x", 10, Some(9)), day(10)),
            Err(DossierError::Day)
        );
        assert_eq!(
            dossier.allows(&DossierEvent::FollowedUp, day(10)),
            Err(DossierError::Gone)
        );
        for event in [note("dry", 9, Some(12)), note("wet again", 10, None)] {
            assert_eq!(dossier.allows(&event, day(10)), Ok(()));
            assert_eq!(dossier.follow_up.is_some(), !dossier.notes.is_empty());
            dossier.apply(&event);
        }
        assert_eq!((dossier.follow_up, dossier.notes.len()), (None, 2));
    }

    #[test]
    fn a_permit_is_renewed_in_its_place() {
        let permit = |number: &str, until| Permit {
            kind: "feed premises".to_owned(),
            number: number.to_owned(),
            valid_until: day(until),
        };
        let mut permits = Vec::new();
        for one in [permit("2", 9), permit("1", 5), permit("1", 28)] {
            assert_eq!(may_keep(&permits, &one), Ok(()));
            keep(&mut permits, &one);
        }
        assert_eq!(permits, [permit("2", 9), permit("1", 28)]);
        assert_eq!(
            may_keep(&permits, &permit(" ", 9)),
            Err(DossierError::Permit)
        );
        assert_eq!(
            may_drop(&permits, "feed premises", "3"),
            Err(DossierError::Gone)
        );
    }
}
