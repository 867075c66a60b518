//! What collectors received, by month and farm, so that a month's list replays no farm.
//!
//! Rows are kept in the commit that receives or takes back. A folder that came from elsewhere has none: they are made from its events, some farms
//! at a time, and the list says so until all are. This room does not know prices.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::readmodel::rows::{Filled, farm_at_end, filled_key};
use crate::domain::MemberNo;
use crate::domain::compact;
use crate::domain::event::{Event, FarmEvent, Recorded, StreamId};
use crate::domain::message::{CoopId, MessageNo};
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::events::EventRecord;
use crate::store::keys::{self, Shelf};
use crate::store::step::Change;
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Datelike;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Farms replayed in one turn of the writer: some 20 ms.
const REPLAYED: usize = 10;

/// Eggs received from a farm.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReceivedRow {
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// As received.
    pub grams: Grams,
    /// As the farm had weighed them, where it had.
    pub own: Option<Grams>,
    /// Who received them.
    pub by: Option<MemberNo>,
}

fn month_start(coop: CoopId, day: FarmDay) -> Vec<u8> {
    let month = u32::try_from(day.year()).unwrap_or(0) * 12 + day.month0();
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(month.to_be_bytes());
    key
}

fn key(coop: CoopId, day: FarmDay, farm: MemberNo) -> Vec<u8> {
    let mut key = month_start(coop, day);
    key.extend(farm.0.to_be_bytes());
    key
}

/// What a step changes of the rows, seen before it is pushed.
pub(crate) fn of_step(changes: &[Change]) -> Vec<(MemberNo, Recorded)> {
    let mut found = Vec::new();
    for change in changes {
        let StreamId::Farm(farm) = change.stream else {
            continue;
        };
        let counts = |one: &&Recorded| {
            matches!(
                one.event,
                Event::Farm(FarmEvent::Delivered(_) | FarmEvent::TakenBack { .. })
            )
        };
        let some = change.events.iter().filter(counts);
        found.extend(some.map(|one| (farm, one.clone())));
    }
    found
}

/// Brings rows up to what was pushed.
pub(crate) fn keep_up(
    draft: &mut Draft<'_>,
    coop: CoopId,
    pushed: &[(MemberNo, Recorded)],
) -> Result<(), StoreError> {
    for (farm, recorded) in pushed {
        match &recorded.event {
            Event::Farm(FarmEvent::Delivered(delivery)) => {
                let key = key(coop, delivery.day, *farm);
                let mut rows: Vec<ReceivedRow> =
                    draft.get(Shelf::Received, &key)?.unwrap_or_default();
                rows.push(ReceivedRow {
                    day: delivery.day,
                    grams: delivery.grams,
                    own: delivery.own,
                    by: recorded.by,
                });
                rows.sort_by_key(|row| row.day);
                draft.put(Shelf::Received, key, &rows)?;
            }
            Event::Farm(FarmEvent::TakenBack { message, .. })
                if delivered(draft, coop, *farm, *message)? =>
            {
                remake(draft, coop, *farm)?;
            }
            _ => {}
        }
    }
    Ok(())
}

