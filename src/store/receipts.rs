//! Delivery receipts find their texts: by the network's ids, kept for as long as a receipt may come.
//!
//! A receipt may come before the id that it names is known here; it waits then. This room does not know how a network writes a receipt.

use crate::domain::message::LinkName;
use crate::store::StoreError;
use crate::store::delivery::{DeliveryState, EarlyRecord, Matched, PartSent, SentRecord};
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::outbox::{OutboxId, OutboxRow, shortened};
use crate::store::records::{Moment, RowRecord};
use chrono::{DateTime, Duration, Utc};

/// A receipt comes within days: networks try a phone that is off for about three (common practice, no source). Twice a week is generous.
const SENT_DAYS: i64 = 14;
/// What is unknown waits so long for a person.
const UNKNOWN_DAYS: i64 = 90;
/// A receipt that nothing here asks for is another program's, or its text was settled without its id.
const EARLY_HOURS: i64 = 24;
/// Early receipts kept at a time, about 200 bytes each: beyond it they are another program's.
const EARLY_MOST: usize = 10_000;
/// Ids of one text: as many as a text may have parts.
const IDS_MOST: usize = 255;
/// Bytes of a network's id that count.
const ID_BYTES_MOST: usize = 128;
/// Records removed in one turn: keeps the writer's turn short.
const REMOVED_AT_ONCE: usize = 500;

/// What is removed at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Aged {
    /// A row of [`Shelf::Sent`].
    Sent(OutboxId),
    /// A dead row of the outbox.
    Dead(OutboxId),
    /// An early receipt, by its key.
    Early(Vec<u8>),
}

impl Aged {
    fn key(&self, at: DateTime<Utc>) -> Vec<u8> {
        let mut key = keys::millis(at).to_be_bytes().to_vec();
        match self {
            Self::Sent(id) => {
                key.push(0);
                key.extend(id.0.to_be_bytes());
            }
            Self::Early(early) => {
                key.push(1);
                key.extend(early);
            }
            Self::Dead(id) => {
                key.push(2);
                key.extend(id.0.to_be_bytes());
            }
        }
        key
    }

    fn read(key: &[u8]) -> Option<Self> {
        let (_, rest) = key.split_first_chunk::<8>()?;
        let (kind, rest) = rest.split_first()?;
        let id = || Some(OutboxId(u64::from_be_bytes(rest.try_into().ok()?)));
        match *kind {
            0 => Some(Self::Sent(id()?)),
            1 => Some(Self::Early(rest.to_vec())),
            2 => Some(Self::Dead(id()?)),
            _ => None,
        }
    }
}

/// The key of a network's id; what is longer than an id may be shares its beginning.
fn mark(link: &LinkName, id: &str) -> Vec<u8> {
    let mut key = keys::link(link);
    let id = id.as_bytes();
    key.extend(id.get(..ID_BYTES_MOST).unwrap_or(id));
    key
}

