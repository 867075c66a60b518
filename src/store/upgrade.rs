//! States of an older form, made again from their events when a store is opened.
//!
//! Events are the record, so a state's shape may change with any release. What is not in the events (when a farm wakes up) is taken from where it
//! stands too. This room does not read an older state: it does not need to.

use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::codec::{self, CodecError};
use crate::store::draft::Writes;
use crate::store::keys::{self, Shelf};
use crate::store::records::{Moment, Stream};
use crate::store::{Store, StoreError};
use std::collections::BTreeMap;

/// States written in one go: keeps memory flat.
const AT_ONCE: usize = 1_000;

type Wakes = BTreeMap<(CoopId, MemberNo), Moment>;

impl Store {
    /// Makes every state of an older form again; how many. Goes by key, so that one that was interrupted goes on where the old forms begin.
    ///
    /// # Errors
    /// When a newer program wrote here, an event is damaged or missing, or the database fails.
    pub(crate) fn upgrade_states(&self) -> Result<u64, StoreError> {
        let last = self.range(Shelf::States, &[], None).next_back();
        let Some((_, bytes)) = last.transpose()? else {
            return Ok(0);
        };
        if is_current(&bytes)? {
            return Ok(0);
        }
        tracing::info!("states of an older form are made again from their events");
        self.remake_states(|bytes| is_current(bytes).map(|current| !current))
    }

    /// Makes the states that `stale` names again; how many.
    ///
    /// # Errors
    /// When an event is damaged or missing, or the database fails.
    pub(crate) fn remake_states(
        &self,
        stale: impl Fn(&[u8]) -> Result<bool, StoreError>,
    ) -> Result<u64, StoreError> {
        let wakes = self.wakes()?;
        let mut made = 0;
        let mut waiting = Writes::new();
        for entry in self.range(Shelf::States, &[], None) {
            let (key, bytes) = entry?;
            if !stale(&bytes)? {
                continue;
            }
            let stream = self.remade(&key, &wakes)?;
            waiting.insert(
                key.to_vec(),
                Some(codec::seal(Shelf::States, &key, &stream)?),
            );
            made += 1;
            if waiting.len() >= AT_ONCE {
                self.apply(&BTreeMap::from([(
                    Shelf::States,
                    std::mem::take(&mut waiting),
                )]))?;
            }
        }
        self.apply(&BTreeMap::from([(Shelf::States, waiting)]))?;
        self.flush()?;
        self.forget();
        Ok(made)
    }

    fn remade(&self, key: &[u8], wakes: &Wakes) -> Result<Stream, StoreError> {
        let (coop, id, _) =
            keys::read_stream(key).ok_or_else(|| StoreError::Key(Shelf::States.name()))?;
        let mut heard = None;
        self.events(coop, &id, |_, record| {
            // The operator's own commands are no message.
            let said = record.recorded.message.map(|_| record.recorded.at);
            heard = heard.max(said);
            Ok(())
        })?;
        let (version, state) = self.replay(coop, &id)?;
        let wake = match &id {
            StreamId::Farm(farm) => wakes.get(&(coop, *farm)).copied(),
            _ => None,
        };
        Ok(Stream {
            version,
            wake,
            heard: heard.map(Moment),
            state,
        })
    }

    fn wakes(&self) -> Result<Wakes, StoreError> {
        let mut wakes = Wakes::new();
        for entry in self.range(Shelf::Wakeups, &[], None) {
            let (key, _) = entry?;
            let (at, coop, farm) =
                keys::read_wakeup(&key).ok_or_else(|| StoreError::Key(Shelf::Wakeups.name()))?;
            wakes.insert((coop, farm), Moment(at));
        }
        Ok(wakes)
    }
}

/// Whether a state is of today's form.
fn is_current(bytes: &[u8]) -> Result<bool, StoreError> {
    let read = codec::form(Shelf::States);
    match codec::form_of(bytes) {
        Some(found) if found > read => Err(CodecError::Version { found, read }.into()),
        found => Ok(found == Some(read)),
    }
}
