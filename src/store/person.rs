//! Everything that is kept of one member, a record a line, for the member.
//!
//! The lines are those of an export. This room changes nothing.

use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::delivery::SentRecord;
use crate::store::keys::{self, Shelf};
use crate::store::records::{MessageRecord, RowRecord, Stream};
use crate::store::{Store, StoreError, codec, lines};
use std::io::Write;

impl Store {
    /// Writes what is kept of a member: their streams and those of their phones, the messages they sent, what waits for them or was sent to them.
    /// How many records.
    ///
    /// # Errors
    /// When a record is damaged or `to` fails.
    pub fn about(
        &self,
        coop: CoopId,
        member: MemberNo,
        to: &mut dyn Write,
    ) -> Result<u64, StoreError> {
        let mut out = Out { to, records: 0 };
        let own = StreamId::Member(member);
        let mut streams = vec![
            own.clone(),
            StreamId::Farm(member),
            StreamId::Dossier(member),
        ];
        if let Stream {
            state: crate::desk::streams::StreamState::Member(member),
            ..
        } = &*self.load(coop, &own)?
        {
            streams.extend(member.phones.iter().cloned().map(StreamId::Phone));
        }
        for shelf in [Shelf::States, Shelf::Events] {
            for stream in &streams {
                let start = keys::stream(coop, stream);
                self.each(shelf, &start, |key, bytes| out.line(shelf, key, bytes))?;
            }
        }
        let start = coop.0.to_be_bytes();
        self.each(Shelf::Messages, &start, |key, bytes| {
            let message: MessageRecord = codec::unseal(Shelf::Messages, key, bytes)?;
            let theirs = message.member == Some(member);
            out.line_if(theirs, Shelf::Messages, key, bytes)
        })?;
        self.each(Shelf::Outbox, &start, |key, bytes| {
            let record: RowRecord = codec::unseal(Shelf::Outbox, key, bytes)?;
            let theirs = record.row.outbound.member == Some(member);
            out.line_if(theirs, Shelf::Outbox, key, bytes)
        })?;
        self.each(Shelf::Sent, &start, |key, bytes| {
            let record: SentRecord = codec::unseal(Shelf::Sent, key, bytes)?;
            let theirs = record.row.outbound.member == Some(member);
            out.line_if(theirs, Shelf::Sent, key, bytes)
        })?;
        Ok(out.records)
    }

    fn each(
        &self,
        shelf: Shelf,
        start: &[u8],
        mut visit: impl FnMut(&[u8], &[u8]) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        for entry in self.range(shelf, start, keys::after(start).as_deref()) {
            let (key, bytes) = entry?;
            visit(&key, &bytes)?;
        }
        Ok(())
    }
}

struct Out<'w> {
    to: &'w mut dyn Write,
    records: u64,
}

impl Out<'_> {
    fn line(&mut self, shelf: Shelf, key: &[u8], bytes: &[u8]) -> Result<(), StoreError> {
        self.records += 1;
        let line = lines::line(shelf, key, bytes)?;
        writeln!(self.to, "{line}").map_err(|why| StoreError::File {
            what: "writing a member's data".to_owned(),
            why,
        })
    }

    fn line_if(
        &mut self,
        theirs: bool,
        shelf: Shelf,
        key: &[u8],
        bytes: &[u8],
    ) -> Result<(), StoreError> {
        if theirs {
            self.line(shelf, key, bytes)?;
        }
        Ok(())
    }
}
