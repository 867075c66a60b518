//! What can be read from the store as of the last commit, besides one stream: members, farms, messages, cooperatives.
//!
//! Reads go on while the writer commits; each record is whole, a list may be a moment old.

use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::{CoopId, MessageNo};
use crate::domain::user::Login;
use crate::store::codec;
use crate::store::keys::{self, Shelf};
use crate::store::records::{MessageRecord, Stream};
use crate::store::{Store, StoreError};

impl Store {
    /// A message.
    ///
    /// # Errors
    /// When the database fails or the record is damaged.
    pub fn message(
        &self,
        coop: CoopId,
        no: MessageNo,
    ) -> Result<Option<MessageRecord>, StoreError> {
        self.get(Shelf::Messages, &keys::message(coop, no))
    }

    /// Visits a cooperative's messages, newest first, while `visit` says to go on.
    ///
    /// # Errors
    /// When the database fails, a record is damaged, or `visit` fails.
    pub fn messages_back(
        &self,
        coop: CoopId,
        mut visit: impl FnMut(MessageNo, MessageRecord) -> Result<bool, StoreError>,
    ) -> Result<(), StoreError> {
        let start = coop.0.to_be_bytes();
        let end = keys::after(&start);
        for entry in self.range(Shelf::Messages, &start, end.as_deref()).rev() {
            let (key, bytes) = entry?;
            let (_, no) =
                keys::read_message(&key).ok_or_else(|| StoreError::Key(Shelf::Messages.name()))?;
            if !visit(no, codec::unseal(Shelf::Messages, &key, &bytes)?)? {
                return Ok(());
            }
        }
        Ok(())
    }

    /// Visits a cooperative's messages, oldest first, until `visit` says enough.
    ///
    /// # Errors
    /// When the database fails, a record is damaged, or `visit` fails.
    pub fn messages_on(
        &self,
        coop: CoopId,
        visit: impl FnMut(MessageNo, MessageRecord) -> Result<bool, StoreError>,
    ) -> Result<(), StoreError> {
        self.messages_from(coop, MessageNo(0), visit)
    }

    /// The same from a number on.
    ///
    /// # Errors
    /// When the database fails, a record is damaged, or `visit` fails.
    pub fn messages_from(
        &self,
        coop: CoopId,
        first: MessageNo,
        mut visit: impl FnMut(MessageNo, MessageRecord) -> Result<bool, StoreError>,
    ) -> Result<(), StoreError> {
        let start = keys::message(coop, first);
        let end = keys::after(&coop.0.to_be_bytes());
        for entry in self.range(Shelf::Messages, &start, end.as_deref()) {
            let (key, bytes) = entry?;
            let (_, no) =
                keys::read_message(&key).ok_or_else(|| StoreError::Key(Shelf::Messages.name()))?;
            if !visit(no, codec::unseal(Shelf::Messages, &key, &bytes)?)? {
                return Ok(());
            }
        }
        Ok(())
    }

    /// The names of a cooperative's users, in order.
    ///
    /// # Errors
    /// When the database fails.
    pub fn users(&self, coop: CoopId) -> Result<Vec<Login>, StoreError> {
        let start = keys::users(coop);
        let mut logins = Vec::new();
        for entry in self.range(Shelf::States, &start, keys::after(&start).as_deref()) {
            let (key, _) = entry?;
            if let Some((_, StreamId::User(login), _)) = keys::read_stream(&key) {
                logins.push(login);
            }
        }
        Ok(logins)
    }

    /// Visits the streams of a cooperative's members, by number.
    ///
    /// # Errors
    /// When the database fails, a record is damaged, or `visit` fails.
    pub fn members(
        &self,
        coop: CoopId,
        mut visit: impl FnMut(&Stream) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        self.members_from(coop, MemberNo(0), |stream| {
            visit(stream)?;
            Ok(true)
        })
    }

    /// The same from a number on, until `visit` says enough.
    ///
    /// # Errors
    /// When the database fails, a record is damaged, or `visit` fails.
    pub fn members_from(
        &self,
        coop: CoopId,
        first: MemberNo,
        mut visit: impl FnMut(&Stream) -> Result<bool, StoreError>,
    ) -> Result<(), StoreError> {
        let start = keys::stream(coop, &StreamId::Member(first));
        let end = keys::after(&keys::members(coop));
        for entry in self.range(Shelf::States, &start, end.as_deref()) {
            let (key, bytes) = entry?;
            if !visit(&codec::unseal(Shelf::States, &key, &bytes)?)? {
                break;
            }
        }
        Ok(())
    }

    /// The farms of a cooperative, by member.
    ///
    /// # Errors
    /// When the database fails.
    pub fn farms(&self, coop: CoopId) -> Result<Vec<MemberNo>, StoreError> {
        let start = keys::farms(coop);
        let mut farms = Vec::new();
        for entry in self.range(Shelf::States, &start, keys::after(&start).as_deref()) {
            let (key, _) = entry?;
            if let Some((_, StreamId::Farm(no), _)) = keys::read_stream(&key) {
                farms.push(no);
            }
        }
        Ok(farms)
    }

    /// The cooperatives that have rules.
    ///
    /// # Errors
    /// When the database fails.
    pub fn coops(&self) -> Result<Vec<CoopId>, StoreError> {
        let mut found = Vec::new();
        let mut from = Some(Vec::new());
        while let Some(start) = from {
            let Some(entry) = self.range(Shelf::States, &start, None).next() else {
                break;
            };
            let (key, _) = entry?;
            let (coop, id, _) =
                keys::read_stream(&key).ok_or_else(|| StoreError::Key(Shelf::States.name()))?;
            // Rules come first among a cooperative's streams.
            if id == StreamId::Rules {
                found.push(coop);
            }
            from = keys::after(&coop.0.to_be_bytes());
        }
        Ok(found)
    }
}
