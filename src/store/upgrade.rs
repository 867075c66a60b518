//! States of an older form, made again from their events: in a folder when it is opened, in an export when it is read.
//!
//! A state is a snapshot of its stream's events, which every version reads, so that its shape may change with any release. What the events do not say
//! (wake-up, last heard) stands at a state's start in every form. This room does not know what a state means.

use crate::store::codec::{self, CodecError};
use crate::store::draft::Writes;
use crate::store::keys::{self, Shelf};
use crate::store::records::{Moment, Stream};
use crate::store::{Store, StoreError};
use std::collections::BTreeMap;

/// States written at once: a few megabytes.
const AT_ONCE: usize = 1000;

/// The fields of a [`Stream`] before its state.
type Head = (u32, Option<Moment>, Option<Moment>);

impl Store {
    /// Makes states of an older form again; how many.
    ///
    /// From the last to the first, so that the first tells whether there is anything to do, also after a run that was cut short.
    pub(crate) fn upgrade(&self) -> Result<usize, StoreError> {
        let mut states = self.range(Shelf::States, &[], None);
        let Some((key, bytes)) = states.next().transpose()? else {
            return Ok(0);
        };
        if !is_older(&key, &bytes) {
            return Ok(0);
        }
        tracing::info!("the states of this folder have an older form; they are made again");
        let made = self.remake(|key, bytes| {
            is_older(key, bytes)
                .then(|| codec::head(Shelf::States, key, bytes))
                .transpose()
        })?;
        tracing::info!(made, "states made again");
        Ok(made)
    }

    /// Makes every state again: an export of an older form left only their heads.
    pub(crate) fn remake_all(&self) -> Result<usize, StoreError> {
        self.remake(|key, bytes| {
            let stream: Stream = codec::unseal(Shelf::States, key, bytes)?;
            Ok(Some((stream.version, stream.wake, stream.heard)))
        })
    }

    /// Makes the states again of which `head` gives the head; the others stay, as do damaged ones, which a check tells.
    fn remake(
        &self,
        head: impl Fn(&[u8], &[u8]) -> Result<Option<Head>, CodecError>,
    ) -> Result<usize, StoreError> {
        let (mut writes, mut made) = (Writes::new(), 0);
        for entry in self.range(Shelf::States, &[], None).rev() {
            let (key, bytes) = entry?;
            let Some((version, wake, heard)) = head(&key, &bytes)? else {
                continue;
            };
            let (coop, id, _) =
                keys::read_stream(&key).ok_or_else(|| StoreError::Key(Shelf::States.name()))?;
            let (replayed, state) = self.replay(coop, &id)?;
            if replayed != version {
                return Err(StoreError::Gap {
                    stream: format!("{id:?}"),
                    version: replayed,
                });
            }
            let stream = Stream {
                version,
                wake,
                heard,
                state,
            };
            let sealed = codec::seal(Shelf::States, &key, &stream)?;
            writes.insert(key.to_vec(), Some(sealed));
            made += 1;
            if writes.len() >= AT_ONCE {
                self.write_states(&mut writes)?;
            }
        }
        self.write_states(&mut writes)?;
        Ok(made)
    }

    fn write_states(&self, writes: &mut Writes) -> Result<(), StoreError> {
        self.apply(&BTreeMap::from([(Shelf::States, std::mem::take(writes))]))
    }
}

fn is_older(key: &[u8], bytes: &[u8]) -> bool {
    let read = codec::unseal::<Stream>(Shelf::States, key, bytes);
    matches!(read, Err(CodecError::Older(_)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::event::{Event, FarmEvent, Recorded, StreamId};
    use crate::domain::message::CoopId;
    use crate::domain::{CareJob, MemberNo};
    use crate::store::Sizes;
    use crate::store::events::EventRun;

    /// A folder whose one farm has a state of the first form; what lies behind its head is not read.
    fn old_folder(dir: &std::path::Path) -> (CoopId, StreamId, Head) {
        let (coop, id) = (CoopId(1), StreamId::Farm(MemberNo(1001)));
        let at = "2026-03-10T05:10:00Z".parse().unwrap();
        let store = open(dir);
        let mut writes = BTreeMap::new();
        let events = [FarmEvent::Opened, FarmEvent::HourSet(7)];
        for (version, event) in (1..).zip(events) {
            let recorded = Recorded {
                at,
                by: None,
                message: None,
                event: Event::Farm(event),
            };
            let record = EventRun::new(u64::from(version), None, vec![recorded]);
            let key = keys::event(coop, &id, version);
            let sealed = codec::seal(Shelf::Events, &key, &record).unwrap();
            let events: &mut Writes = writes.entry(Shelf::Events).or_default();
            events.insert(key, Some(sealed));
        }
        let head: Head = (2, Some(Moment(at)), None);
        let key = keys::stream(coop, &id);
        let old = codec::seal_as(1, Shelf::States, &key, &(head, CareJob::Bait)).unwrap();
        writes.insert(Shelf::States, Writes::from([(key, Some(old))]));
        store.apply(&writes).unwrap();
        (coop, id, head)
    }

    fn open(dir: &std::path::Path) -> Store {
        let sizes = Sizes {
            cache_bytes: 1 << 20,
            cached_streams: 10,
        };
        Store::open(dir, sizes).unwrap()
    }

    #[test]
    fn a_state_of_an_older_form_is_made_again_and_keeps_its_wake_up() {
        let dir = tempfile::tempdir().unwrap();
        let (coop, id, (version, wake, heard)) = old_folder(dir.path());
        let store = open(dir.path());
        let key = keys::stream(coop, &id);
        let made: Stream = store.get(Shelf::States, &key).unwrap().unwrap();
        assert_eq!(
            (made.version, made.wake, made.heard),
            (version, wake, heard)
        );
        assert_eq!(made.state, store.replay(coop, &id).unwrap().1);
        assert_eq!(store.upgrade().unwrap(), 0);
    }
}
