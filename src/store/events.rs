//! A stream's events as they lie on their shelf: those of one step in one record, under the version that the first of them made.
//!
//! One record a step costs the database less than one an event, and what belongs to the step stands in it once. In form 1 each event had a record
//! of its own; both forms are read, and versions say the same in both. This room does not know what an event means.

use crate::domain::event::{Event, FarmEvent, Recorded, StreamId};
use crate::domain::message::CoopId;
use crate::store::codec::{self, CodecError};
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::{Store, StoreError};
use serde::{Deserialize, Serialize};

/// An event with what its step says; in form 1 a record.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct EventRecord {
    /// The commit's position: rising over the whole folder, the message's number where a message caused it. Read models follow it.
    pub step: u64,
    /// The network's id of the message that caused it: kept with harvests and deliveries, so that lists of them do not change when messages are
    /// archived.
    pub id: Option<String>,
    /// What happened.
    pub recorded: Recorded,
}

/// The events of one step in one stream, in order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EventRun {
    /// As in [`EventRecord`].
    pub step: u64,
    /// As in [`EventRecord`]: none where no event of the run wants it.
    pub id: Option<String>,
    /// What happened.
    pub recorded: Vec<Recorded>,
}

/// Whether lists of such events name the message that caused them.
const fn is_listed(event: &Event) -> bool {
    matches!(
        event,
        Event::Farm(FarmEvent::Harvested(_) | FarmEvent::Delivered(_))
    )
}

impl EventRun {
    /// What a step, caused by the message of that network id, makes of one stream.
    #[must_use]
    pub fn new(step: u64, id: Option<&str>, recorded: Vec<Recorded>) -> Self {
        let listed = recorded.iter().any(|one| is_listed(&one.event));
        Self {
            step,
            id: id.filter(|_| listed).map(str::to_owned),
            recorded,
        }
    }

    /// Reads a record of either form.
    ///
    /// # Errors
    /// When it is damaged, or written by a newer program.
    pub fn read(key: &[u8], bytes: &[u8]) -> Result<Self, CodecError> {
        match codec::unseal(Shelf::Events, key, bytes) {
            Err(CodecError::Older(1)) => {
                let EventRecord { step, id, recorded } = codec::head(Shelf::Events, key, bytes)?;
                let recorded = vec![recorded];
                Ok(Self { step, id, recorded })
            }
            read => read,
        }
    }

    /// The events, each with the version that it made; `first` is the run's.
    pub fn events(self, first: u32) -> impl Iterator<Item = (u32, EventRecord)> {
        let Self { step, id, recorded } = self;
        (first..).zip(recorded).map(move |(version, recorded)| {
            let id = id.clone().filter(|_| is_listed(&recorded.event));
            (version, EventRecord { step, id, recorded })
        })
    }
}

/// The version of the first event of an entry, and its run.
fn entry(key: &[u8], bytes: &[u8]) -> Result<(u32, EventRun), StoreError> {
    let (_, _, first) =
        keys::read_event(key).ok_or_else(|| StoreError::Key(Shelf::Events.name()))?;
    Ok((first, EventRun::read(key, bytes)?))
}

impl Store {
    /// Visits a stream's events in order.
    ///
    /// # Errors
    /// When the database fails, a record is damaged, or `visit` fails.
    pub fn events(
        &self,
        coop: CoopId,
        id: &StreamId,
        mut visit: impl FnMut(u32, EventRecord) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let start = keys::stream(coop, id);
        for found in self.range(Shelf::Events, &start, keys::after(&start).as_deref()) {
            let (key, bytes) = found?;
            let (first, run) = entry(&key, &bytes)?;
            for (version, event) in run.events(first) {
                visit(version, event)?;
            }
        }
        Ok(())
    }

    /// The event that made that version of a stream.
    ///
    /// # Errors
    /// When the database fails or the record is damaged.
    pub fn event(
        &self,
        coop: CoopId,
        id: &StreamId,
        version: u32,
    ) -> Result<Option<EventRecord>, StoreError> {
        let start = keys::stream(coop, id);
        let end = keys::event(coop, id, version.saturating_add(1));
        let mut runs = self.range(Shelf::Events, &start, Some(&end));
        let Some((key, bytes)) = runs.next_back().transpose()? else {
            return Ok(None);
        };
        let (first, run) = entry(&key, &bytes)?;
        let mut events = run.events(first);
        Ok(events.find_map(|(made, event)| (made == version).then_some(event)))
    }
}

