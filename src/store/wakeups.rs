//! When each farm wakes up next: one moment a farm, in order of time.
//!
//! This room does not know what a farm does when it wakes.

use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::records::{Moment, Stream};
use chrono::{DateTime, Utc};
use std::sync::Arc;

/// A farm that wakes up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wakeup {
    /// When.
    pub at: DateTime<Utc>,
    /// Whose cooperative.
    pub coop: CoopId,
    /// Whose farm.
    pub farm: MemberNo,
}

/// At most `most` farms that wake up at or before `until` and after `past`, earliest first.
pub fn due(
    draft: &Draft<'_>,
    past: Option<Wakeup>,
    until: DateTime<Utc>,
    most: usize,
) -> Result<Vec<Wakeup>, StoreError> {
    let mut found = Vec::new();
    let from = past.map_or_else(Vec::new, |last| {
        let mut key = keys::wakeup(last.at, last.coop, last.farm);
        // The least key after that one.
        key.push(0);
        key
    });
    let end = (keys::millis(until) + 1).to_be_bytes();
    draft.scan(Shelf::Wakeups, &from, Some(&end), |key, _| {
        let (at, coop, farm) =
            keys::read_wakeup(key).ok_or_else(|| StoreError::Key(Shelf::Wakeups.name()))?;
        found.push(Wakeup { at, coop, farm });
        Ok(found.len() < most)
    })?;
    Ok(found)
}

/// Sets when a farm wakes up; none: only a message wakes it.
pub fn set(
    draft: &mut Draft<'_>,
    coop: CoopId,
    farm: MemberNo,
    at: Option<DateTime<Utc>>,
) -> Result<(), StoreError> {
    let id = StreamId::Farm(farm);
    let stands = draft.load(coop, &id)?;
    // Whole milliseconds, as in the key.
    let at = at.map(|at| keys::moment(keys::millis(at)));
    if stands.wake == at.map(Moment) {
        return Ok(());
    }
    if let Some(Moment(before)) = stands.wake {
        draft.remove(Shelf::Wakeups, keys::wakeup(before, coop, farm));
    }
    if let Some(at) = at {
        draft.put(Shelf::Wakeups, keys::wakeup(at, coop, farm), &())?;
    }
    let mut stream = Stream::clone(&stands);
    stream.wake = at.map(Moment);
    draft
        .streams
        .insert(keys::stream(coop, &id), Arc::new(stream));
    Ok(())
}

/// Takes a wake-up out of the order that no farm's state names any more.
pub fn forget(draft: &mut Draft<'_>, wakeup: Wakeup) {
    draft.remove(
        Shelf::Wakeups,
        keys::wakeup(wakeup.at, wakeup.coop, wakeup.farm),
    );
}
