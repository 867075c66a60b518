//! Taking a person out of what is kept: what the farm gave stays, who kept it does not.
//!
//! Records are written anew where they lie, in the batch that says so, and every state that they make with them: replaying gives what is kept.
//! Receipts that are still to come find their texts, without the number. This room does not know backups, nor who may ask for this.

use crate::desk::streams::StreamState;
use crate::domain::MemberNo;
use crate::domain::event::{Event, FarmEvent, MemberEvent, PhoneEvent, Recorded, StreamId};
use crate::domain::message::{CoopId, MessageNo};
use crate::domain::phone::PhoneNumber;
use crate::domain::question::Held;
use crate::domain::user::UserEvent;
use crate::store::delivery::SentRecord;
use crate::store::draft::{Draft, Writes};
use crate::store::events::EventRun;
use crate::store::keys::{self, Shelf};
use crate::store::records::{MessageRecord, RowRecord, Stream};
use crate::store::{Store, StoreError, codec, redelivery};
use chrono::{DateTime, Utc};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What an erasure took.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Erased {
    /// Messages that are gone.
    pub messages: Vec<MessageNo>,
    /// Others' messages about the farm, whose texts are gone.
    pub emptied: usize,
    /// Events written anew.
    pub events: usize,
}

impl Draft<'_> {
    /// Takes a member out of every record of the cooperative. The answer of the step `last` still goes out.
    ///
    /// # Errors
    /// When the database fails or a record is damaged; the draft is then not to be committed.
    pub fn erase(
        &mut self,
        coop: CoopId,
        member: MemberNo,
        last: MessageNo,
    ) -> Result<Erased, StoreError> {
        let mut erased = Erased::default();
        let phones = self.phones_ever(coop, member)?;
        erased.events += self.rewrite(coop, &StreamId::Member(member), |one| {
            // The ward stays: it names nobody, and its sums must not change.
            if !matches!(one.event, Event::Member(MemberEvent::WardSet(_))) {
                one.event = Event::Member(MemberEvent::Erased);
            }
            one.message = None;
        })?;
        erased.events += self.rewrite(coop, &StreamId::Farm(member), |one| {
            if let Event::Farm(FarmEvent::Asked {
                held: Held::Doubt { text, options, .. },
                ..
            }) = &mut one.event
            {
                text.clear();
                options.clear();
            }
        })?;
        // What officers wrote of a visit is about the person; no sum is made of it.
        self.remove_stream(coop, &StreamId::Dossier(member))?;
        for user in self.users(coop)? {
            erased.events += self.rewrite(coop, &user, |one| {
                if let Event::User(UserEvent::Did(deed)) = &mut one.event
                    && deed.member == Some(member)
                {
                    deed.old.clear();
                    deed.new.clear();
                }
            })?;
        }
        let mut own = BTreeSet::new();
        for phone in phones {
            let stream = StreamId::Phone(phone.clone());
            if self.serves_others(coop, &stream, member)? {
                erased.events += self.rewrite(coop, &stream, |one| {
                    if let Event::Phone(
                        PhoneEvent::Serves(no)
                        | PhoneEvent::ServesNoMore(no)
                        | PhoneEvent::SpokeFor(Some(no)),
                    ) = one.event
                        && no == member
                    {
                        one.event = Event::Phone(PhoneEvent::SpokeFor(None));
                    }
                })?;
            } else {
                self.remove_stream(coop, &stream)?;
                self.remove(Shelf::Sessions, keys::session(coop, &phone));
                own.insert(phone);
            }
        }
        self.remove(Shelf::Routes, keys::route(coop, member));
        self.erase_messages(coop, member, &own, &mut erased)?;
        self.erase_rows(coop, member, &own, last)?;
        self.erase_sent(coop, member, &own)?;
        self.erase_keys(coop, &own)?;
        let numbers = own.into_iter().map(|phone| (coop, phone));
        self.forgotten.extend(numbers);
        Ok(erased)
    }

    /// Every phone that ever spoke for a member.
    fn phones_ever(
        &self,
        coop: CoopId,
        member: MemberNo,
    ) -> Result<BTreeSet<PhoneNumber>, StoreError> {
        let mut phones = BTreeSet::new();
        let runs = self.runs(coop, &StreamId::Member(member))?;
        for one in runs.into_iter().flat_map(|(_, run)| run.recorded) {
            if let Event::Member(MemberEvent::PhoneAdded(phone) | MemberEvent::PhoneCut(phone)) =
                one.event
            {
                phones.insert(phone);
            }
        }
        Ok(phones)
    }

    /// The phone is somebody else's too.
    fn serves_others(
        &mut self,
        coop: CoopId,
        phone: &StreamId,
        member: MemberNo,
    ) -> Result<bool, StoreError> {
        let stream = self.load(coop, phone)?;
        let StreamState::Phone(phone) = &stream.state else {
            return Ok(false);
        };
        Ok(phone.serves.iter().any(|no| *no != member))
    }

    fn users(&self, coop: CoopId) -> Result<Vec<StreamId>, StoreError> {
        let start = keys::users(coop);
        let mut users = Vec::new();
        self.scan(
            Shelf::States,
            &start,
            keys::after(&start).as_deref(),
            |key, _| {
                users.extend(keys::read_stream(key).map(|(_, id, _)| id));
                Ok(true)
            },
        )?;
        Ok(users)
    }

    /// Writes a stream's events anew where `change` changes them, without the network's ids, and the state that they then make. How many.
    fn rewrite(
        &mut self,
        coop: CoopId,
        id: &StreamId,
        change: impl Fn(&mut Recorded),
    ) -> Result<usize, StoreError> {
        let mut state = StreamState::empty(id);
        let mut changed = 0;
        for (key, before) in self.runs(coop, id)? {
            let mut recorded = before.recorded.clone();
            for one in &mut recorded {
                change(one);
                state.apply(one);
            }
            let after = EventRun::new(before.step, None, recorded);
            if after != before {
                changed += after.recorded.len();
                self.put(Shelf::Events, key, &after)?;
            }
        }
        if changed > 0 {
            let stream = Stream::clone(&*self.load(coop, id)?);
            self.streams
                .insert(keys::stream(coop, id), Arc::new(Stream { state, ..stream }));
        }
        Ok(changed)
    }

    fn remove_stream(&mut self, coop: CoopId, id: &StreamId) -> Result<(), StoreError> {
        for (key, _) in self.runs(coop, id)? {
            self.remove(Shelf::Events, key);
        }
        let key = keys::stream(coop, id);
        self.streams.remove(&key);
        self.remove(Shelf::States, key);
        Ok(())
    }

    fn erase_messages(
        &mut self,
        coop: CoopId,
        member: MemberNo,
        own: &BTreeSet<PhoneNumber>,
        erased: &mut Erased,
    ) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes();
        let concerns = |message: &MessageRecord| {
            message.touched.iter().any(|touched| {
                matches!(touched.stream, StreamId::Farm(no) | StreamId::Member(no) if no == member)
            })
        };
        let (mut gone, mut about) = (Vec::new(), Vec::new());
        self.scan(
            Shelf::Messages,
            &start,
            keys::after(&start).as_deref(),
            |key, bytes| {
                let message: MessageRecord = codec::unseal(Shelf::Messages, key, bytes)?;
                if message.member == Some(member) || own.contains(&message.from) {
                    gone.push(key.to_vec());
                } else if concerns(&message) {
                    about.push((key.to_vec(), message));
                }
                Ok(true)
            },
        )?;
        for key in gone {
            erased
                .messages
                .extend(keys::read_message(&key).map(|(_, no)| no));
            self.remove(Shelf::Messages, key);
        }
        erased.emptied = about.len();
        for (key, mut message) in about {
            empty(&mut message);
            self.put(Shelf::Messages, key, &message)?;
        }
        Ok(())
    }

    fn erase_rows(
        &mut self,
        coop: CoopId,
        member: MemberNo,
        own: &BTreeSet<PhoneNumber>,
        last: MessageNo,
    ) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes();
        let mut rows = Vec::new();
        self.scan(
            Shelf::Outbox,
            &start,
            keys::after(&start).as_deref(),
            |key, bytes| {
                let record: RowRecord = codec::unseal(Shelf::Outbox, key, bytes)?;
                let to = &record.row.outbound;
                let theirs = to.member == Some(member) || own.contains(&to.to);
                if theirs && record.row.answers != Some(last) {
                    rows.push((key.to_vec(), record.row));
                }
                Ok(true)
            },
        )?;
        for (key, row) in rows {
            self.lift(&row);
            self.remove(Shelf::Outbox, key);
        }
        Ok(())
    }
}

