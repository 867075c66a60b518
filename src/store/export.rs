//! A whole store as lines of text, and a store from such lines.
//!
//! The first line names the form, the last one counts the records and carries a checksum of all lines before it, so that a file cut short is
//! noticed. Lines stand in the order of shelves and keys. This room does not know where the lines go.

use crate::store::draft::Writes;
use crate::store::keys::Shelf;
use crate::store::records::MessageRecord;
use crate::store::{Store, StoreError, codec, lines};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io::{BufRead, Read, Write};

/// The form of exports written today, raised with the form of the states or of the events in them. The states of an older one are made again from
/// its events.
const FORM: u32 = codec::form(Shelf::States) as u32 + codec::form(Shelf::Events) as u32 - 1;
/// Records written in one go by an import: keeps memory flat.
const IMPORTED_AT_ONCE: usize = 2_000;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    clutchline_export: u32,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Tail {
    records: u64,
    crc32: u32,
}

/// Lines on their way out, counted and summed.
struct Out<'w> {
    to: &'w mut dyn Write,
    sum: crc32fast::Hasher,
    records: u64,
}

impl<'w> Out<'w> {
    fn begin(to: &'w mut dyn Write) -> Result<Self, StoreError> {
        let mut out = Self {
            to,
            sum: crc32fast::Hasher::new(),
            records: 0,
        };
        out.write(&format!("{{\"clutchline_export\":{FORM}}}"))?;
        Ok(out)
    }

    fn write(&mut self, line: &str) -> Result<(), StoreError> {
        self.sum.update(line.as_bytes());
        self.sum.update(b"\n");
        writeln!(self.to, "{line}").map_err(unwritten)
    }

    fn record(&mut self, shelf: Shelf, key: &[u8], bytes: &[u8]) -> Result<(), StoreError> {
        self.records += 1;
        self.write(&lines::line(shelf, key, bytes)?)
    }

    fn end(self) -> Result<u64, StoreError> {
        let (records, crc32) = (self.records, self.sum.finalize());
        writeln!(self.to, "{{\"records\":{records},\"crc32\":{crc32}}}")
            .and_then(|()| self.to.flush())
            .map_err(unwritten)?;
        Ok(records)
    }
}

fn unwritten(why: std::io::Error) -> StoreError {
    StoreError::File {
        what: "writing the export".to_owned(),
        why,
    }
}

impl Store {
    /// Writes every record of the store; how many.
    ///
    /// # Errors
    /// When a record is damaged or `to` fails.
    pub fn export(&self, to: &mut dyn Write) -> Result<u64, StoreError> {
        let mut out = Out::begin(to)?;
        for shelf in self.shelves() {
            for entry in self.range(shelf, &[], None) {
                let (key, bytes) = entry?;
                out.record(shelf, &key, &bytes)?;
            }
        }
        out.end()
    }

    /// Writes the messages received before a moment, in the same form; how many.
    ///
    /// # Errors
    /// When a record is damaged or `to` fails.
    pub fn export_messages(
        &self,
        before: DateTime<Utc>,
        to: &mut dyn Write,
    ) -> Result<u64, StoreError> {
        let mut out = Out::begin(to)?;
        self.old_messages(before, |key, bytes| out.record(Shelf::Messages, key, bytes))?;
        out.end()
    }

    /// Takes the messages received before a moment out of the store.
    ///
    /// # Errors
    /// When the database fails.
    pub fn remove_messages(&self, before: DateTime<Utc>) -> Result<(), StoreError> {
        let mut old = Writes::new();
        self.old_messages(before, |key, _| {
            old.insert(key.to_vec(), None);
            if old.len() >= IMPORTED_AT_ONCE {
                self.apply(&BTreeMap::from([(
                    Shelf::Messages,
                    std::mem::take(&mut old),
                )]))?;
            }
            Ok(())
        })?;
        self.apply(&BTreeMap::from([(Shelf::Messages, old)]))?;
        self.flush()
    }