impl Draft<'_> {
    /// Something is to be removed at a moment.
    pub(crate) fn age(&mut self, at: DateTime<Utc>, what: Aged) -> Result<(), StoreError> {
        self.put(Shelf::Ages, what.key(at), &())
    }

    /// The network took a row; it leaves the outbox.
    pub(crate) fn hand_over(
        &mut self,
        mut row: OutboxRow,
        ids: &[String],
        parts: u16,
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.charge(&row, parts, now)?;
        if ids.is_empty() {
            return Ok(());
        }
        row.outbound.text.clear();
        let record = SentRecord {
            row,
            settled: now,
            parts,
            ids: Vec::new(),
            doubt: None,
        };
        self.keep(record, ids, now + Duration::days(SENT_DAYS))
    }

    /// The network may have a row; it leaves the outbox and waits for a receipt or a person.
    pub(crate) fn doubt(
        &mut self,
        row: OutboxRow,
        why: &str,
        mut ids: Vec<String>,
        parts: u16,
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.remove(Shelf::Outbox, keys::outbox(row.id));
        // Stands for the part that nothing is known of, so that the receipts of the others do not speak for it.
        ids.push(row.id.reference());
        let record = SentRecord {
            row,
            settled: now,
            parts,
            ids: Vec::new(),
            doubt: Some(shortened(why)),
        };
        self.keep(record, &ids, now + Duration::days(UNKNOWN_DAYS))
    }

    /// The network took a row that was in doubt: its answer came late. Whether it was in doubt.
    pub(crate) fn known_late(
        &mut self,
        id: OutboxId,
        ids: &[String],
        parts: u16,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let found = self.get::<SentRecord>(Shelf::Sent, &keys::outbox(id))?;
        let Some(record) = found.filter(|record| record.doubt.is_some()) else {
            return Ok(false);
        };
        self.unkeep(&record)?;
        let link = record.row.link.clone();
        self.hand_over(record.row, ids, parts, now)?;
        // What receipts have said of other parts stands.
        for PartSent { id, said } in record.ids {
            if let Some((state, Moment(at))) = said {
                self.receipt(&link, &[id], &state, [at, now])?;
            }
        }
        Ok(true)
    }

    fn keep(
        &mut self,
        mut record: SentRecord,
        ids: &[String],
        until: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let row = record.row.id;
        let link = record.row.link.clone();
        let mut early = Vec::new();
        for id in ids.iter().take(IDS_MOST) {
            let key = mark(&link, id);
            if let Some(found) = self.get::<EarlyRecord>(Shelf::Early, &key)? {
                self.remove(Shelf::Early, key.clone());
                self.remove(Shelf::Ages, Aged::Early(key.clone()).key(found.until));
                early.push((id.clone(), found));
            }
            self.put(Shelf::Marks, key, &row)?;
            record.ids.push(PartSent {
                id: id.clone(),
                said: None,
            });
        }
        self.age(until, Aged::Sent(row))?;
        for (id, found) in early {
            self.hear(&mut record, &id, &found.state, found.at)?;
        }
        self.put(Shelf::Sent, keys::outbox(row), &record)
    }

    /// A receipt about one id of a row. What was final stays: networks repeat receipts, and late.
    fn hear(
        &mut self,
        record: &mut SentRecord,
        id: &str,
        state: &DeliveryState,
        at: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let Some(part) = record.ids.iter_mut().find(|part| part.id == id) else {
            return Ok(());
        };
        let was_last = part.said.as_ref().is_some_and(|(said, _)| said.is_last());
        if was_last {
            return Ok(());
        }
        part.said = Some((state.clone(), Moment(at)));
        if record.doubt.is_some() && record.state().is_last() {
            // The network had it after all, and charges for it.
            record.doubt = None;
            record.row.outbound.text.clear();
            let (row, parts) = (record.row.clone(), record.parts);
            self.charge(&row, parts, record.settled)?;
        }
        Ok(())
    }

    /// A delivery receipt of `link`. `ids` are the ways to read its id; the first that a row has counts.
    ///
    /// # Errors
    /// When the database fails.
    pub fn receipt(
        &mut self,
        link: &LinkName,
        ids: &[String],
        state: &DeliveryState,
        [at, now]: [DateTime<Utc>; 2],
    ) -> Result<Matched, StoreError> {
        let state = match state {
            DeliveryState::Failed { why } => DeliveryState::Failed {
                why: shortened(why),
            },
            DeliveryState::Unknown { why } => DeliveryState::Unknown {
                why: shortened(why),
            },
            other => other.clone(),
        };
        for id in ids {
            let Some(row) = self.get::<OutboxId>(Shelf::Marks, &mark(link, id))? else {
                continue;
            };
            let key = keys::outbox(row);
            if let Some(mut record) = self.get::<SentRecord>(Shelf::Sent, &key)? {
                self.hear(&mut record, id, &state, at)?;
                self.put(Shelf::Sent, key, &record)?;
                return Ok(Matched::Row(row));
            }
        }
        if self.early_waiting()? >= EARLY_MOST {
            return Ok(Matched::Dropped);
        }
        let until = now + Duration::hours(EARLY_HOURS);
        for id in ids {
            let key = mark(link, id);
            let early = EarlyRecord {
                state: state.clone(),
                at,
                until,
            };
            let before = self.get::<EarlyRecord>(Shelf::Early, &key)?;
            if let Some(before) = before {
                self.remove(Shelf::Ages, Aged::Early(key.clone()).key(before.until));
                if before.state.is_last() {
                    let kept = EarlyRecord { until, ..before };
                    self.put(Shelf::Early, key.clone(), &kept)?;
                    self.age(until, Aged::Early(key))?;
                    continue;
                }
            }
            self.put(Shelf::Early, key.clone(), &early)?;
            self.age(until, Aged::Early(key))?;
        }
        Ok(Matched::Early)
    }

    fn early_waiting(&self) -> Result<usize, StoreError> {
        let mut waiting = 0;
        self.scan(Shelf::Early, &[], None, |_, _| {
            waiting += 1;
            Ok(waiting < EARLY_MOST)
        })?;
        Ok(waiting)
    }

    /// A person's word about a row that is dead or in doubt: sent again at `now`, worthless after `expires`; or forgotten. Whether it was there.
    ///
    /// # Errors
    /// When the database fails.
    pub fn resolve(
        &mut self,
        id: OutboxId,
        again: Option<DateTime<Utc>>,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let key = keys::outbox(id);
        let (step, mut row) = if let Some(record) = self.get::<SentRecord>(Shelf::Sent, &key)? {
            if record.doubt.is_none() {
                return Ok(false);
            }
            self.unkeep(&record)?;
            (0, record.row)
        } else {
            match self.get::<RowRecord>(Shelf::Outbox, &key)? {
                Some(record) if record.dead.is_some() => (record.step, record.row),
                _ => return Ok(false),
            }
        };
        match again {
            Some(expires) => {
                (row.due, row.expires, row.attempts, row.owner) = (now, expires, 0, None);
                self.place(RowRecord {
                    step,
                    row,
                    dead: None,
                })?;
            }
            None => self.remove(Shelf::Outbox, key),
        }
        Ok(true)
    }

    fn unkeep(&mut self, record: &SentRecord) -> Result<(), StoreError> {
        let id = record.row.id;
        for part in &record.ids {
            let key = mark(&record.row.link, &part.id);
            // The network may have used the id again since.
            if self.get::<OutboxId>(Shelf::Marks, &key)? == Some(id) {
                self.remove(Shelf::Marks, key);
            }
        }
        self.remove(Shelf::Sent, keys::outbox(id));
        Ok(())
    }

    /// Removes what has outlived its time; how many, at most 500 a turn.
    ///
    /// # Errors
    /// When the database fails.
    pub fn prune(&mut self, now: DateTime<Utc>) -> Result<usize, StoreError> {
        let end = (keys::millis(now) + 1).to_be_bytes();
        let mut old = Vec::new();
        self.scan(Shelf::Ages, &[], Some(&end), |key, _| {
            old.push(key.to_vec());
            Ok(old.len() < REMOVED_AT_ONCE)
        })?;
        let removed = old.len();
        for key in old {
            let what = Aged::read(&key).ok_or_else(|| StoreError::Key(Shelf::Ages.name()))?;
            self.remove(Shelf::Ages, key);
            match what {
                Aged::Early(early) => self.remove(Shelf::Early, early),
                Aged::Sent(id) => {
                    if let Some(record) = self.get::<SentRecord>(Shelf::Sent, &keys::outbox(id))? {
                        self.unkeep(&record)?;
                    }
                }
                Aged::Dead(id) => {
                    let key = keys::outbox(id);
                    let row = self.get::<RowRecord>(Shelf::Outbox, &key)?;
                    if row.is_some_and(|row| row.dead.is_some()) {
                        self.remove(Shelf::Outbox, key);
                    }
                }
            }
        }
        Ok(removed)
    }
}
