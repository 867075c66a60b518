//! Records of an older form, made new when a store is opened.
//!
//! Only states have more than one form: a state is a snapshot of its stream's events, which are read by every version, so an older one is made
//! again from them. What the events do not say (wake-up, last heard) stands at a state's start in every form. This room does not know
//! what a state means.

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
        let (mut writes, mut made) = (Writes::new(), 0);
        for entry in self.range(Shelf::States, &[], None).rev() {
            let (key, bytes) = entry?;
            if !is_older(&key, &bytes) {
                continue; // New already, or damaged, which a check tells.
            }
            let (version, wake, heard): Head = codec::head(Shelf::States, &key, &bytes)?;
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
        tracing::info!(made, "states made again");
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
