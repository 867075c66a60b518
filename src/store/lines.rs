//! A record as one line of JSON, and back: what exports, backups and archives are made of.
//!
//! `{"shelf":"messages","key":"00010000000000000001","record":{...}}`: the key in hexadecimal, the record in the shape of `records`, times and
//! phone numbers in full. A line holds all that its record holds, so that what is imported is exported again byte for byte.

use crate::store::StoreError;
use crate::store::codec;
use crate::store::delivery::{EarlyRecord, SentRecord};
use crate::store::events::EventRun;
use crate::store::keys::{self, Shelf};
use crate::store::ledger::LedgerRecord;
use crate::store::outbox::OutboxId;
use crate::store::records::{
    MessageRecord, Moment, Numbers, Route, RowRecord, SessionRecord, Stream,
};
use crate::store::redelivery::{SeenId, SeenText, is_by_id};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// The longest line that is read: a farm of 160 cages with its history takes a tenth of it.
pub const LINE_MOST: u64 = 4 * 1024 * 1024;

#[derive(Serialize)]
struct Written<'a, T> {
    shelf: &'a str,
    key: &'a str,
    record: &'a T,
}

/// A line before its record's shape is known.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Read {
    shelf: String,
    key: String,
    record: serde_json::Value,
}

/// What kind of record lies under a key of a shelf.
enum Kind {
    Numbers,
    Message,
    Event,
    Stream,
    Row,
    Route,
    SeenId,
    SeenText,
    Sent,
    Mark,
    Early,
    Ledger,
    Session,
    /// The key says it all.
    Nothing,
}

fn kind(shelf: Shelf, key: &[u8]) -> Kind {
    match shelf {
        Shelf::Meta => Kind::Numbers,
        Shelf::Messages => Kind::Message,
        Shelf::Events => Kind::Event,
        Shelf::States => Kind::Stream,
        Shelf::Outbox => Kind::Row,
        Shelf::Routes => Kind::Route,
        Shelf::Seen(_) if is_by_id(key) => Kind::SeenId,
        Shelf::Seen(_) => Kind::SeenText,
        Shelf::Sent => Kind::Sent,
        Shelf::Marks => Kind::Mark,
        Shelf::Early => Kind::Early,
        Shelf::Ledger => Kind::Ledger,
        Shelf::Sessions => Kind::Session,
        Shelf::Due
        | Shelf::Wakeups
        | Shelf::Ages
        | Shelf::FarmRows
        | Shelf::Ranks
        | Shelf::WardDays
        | Shelf::Names
        | Shelf::ByWard
        | Shelf::Stale
        | Shelf::Threads
        | Shelf::Unread
        | Shelf::Deadlines
        | Shelf::Deeds
        | Shelf::Received => Kind::Nothing,
    }
}

/// The line of a record, without its end.
///
/// # Errors
/// When the record is damaged.
pub fn line(shelf: Shelf, key: &[u8], bytes: &[u8]) -> Result<String, StoreError> {
    match kind(shelf, key) {
        Kind::Numbers => shown::<Numbers>(shelf, key, bytes),
        Kind::Message => shown::<MessageRecord>(shelf, key, bytes),
        Kind::Event => written(shelf, key, &EventRun::read(key, bytes)?),
        Kind::Stream => shown::<Stream>(shelf, key, bytes),
        Kind::Row => shown::<RowRecord>(shelf, key, bytes),
        Kind::Route => shown::<Route>(shelf, key, bytes),
        Kind::SeenId => shown::<SeenId>(shelf, key, bytes),
        Kind::SeenText => shown::<SeenText>(shelf, key, bytes),
        Kind::Sent => shown::<SentRecord>(shelf, key, bytes),
        Kind::Mark => shown::<OutboxId>(shelf, key, bytes),
        Kind::Early => shown::<EarlyRecord>(shelf, key, bytes),
        Kind::Ledger => shown::<LedgerRecord>(shelf, key, bytes),
        Kind::Session => shown::<SessionRecord>(shelf, key, bytes),
        Kind::Nothing => shown::<()>(shelf, key, bytes),
    }
}

fn shown<T: Serialize + DeserializeOwned>(
    shelf: Shelf,
    key: &[u8],
    bytes: &[u8],
) -> Result<String, StoreError> {
    written(shelf, key, &codec::unseal::<T>(shelf, key, bytes)?)
}