/// What stands in the place of a number that is erased: country code 999 is assigned to nobody (list of ITU-T E.164 country codes, from memory).
const NOBODY: &str = "+9990000000";

impl Draft<'_> {
    /// Texts that a network has or may have: their receipts still find them.
    fn erase_sent(
        &mut self,
        coop: CoopId,
        member: MemberNo,
        own: &BTreeSet<PhoneNumber>,
    ) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes();
        let mut sent = Vec::new();
        self.scan(
            Shelf::Sent,
            &start,
            keys::after(&start).as_deref(),
            |key, bytes| {
                let record: SentRecord = codec::unseal(Shelf::Sent, key, bytes)?;
                let to = &record.row.outbound;
                if to.member == Some(member) || own.contains(&to.to) {
                    sent.push((key.to_vec(), record));
                }
                Ok(true)
            },
        )?;
        for (key, mut record) in sent {
            let outbound = &mut record.row.outbound;
            outbound.text.clear();
            outbound.member = None;
            if let Some(nobody) = PhoneNumber::new(NOBODY) {
                outbound.to = nobody;
            }
            self.put(Shelf::Sent, key, &record)?;
        }
        Ok(())
    }

    /// Redelivery keys: what comes again from there is a stranger's.
    fn erase_keys(&mut self, coop: CoopId, own: &BTreeSet<PhoneNumber>) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes();
        for shelf in self.store.shelves() {
            if shelf.span().is_none() {
                continue;
            }
            let mut found = Vec::new();
            self.scan(
                shelf,
                &start,
                keys::after(&start).as_deref(),
                |key, bytes| {
                    for phone in own {
                        if redelivery::is_from(shelf, key, bytes, phone)? {
                            found.push(key.to_vec());
                        }
                    }
                    Ok(true)
                },
            )?;
            for key in found {
                self.remove(shelf, key);
            }
        }
        Ok(())
    }
}

