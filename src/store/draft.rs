//! What one batch of messages will change: reads see what was put before, nothing is kept until the store commits it.
//!
//! This room holds writes; it does not know why they are made.

use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::{CoopId, MessageNo};
use crate::domain::phone::PhoneNumber;
use crate::store::Store;
use crate::store::StoreError;
use crate::store::codec;
use crate::store::events::EventRun;
use crate::store::keys::{self, Shelf};
use crate::store::records::{MessageRecord, Moment, Numbers, Stream, Touched};
use crate::store::step::Step;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Writes of one shelf; none: removed.
pub(crate) type Writes = BTreeMap<Vec<u8>, Option<Vec<u8>>>;

/// A batch under way.
#[derive(Debug)]
pub struct Draft<'s> {
    pub(crate) store: &'s Store,
    pub(crate) writes: BTreeMap<Shelf, Writes>,
    pub(crate) streams: BTreeMap<Vec<u8>, Arc<Stream>>,
    pub(crate) numbers: Numbers,
    /// Numbers that this batch takes out of the record.
    pub(crate) forgotten: BTreeSet<(CoopId, PhoneNumber)>,
}

impl<'s> Draft<'s> {
    pub(crate) fn new(store: &'s Store, numbers: Numbers) -> Self {
        Self {
            store,
            writes: BTreeMap::new(),
            streams: BTreeMap::new(),
            numbers,
            forgotten: BTreeSet::new(),
        }
    }