    pub(crate) fn old_messages(
        &self,
        before: DateTime<Utc>,
        mut visit: impl FnMut(&[u8], &[u8]) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        for entry in self.range(Shelf::Messages, &[], None) {
            let (key, bytes) = entry?;
            let message: MessageRecord = codec::unseal(Shelf::Messages, &key, &bytes)?;
            if message.received_at < before {
                visit(&key, &bytes)?;
            }
        }
        Ok(())
    }

    /// Nothing is kept here.
    ///
    /// # Errors
    /// When the database fails.
    pub fn is_empty(&self) -> Result<bool, StoreError> {
        for shelf in self.shelves() {
            if self.range(shelf, &[], None).next().transpose()?.is_some() {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Fills an empty store from an export; how many records.
    ///
    /// # Errors
    /// [`StoreError::Line`] where the lines are not a whole export, or the store is not empty. What was read until then is in the store: throw it away.
    pub fn import(&self, from: &mut dyn BufRead) -> Result<u64, StoreError> {
        if !self.is_empty()? {
            let why = "an import needs an empty data folder; name a new one with --data".to_owned();
            return Err(StoreError::Line { line: 1, why });
        }
        let mut reader = Lines {
            from,
            at: 0,
            sum: crc32fast::Hasher::new(),
        };
        let head: Option<Head> = reader
            .next()?
            .and_then(|line| serde_json::from_str(&line).ok());
        let form = match head.map(|head| head.clutchline_export) {
            Some(form @ 1..=FORM) => form,
            Some(_) => return Err(reader.wrong("this export was written by a newer program")),
            None => {
                return Err(
                    reader.wrong("expected the first line of an export, {\"clutchline_export\":1}")
                );
            }
        };
        let records = self.import_records(&mut reader, form < FORM)?;
        if form < FORM {
            self.remake_all()?;
        }
        self.flush()?;
        self.forget();
        self.read_numbers()?;
        Ok(records)
    }

    fn import_records(&self, reader: &mut Lines<'_>, older: bool) -> Result<u64, StoreError> {
        let mut records = 0;
        let mut waiting: BTreeMap<Shelf, Writes> = BTreeMap::new();
        loop {
            let sum = reader.sum.clone().finalize();
            let Some(line) = reader.next()? else {
                return Err(reader.wrong(
                    "the export is cut short: its last line, which counts the records, is missing",
                ));
            };
            if let Ok(tail) = serde_json::from_str::<Tail>(&line) {
                self.apply(&waiting)?;
                let whole = tail.records == records && tail.crc32 == sum;
                return if whole {
                    Ok(records)
                } else {
                    Err(reader.wrong("the export's count or checksum does not match its lines"))
                };
            }
            let (shelf, key, bytes) = lines::record(reader.at, &line, older)?;
            waiting.entry(shelf).or_default().insert(key, Some(bytes));
            records += 1;
            if waiting.values().map(BTreeMap::len).sum::<usize>() >= IMPORTED_AT_ONCE {
                self.apply(&std::mem::take(&mut waiting))?;
            }
        }
    }
}

/// Lines one at a time, counted, with their running checksum.
struct Lines<'r> {
    from: &'r mut dyn BufRead,
    at: usize,
    sum: crc32fast::Hasher,
}

impl Lines<'_> {
    fn next(&mut self) -> Result<Option<String>, StoreError> {
        let mut line = String::new();
        self.at += 1;
        let mut bounded = self.from.take(lines::LINE_MOST);
        let read = bounded
            .read_line(&mut line)
            .map_err(|why| StoreError::File {
                what: "reading the export".to_owned(),
                why,
            })?;
        if read == 0 {
            return Ok(None);
        }
        if !line.ends_with('\n') && read as u64 >= lines::LINE_MOST {
            return Err(self.wrong("the line is longer than a record can be"));
        }
        self.sum.update(line.as_bytes());
        line.truncate(line.trim_end_matches(['\n', '\r']).len());
        Ok(Some(line))
    }

    fn wrong(&self, why: &str) -> StoreError {
        StoreError::Line {
            line: self.at,
            why: why.to_owned(),
        }
    }
}