fn written<T: Serialize>(shelf: Shelf, key: &[u8], record: &T) -> Result<String, StoreError> {
    let written = Written {
        shelf: &shelf.name(),
        key: &hex(key),
        record,
    };
    serde_json::to_string(&written)
        .map_err(|why| StoreError::Record(codec::CodecError::Shape(why.to_string())))
}

/// Shelf, key and bytes of line number `at`. In an export of an older form (`older`) states are not read: an empty one holds the place until its
/// events have made it again.
///
/// # Errors
/// [`StoreError::Line`] when it is not a line of an export.
pub fn record(at: usize, line: &str, older: bool) -> Result<(Shelf, Vec<u8>, Vec<u8>), StoreError> {
    let wrong = |why: String| StoreError::Line { line: at, why };
    let read: Read =
        serde_json::from_str(line).map_err(|why| wrong(format!("expected a record, {why}")))?;
    let shelf = Shelf::of_name(&read.shelf).ok_or_else(|| {
        wrong(format!(
            "expected a shelf such as messages, found {:?}",
            read.shelf
        ))
    })?;
    let key = unhex(&read.key).ok_or_else(|| wrong("expected a key in hexadecimal".to_owned()))?;
    let bytes = match kind(shelf, &key) {
        Kind::Numbers => sealed::<Numbers>(shelf, &key, read.record),
        Kind::Message => sealed::<MessageRecord>(shelf, &key, read.record),
        Kind::Event => sealed::<EventRun>(shelf, &key, as_run(read.record)),
        Kind::Stream if older => empty_state(shelf, &key, read.record),
        Kind::Stream => sealed::<Stream>(shelf, &key, read.record),
        Kind::Row => sealed::<RowRecord>(shelf, &key, read.record),
        Kind::Route => sealed::<Route>(shelf, &key, read.record),
        Kind::SeenId => sealed::<SeenId>(shelf, &key, read.record),
        Kind::SeenText => sealed::<SeenText>(shelf, &key, read.record),
        Kind::Sent => sealed::<SentRecord>(shelf, &key, read.record),
        Kind::Mark => sealed::<OutboxId>(shelf, &key, read.record),
        Kind::Early => sealed::<EarlyRecord>(shelf, &key, read.record),
        Kind::Ledger => sealed::<LedgerRecord>(shelf, &key, read.record),
        Kind::Session => sealed::<SessionRecord>(shelf, &key, read.record),
        Kind::Nothing => sealed::<()>(shelf, &key, read.record),
    };
    bytes.map(|bytes| (shelf, key, bytes)).map_err(wrong)
}

fn sealed<T: Serialize + DeserializeOwned>(
    shelf: Shelf,
    key: &[u8],
    record: serde_json::Value,
) -> Result<Vec<u8>, String> {
    let record: T =
        serde_json::from_value(record).map_err(|why| format!("the record does not read: {why}"))?;
    codec::seal(shelf, key, &record).map_err(|why| why.to_string())
}

/// A record of events; in exports of old each event had a line of its own.
fn as_run(mut record: serde_json::Value) -> serde_json::Value {
    if let Some(one) = record.get_mut("recorded").filter(|it| it.is_object()) {
        *one = serde_json::Value::Array(vec![one.take()]);
    }
    record
}

/// What stands before a state in every form.
#[derive(Deserialize)]
struct StateHead {
    version: u32,
    wake: Option<Moment>,
    heard: Option<Moment>,
}

/// An empty state under the head of an older one.
fn empty_state(shelf: Shelf, key: &[u8], record: serde_json::Value) -> Result<Vec<u8>, String> {
    let (_, id, _) = keys::read_stream(key).ok_or("expected the key of a stream")?;
    let head: StateHead =
        serde_json::from_value(record).map_err(|why| format!("the record does not read: {why}"))?;
    let stream = Stream {
        version: head.version,
        wake: head.wake,
        heard: head.heard,
        ..Stream::empty(&id)
    };
    codec::seal(shelf, key, &stream).map_err(|why| why.to_string())
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    let nibbles: Option<Vec<u8>> = text
        .chars()
        .map(|c| c.to_digit(16).and_then(|n| u8::try_from(n).ok()))
        .collect();
    let nibbles = nibbles.filter(|n| n.len() % 2 == 0)?;
    Some(
        nibbles
            .chunks(2)
            .map(|pair| pair.iter().fold(0, |sum, n| sum << 4 | n))
            .collect(),
    )
}