    /// Nothing would change.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.writes.is_empty() && self.streams.is_empty()
    }

    /// The number that the next step gets, and the next message with it.
    #[must_use]
    pub const fn next_message(&self) -> MessageNo {
        MessageNo(self.numbers.step)
    }

    /// A stream's state as this batch has left it; empty where there is none.
    pub fn load(&mut self, coop: CoopId, id: &StreamId) -> Result<Arc<Stream>, StoreError> {
        let key = keys::stream(coop, id);
        match self.streams.get(&key) {
            Some(stream) => Ok(Arc::clone(stream)),
            None if self.is_gone(&key) => Ok(Arc::new(Stream::empty(id))),
            None => self.store.load_key(&key, id),
        }
    }

    /// This batch has taken that stream away.
    fn is_gone(&self, key: &[u8]) -> bool {
        let states = self.writes.get(&Shelf::States);
        matches!(states.and_then(|writes| writes.get(key)), Some(None))
    }

    /// The record of that key as this batch has left it.
    pub fn get<T: DeserializeOwned>(
        &self,
        shelf: Shelf,
        key: &[u8],
    ) -> Result<Option<T>, StoreError> {
        match self.writes.get(&shelf).and_then(|writes| writes.get(key)) {
            Some(Some(bytes)) => Ok(Some(codec::unseal(shelf, key, bytes)?)),
            Some(None) => Ok(None),
            None => self.store.get(shelf, key),
        }
    }

    /// A message of this batch or of the store.
    pub fn message(
        &self,
        coop: CoopId,
        no: MessageNo,
    ) -> Result<Option<MessageRecord>, StoreError> {
        self.get(Shelf::Messages, &keys::message(coop, no))
    }

    /// The highest member number that has a stream, in this batch or in the store.
    pub fn last_member(&self, coop: CoopId) -> Result<Option<MemberNo>, StoreError> {
        let start = keys::members(coop);
        let end = keys::after(&start);
        let kept = self
            .store
            .range(Shelf::States, &start, end.as_deref())
            .next_back();
        let kept = kept.transpose()?.map(|(key, _)| key.to_vec());
        let drafted = self
            .streams
            .range(start.clone()..)
            .map(|(key, _)| key)
            .take_while(|key| key.starts_with(&start))
            .last()
            .cloned();
        Ok(kept
            .max(drafted)
            .and_then(|key| match keys::read_stream(&key)?.1 {
                StreamId::Member(no) => Some(no),
                StreamId::Rules
                | StreamId::Phone(_)
                | StreamId::Farm(_)
                | StreamId::Ward(_)
                | StreamId::User(_)
                | StreamId::Dossier(_)
                | StreamId::Affairs
                | StreamId::Broadcast(_)
                | StreamId::Words => None,
            }))
    }

    /// The last key that begins so, in this batch or in the store; one that this batch removed counts as there.
    pub(crate) fn last_key(
        &self,
        shelf: Shelf,
        start: &[u8],
    ) -> Result<Option<Vec<u8>>, StoreError> {
        let end = keys::after(start);
        let kept = self.store.range(shelf, start, end.as_deref()).next_back();
        let kept = kept.transpose()?.map(|(key, _)| key.to_vec());
        let begins = |key: &&Vec<u8>| key.starts_with(start);
        let drafted = self.writes.get(&shelf).and_then(|writes| {
            let from = writes.range(start.to_vec()..).map(|(key, _)| key);
            from.take_while(begins).last().cloned()
        });
        Ok(kept.max(drafted))
    }

    /// Writes a record.
    pub(crate) fn put<T: Serialize>(
        &mut self,
        shelf: Shelf,
        key: Vec<u8>,
        value: &T,
    ) -> Result<(), StoreError> {
        let bytes = codec::seal(shelf, &key, value)?;
        self.writes
            .entry(shelf)
            .or_default()
            .insert(key, Some(bytes));
        Ok(())
    }

    /// Removes a record.
    pub(crate) fn remove(&mut self, shelf: Shelf, key: Vec<u8>) {
        self.writes.entry(shelf).or_default().insert(key, None);
    }

    /// Visits records from `from` up to but without `to`, in order, as this batch has left them, while `visit` says to go on.
    pub(crate) fn scan(
        &self,
        shelf: Shelf,
        from: &[u8],
        to: Option<&[u8]>,
        mut visit: impl FnMut(&[u8], &[u8]) -> Result<bool, StoreError>,
    ) -> Result<(), StoreError> {
        let none = Writes::new();
        let pending = self.writes.get(&shelf).unwrap_or(&none);
        let end = to.map_or(std::ops::Bound::Unbounded, std::ops::Bound::Excluded);
        if to.is_some_and(|to| to <= from) {
            return Ok(());
        }
        let mut pending = pending
            .range::<[u8], _>((std::ops::Bound::Included(from), end))
            .peekable();
        let mut kept = self.store.range(shelf, from, to).peekable();
        loop {
            let kept_is_next = match (kept.peek(), pending.peek()) {
                (None, None) => return Ok(()),
                (Some(_), None) => true,
                (None, Some(_)) => false,
                (Some(Err(_)), Some(_)) => true,
                (Some(Ok((kept, _))), Some((pending, _))) => kept.as_ref() < pending.as_slice(),
            };
            let go_on = if kept_is_next {
                let Some(next) = kept.next() else {
                    return Ok(());
                };
                let (key, bytes) = next?;
                visit(&key, &bytes)?
            } else {
                let Some((key, bytes)) = pending.next() else {
                    return Ok(());
                };
                // What is pending hides what is kept under the same key.
                kept.next_if(
                    |next| matches!(next, Ok((kept, _)) if kept.as_ref() == key.as_slice()),
                );
                match bytes {
                    Some(bytes) => visit(key, bytes)?,
                    None => true,
                }
            };
            if !go_on {
                return Ok(());
            }
        }
    }

    /// Adds one step on top of the ones before it.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] when a stream is not at the version that the step was decided on; the draft is then not to be committed.
    pub fn push(&mut self, step: Step) -> Result<MessageNo, StoreError> {
        let no = MessageNo(self.numbers.step);
        self.numbers.step += 1;
        let network_id = step
            .received
            .as_ref()
            .and_then(|message| message.id.clone());
        let mut touched = Vec::new();
        for change in step.changes {
            let stands = self.load(step.coop, &change.stream)?;
            if stands.version != change.expected {
                return Err(StoreError::Conflict {
                    expected: change.expected,
                    found: stands.version,
                });
            }
            let mut stream = Stream::clone(&stands);
            touched.push(Touched {
                stream: change.stream.clone(),
                first: change.expected + 1,
                events: u32::try_from(change.events.len()).unwrap_or(u32::MAX),
            });
            for recorded in &change.events {
                stream.version += 1;
                stream.state.apply(recorded);
            }
            if !change.events.is_empty() {
                let key = keys::event(step.coop, &change.stream, change.expected + 1);
                let run = EventRun::new(no.0, network_id.as_deref(), change.events);
                self.put(Shelf::Events, key, &run)?;
            }
            if let Some(heard) = step.heard
                && stream.heard.is_none_or(|last| last.0 < heard)
            {
                stream.heard = Some(Moment(heard));
            }
            self.streams
                .insert(keys::stream(step.coop, &change.stream), Arc::new(stream));
        }
        if let Some(mut record) = step.received {
            record.touched = touched;
            self.put(Shelf::Messages, keys::message(step.coop, no), &record)?;
        }
        for row in step.outgoing {
            self.put_row(step.coop, no, row)?;
        }
        Ok(no)
    }
}