/// Whether something was received from the farm by that message; one that is not kept any more may have.
fn delivered(
    draft: &Draft<'_>,
    coop: CoopId,
    farm: MemberNo,
    message: MessageNo,
) -> Result<bool, StoreError> {
    let Some(record) = draft.message(coop, message)? else {
        return Ok(true);
    };
    let stream = StreamId::Farm(farm);
    for touched in record.touched.iter().filter(|one| one.stream == stream) {
        let events = draft.events_from(coop, &stream, touched.first, touched.events)?;
        let delivery =
            |one: &EventRecord| matches!(one.recorded.event, Event::Farm(FarmEvent::Delivered(_)));
        if events.iter().any(delivery) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Makes a farm's rows anew from its events.
fn remake(draft: &mut Draft<'_>, coop: CoopId, farm: MemberNo) -> Result<(), StoreError> {
    let mut received: Vec<(Option<MessageNo>, ReceivedRow)> = Vec::new();
    let mut months: BTreeMap<Vec<u8>, Vec<ReceivedRow>> = BTreeMap::new();
    let runs = draft.runs(coop, &StreamId::Farm(farm))?;
    for recorded in runs.into_iter().flat_map(|(_, run)| run.recorded) {
        match &recorded.event {
            Event::Farm(FarmEvent::Delivered(delivery)) => {
                months.entry(key(coop, delivery.day, farm)).or_default();
                let row = ReceivedRow {
                    day: delivery.day,
                    grams: delivery.grams,
                    own: delivery.own,
                    by: recorded.by,
                };
                received.push((recorded.message, row));
            }
            Event::Farm(FarmEvent::TakenBack { message, .. }) => {
                received.retain(|(by, _)| *by != Some(*message));
            }
            _ => {}
        }
    }
    for (_, row) in received {
        months
            .entry(key(coop, row.day, farm))
            .or_default()
            .push(row);
    }
    for (key, mut rows) in months {
        if rows.is_empty() {
            draft.remove(Shelf::Received, key);
        } else {
            rows.sort_by_key(|row| row.day);
            draft.put(Shelf::Received, key, &rows)?;
        }
    }
    Ok(())
}

impl Counter {
    /// What was received from a farm in the month of `day`, by day; what was taken back is not listed.
    ///
    /// # Errors
    /// When the store fails.
    pub fn received(
        &self,
        coop: CoopId,
        farm: MemberNo,
        day: FarmDay,
    ) -> Result<Vec<ReceivedRow>, CounterError> {
        let rows = self.0.store.get(Shelf::Received, &key(coop, day, farm))?;
        Ok(rows.unwrap_or_default())
    }

    /// The farms after `after` from which something was received in the month of `day`, by number.
    ///
    /// # Errors
    /// When the store fails.
    pub fn received_after(
        &self,
        coop: CoopId,
        day: FarmDay,
        after: MemberNo,
        most: usize,
    ) -> Result<Vec<MemberNo>, CounterError> {
        let start = key(coop, day, MemberNo(after.0.saturating_add(1)));
        let end = keys::after(&month_start(coop, day));
        let range = self.0.store.range(Shelf::Received, &start, end.as_deref());
        let mut farms = Vec::new();
        for entry in range.take(most) {
            farms.extend(farm_at_end(&entry?.0));
        }
        Ok(farms)
    }

    /// Makes rows of farms that have none yet, at most `most` farms. Whether all are made.
    ///
    /// # Errors
    /// When the store fails.
    pub fn fill_received(&self, coop: CoopId, most: usize) -> Result<bool, CounterError> {
        let mut looked_at = 0;
        loop {
            let filled: Option<Filled> = self.0.store.get(Shelf::Received, &filled_key(coop))?;
            let filled = filled.unwrap_or_default();
            if filled.whole || looked_at >= most {
                return Ok(filled.whole);
            }
            let past = filled.past.max(keys::farms(coop));
            let end = keys::after(&keys::farms(coop));
            let (mut farms, mut last) = (Vec::new(), Vec::new());
            let range = self.0.store.range(Shelf::States, &past, end.as_deref());
            for entry in range
                .filter(|entry| !matches!(entry, Ok((key, _)) if *key == past))
                .take(REPLAYED)
            {
                let (key, _) = entry?;
                farms.extend(farm_at_end(&key));
                last = key.to_vec();
            }
            looked_at += farms.len();
            let filled = Filled {
                whole: farms.len() < REPLAYED,
                past: last,
            };
            self.amend(move |draft, _| {
                farms
                    .iter()
                    .try_for_each(|farm| remake(draft, coop, *farm))?;
                draft.put(Shelf::Received, filled_key(coop), &filled)
            })?;
        }
    }
}