impl Draft<'_> {
    /// A stream's runs with their keys, as this batch has left them.
    pub(crate) fn runs(
        &self,
        coop: CoopId,
        id: &StreamId,
    ) -> Result<Vec<(Vec<u8>, EventRun)>, StoreError> {
        let start = keys::stream(coop, id);
        let end = keys::after(&start);
        let mut runs = Vec::new();
        self.scan(Shelf::Events, &start, end.as_deref(), |key, bytes| {
            runs.push((key.to_vec(), EventRun::read(key, bytes)?));
            Ok(true)
        })?;
        Ok(runs)
    }

    /// The events of a stream that one step made, from its first version on.
    pub(crate) fn events_from(
        &self,
        coop: CoopId,
        id: &StreamId,
        first: u32,
        many: u32,
    ) -> Result<Vec<EventRecord>, StoreError> {
        let start = keys::event(coop, id, first);
        let end = keys::event(coop, id, first.saturating_add(many));
        let mut events = Vec::new();
        self.scan(Shelf::Events, &start, Some(&end), |key, bytes| {
            let (first, run) = entry(key, bytes)?;
            events.extend(run.events(first).map(|(_, event)| event));
            Ok(true)
        })?;
        Ok(events)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::MemberNo;
    use crate::domain::event::MemberEvent;
    use crate::store::Sizes;
    use crate::store::draft::Writes;
    use crate::store::memory::MemoryDisk;
    use std::collections::BTreeMap;

    const SIZES: Sizes = Sizes {
        cache_bytes: 1 << 20,
        cached_streams: 10,
    };

    fn hour(hour: u8) -> Recorded {
        Recorded {
            at: "2026-03-10T05:10:00Z".parse().unwrap(),
            by: None,
            message: None,
            event: Event::Farm(FarmEvent::HourSet(hour)),
        }
    }

    /// What form 1 wrote.
    #[derive(Serialize)]
    struct Old {
        step: u64,
        id: Option<String>,
        recorded: Recorded,
    }

    #[test]
    fn events_have_their_versions_whether_they_share_a_record_or_not() {
        let store = Store::in_memory(&MemoryDisk::default(), SIZES).unwrap();
        let (coop, farm) = (CoopId(1), StreamId::Farm(MemberNo(1001)));
        let next = StreamId::Farm(MemberNo(1002));
        let mut writes = Writes::new();
        let old = Old {
            step: 7,
            id: None,
            recorded: hour(1),
        };
        let key = keys::event(coop, &farm, 1);
        let sealed = codec::seal_as(1, Shelf::Events, &key, &old).unwrap();
        writes.insert(key, Some(sealed));
        for (stream, first, hours) in [(&farm, 2, vec![2, 3, 4]), (&next, 1, vec![9])] {
            let run = EventRun::new(8, Some("id"), hours.into_iter().map(hour).collect());
            let key = keys::event(coop, stream, first);
            let sealed = codec::seal(Shelf::Events, &key, &run).unwrap();
            writes.insert(key, Some(sealed));
        }
        store
            .apply(&BTreeMap::from([(Shelf::Events, writes)]))
            .unwrap();
        let mut seen = Vec::new();
        let visit = |version, event: EventRecord| {
            seen.push((version, event.step, event.recorded));
            Ok(())
        };
        store.events(coop, &farm, visit).unwrap();
        let wanted = [
            (1, 7, hour(1)),
            (2, 8, hour(2)),
            (3, 8, hour(3)),
            (4, 8, hour(4)),
        ];
        assert_eq!(seen, wanted);
        for (version, step, recorded) in wanted {
            let event = store.event(coop, &farm, version).unwrap().unwrap();
            assert_eq!((event.step, event.recorded), (step, recorded));
        }
        assert_eq!(store.event(coop, &farm, 0).unwrap(), None);
        assert_eq!(store.event(coop, &farm, 5).unwrap(), None);
        let draft = store.draft();
        let hours = |first, many| {
            let events = draft.events_from(coop, &farm, first, many).unwrap();
            events
                .into_iter()
                .map(|one| one.recorded)
                .collect::<Vec<_>>()
        };
        assert_eq!(hours(1, 1), [hour(1)]);
        assert_eq!(hours(2, 3), [hour(2), hour(3), hour(4)]);
    }

    #[test]
    fn only_events_that_lists_name_keep_the_network_s_id() {
        let joined = Recorded {
            event: Event::Member(MemberEvent::Erased),
            ..hour(0)
        };
        let delivered = Recorded {
            event: Event::Farm(FarmEvent::Delivered(crate::domain::event::Delivery {
                day: "2026-03-10".parse().unwrap(),
                grams: crate::units::Grams::from_hundredths(100).unwrap(),
                own: None,
            })),
            ..hour(0)
        };
        assert_eq!(EventRun::new(1, Some("id"), vec![joined.clone()]).id, None);
        let run = EventRun::new(1, Some("id"), vec![joined, delivered]);
        let ids: Vec<Option<String>> = run.events(1).map(|(_, event)| event.id).collect();
        assert_eq!(ids, [None, Some("id".to_owned())]);
    }
}
