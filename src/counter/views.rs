//! What can be looked at: members, farms, messages, harvests, as of the last commit.
//!
//! Reads only, on the caller's thread; nothing here waits for the writer.

use crate::counter::Counter;
use crate::counter::answers::{CounterError, MessageRow};
use crate::counter::deliveries::{self, DeliveryRow};
use crate::counter::harvests::{self, HarvestRow};
use crate::counter::people;
use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::domain::MemberNo;
use crate::domain::event::{Recorded, StreamId};
use crate::domain::message::{CoopId, MessageNo};
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::store::StoreError;
use crate::store::records::MessageRecord;

/// Messages looked at to find a member's: a cooperative of a thousand keepers' last month. A read model will do better.
const LOOKED_AT: usize = 50_000;

impl Counter {
    /// The cooperative's rules; those of a cooperative that is not founded have no name.
    ///
    /// # Errors
    /// When the store fails.
    pub fn rules(&self, coop: CoopId) -> Result<Rules, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Rules)?;
        Ok(people::rules(&stream)?.clone())
    }

    /// The cooperatives of this folder.
    ///
    /// # Errors
    /// When the store fails.
    pub fn coops(&self) -> Result<Vec<CoopId>, CounterError> {
        Ok(self.0.store.coops()?)
    }

    /// Every member, by number.
    ///
    /// # Errors
    /// When the store fails.
    pub fn members(&self, coop: CoopId) -> Result<Vec<Member>, CounterError> {
        let mut members = Vec::new();
        self.0.store.members(coop, |stream| {
            let member = people::member(stream)?;
            if member.joined {
                members.push(member.clone());
            }
            Ok(())
        })?;
        Ok(members)
    }

    /// Visits the members from a number on, until `visit` says enough.
    ///
    /// # Errors
    /// When the store fails.
    pub fn members_from(
        &self,
        coop: CoopId,
        first: MemberNo,
        visit: &mut dyn FnMut(&Member) -> bool,
    ) -> Result<(), CounterError> {
        Ok(self.0.store.members_from(coop, first, |stream| {
            let member = people::member(stream)?;
            Ok(!member.joined || visit(member))
        })?)
    }

    /// A member; one that has not joined is empty.
    ///
    /// # Errors
    /// When the store fails.
    pub fn member(&self, coop: CoopId, no: MemberNo) -> Result<Member, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Member(no))?;
        Ok(people::member(&stream)?.clone())
    }

    /// What happened to a member, oldest first.
    ///
    /// # Errors
    /// When the store fails.
    pub fn member_events(&self, coop: CoopId, no: MemberNo) -> Result<Vec<Recorded>, CounterError> {
        let mut events = Vec::new();
        let stream = StreamId::Member(no);
        self.0.store.events(coop, &stream, |_, record| {
            events.push(record.recorded);
            Ok(())
        })?;
        Ok(events)
    }

    /// The members who live in a ward, by number.
    ///
    /// # Errors
    /// When the store fails.
    pub fn members_of_ward(&self, coop: CoopId, ward: &str) -> Result<Vec<MemberNo>, CounterError> {
        let mut found = Vec::new();
        self.0.store.members(coop, |stream| {
            let member = people::member(stream)?;
            if member.joined && member.ward.as_deref() == Some(ward) {
                found.push(member.number);
            }
            Ok(())
        })?;
        Ok(found)
    }

    /// The members whom a phone serves.
    ///
    /// # Errors
    /// When the store fails.
    pub fn served_by(
        &self,
        coop: CoopId,
        phone: &PhoneNumber,
    ) -> Result<Vec<MemberNo>, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Phone(phone.clone()))?;
        Ok(people::phone(&stream)?.serves.clone())
    }

    /// A member's farm.
    ///
    /// # Errors
    /// When the store fails.
    pub fn farm(&self, coop: CoopId, no: MemberNo) -> Result<Farm, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Farm(no))?;
        Ok(people::farm(&stream)?.clone())
    }

    /// The last messages of a member, newest first, among the cooperative's last 50,000.
    ///
    /// # Errors
    /// When the store fails.
    pub fn messages(
        &self,
        coop: CoopId,
        member: MemberNo,
        most: usize,
    ) -> Result<Vec<MessageRow>, CounterError> {
        let mut rows = Vec::new();
        let mut looked_at = 0;
        self.0.store.messages_back(coop, |no, record| {
            looked_at += 1;
            if record.member == Some(member) && rows.len() < most {
                rows.push(row(no, record));
            }
            Ok(rows.len() < most && looked_at < LOOKED_AT)
        })?;
        Ok(rows)
    }

    /// One message.
    ///
    /// # Errors
    /// When the store fails.
    pub fn message(&self, coop: CoopId, no: MessageNo) -> Result<Option<MessageRow>, CounterError> {
        let record = self.0.store.message(coop, no)?;
        Ok(record.map(|record| row(no, record)))
    }

    /// The members who have a farm, by number.
    ///
    /// # Errors
    /// When the store fails.
    pub fn farms(&self, coop: CoopId) -> Result<Vec<MemberNo>, CounterError> {
        Ok(self.0.store.farms(coop)?)
    }

    /// Visits every harvest of a farm that stands, by cage and day.
    ///
    /// # Errors
    /// When the store fails.
    pub fn harvests_of(
        &self,
        coop: CoopId,
        farm: MemberNo,
        visit: &mut dyn FnMut(HarvestRow),
    ) -> Result<(), CounterError> {
        Ok(harvests::of_farm(&self.0.store, coop, farm, visit)?)
    }

    /// Every delivery of a farm that stands, by day.
    ///
    /// # Errors
    /// When the store fails.
    pub fn deliveries_of(
        &self,
        coop: CoopId,
        farm: MemberNo,
    ) -> Result<Vec<DeliveryRow>, CounterError> {
        Ok(deliveries::of_farm(&self.0.store, coop, farm)?)
    }

    /// Visits a farm's events in order.
    ///
    /// # Errors
    /// When the store fails.
    pub fn farm_events(
        &self,
        coop: CoopId,
        farm: MemberNo,
        visit: &mut dyn FnMut(&Recorded),
    ) -> Result<(), CounterError> {
        self.0
            .store
            .events(coop, &StreamId::Farm(farm), |_, record| {
                visit(&record.recorded);
                Ok(())
            })?;
        Ok(())
    }

    /// Visits the messages received, oldest first, until `visit` says enough.
    ///
    /// # Errors
    /// When the store fails.
    pub fn each_message(
        &self,
        coop: CoopId,
        visit: &mut dyn FnMut(MessageRow) -> bool,
    ) -> Result<(), CounterError> {
        self.0
            .store
            .messages_on(coop, |no, record| Ok(visit(row(no, record))))?;
        Ok(())
    }

    /// Visits the messages received from a number on, until `visit` says enough.
    ///
    /// # Errors
    /// When the store fails.
    pub fn messages_from(
        &self,
        coop: CoopId,
        first: MessageNo,
        visit: &mut dyn FnMut(MessageRow) -> bool,
    ) -> Result<(), CounterError> {
        Ok(self
            .0
            .store
            .messages_from(coop, first, |no, record| Ok(visit(row(no, record))))?)
    }

    /// Rises with every commit that changes the record: a page that was made at the same mark would be the same today.
    #[must_use]
    pub fn mark(&self) -> u64 {
        self.0.store.numbers().step
    }

    /// Bytes of the database on disk.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn size_on_disk(&self) -> Result<u64, CounterError> {
        Ok(self.0.store.size_on_disk()?)
    }
}

fn row(message: MessageNo, record: MessageRecord) -> MessageRow {
    let replies = record.outbounds();
    MessageRow {
        message,
        sent_at: record.sent_at,
        received_at: record.received_at,
        from: record.from,
        member: record.member,
        text: record.text,
        outcome: record.outcome,
        replies,
    }
}

impl From<StoreError> for CounterError {
    fn from(error: StoreError) -> Self {
        Self::Store(error.to_string())
    }
}