/// Records written in one go: keeps memory flat.
const WRITTEN_AT_ONCE: usize = 2_000;

impl Store {
    /// Empties the texts of messages received before a moment, and of their answers; who, when and what came of them stays. How many.
    ///
    /// # Errors
    /// When the database fails or a record is damaged.
    pub fn empty_texts(&self, before: DateTime<Utc>) -> Result<usize, StoreError> {
        let (mut emptied, mut waiting) = (0, Writes::new());
        self.old_messages(before, |key, bytes| {
            let mut message: MessageRecord = codec::unseal(Shelf::Messages, key, bytes)?;
            let texts = message.replies.iter().any(|reply| !reply.text.is_empty());
            if message.text.is_empty() && !texts {
                return Ok(());
            }
            empty(&mut message);
            emptied += 1;
            let sealed = codec::seal(Shelf::Messages, key, &message)?;
            waiting.insert(key.to_vec(), Some(sealed));
            if waiting.len() >= WRITTEN_AT_ONCE {
                self.apply(&BTreeMap::from([(
                    Shelf::Messages,
                    std::mem::take(&mut waiting),
                )]))?;
            }
            Ok(())
        })?;
        self.apply(&BTreeMap::from([(Shelf::Messages, waiting)]))?;
        self.flush()?;
        Ok(emptied)
    }
}

fn empty(message: &mut MessageRecord) {
    message.text.clear();
    for reply in &mut message.replies {
        reply.text.clear();
    }
}
