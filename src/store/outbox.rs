//! Texts that wait to be sent: due rows are leased to a link's driver, and settled when the network has spoken.
//!
//! A lease is an expiry, not a lock: a driver that dies leaves its rows due again. This room does not know how anything is sent.

use crate::domain::compact;
use crate::domain::message::CoopId;
use crate::domain::message::LinkName;
use crate::domain::message::MessageNo;
use crate::domain::message::Outbound;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::receipts::Aged;
use crate::store::records::RowRecord;
use crate::store::step::Outgoing;
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};

/// The number of an outbox row: rising, never reused in one data folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct OutboxId(pub u64);

/// What a row is, and with it how urgent: lower leaves first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Urgency {
    /// The answer to a message: somebody waits for it.
    Answer,
    /// A notice to another member concerned.
    Notice,
    /// A reminder; worthless by the evening.
    Reminder,
    /// One text for many members; nobody waits for it. The number of each variant is part of stored keys: new ones come last.
    Broadcast,
}

impl Urgency {
    /// All, what leaves first in front.
    pub const ALL: [Self; 4] = [Self::Answer, Self::Notice, Self::Reminder, Self::Broadcast];
}

/// One text on its way out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OutboxRow {
    /// Its number; the network sees it as our reference, so that a repeated sending can be told.
    pub id: OutboxId,
    /// The cooperative that sends.
    pub coop: CoopId,
    /// The link that it leaves by.
    pub link: LinkName,
    /// What it is.
    pub urgency: Urgency,
    /// To whom and what.
    pub outbound: Outbound,
    /// The message that it answers, where it answers one.
    pub answers: Option<MessageNo>,
    /// Not before this moment. A leased row is due again when its lease ends.
    #[serde(with = "compact::moment")]
    pub due: DateTime<Utc>,
    /// Worthless from this moment: never leased again.
    #[serde(with = "compact::moment")]
    pub expires: DateTime<Utc>,
    /// How often it was leased before this lease.
    pub attempts: u16,
    /// Who leased it last.
    pub owner: Option<String>,
}

/// How a leased row ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Settled {
    /// The network took it.
    Sent {
        /// The network's ids, one for each part that got one: what its receipts will name. None: no receipt can be matched.
        ids: Vec<String>,
        /// Parts that the network counts, for the ledger.
        parts: u16,
    },
    /// Not now; try again at this moment.
    Retry {
        /// Not before.
        at: DateTime<Utc>,
    },
    /// The network was silent but tells a repeated id: the same link may try again, no other one.
    RetryHere {
        /// Not before.
        at: DateTime<Utc>,
    },
    /// The network may have it or not. Never sent again by itself: a later receipt or a person ends it.
    Unknown {
        /// What happened, without personal data.
        why: String,
        /// The ids of parts that were taken, where some were.
        ids: Vec<String>,
        /// Parts of the whole text.
        parts: u16,
    },
    /// Never: refused for good. Kept for a person to see.
    Dead {
        /// Why, in the network's words, without personal data.
        why: String,
    },
    /// Too late to be of use.
    Expired,
}

impl Settled {
    /// Taken as one part, and the network gave no id.
    #[must_use]
    pub const fn sent() -> Self {
        Self::Sent {
            ids: Vec::new(),
            parts: 1,
        }
    }
}

/// What a lease does with a row whose last lease ended without a word: its driver died while the text was on its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Abandoned {
    /// Leased again: the network tells a repeated id, or a second copy does no harm.
    Again,
    /// Kept as unknown: the network may have it.
    Unknown,
}

/// What a lease found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Leased {
    /// The rows, most urgent first.
    pub rows: Vec<OutboxRow>,
    /// Rows that had become worthless.
    pub expired: usize,
    /// Rows that were given up as unknown.
    pub unknown: usize,
}

impl OutboxId {
    /// The row of that number in a cooperative: the cooperative is the first two bytes.
    #[must_use]
    pub const fn new(coop: CoopId, number: u64) -> Self {
        Self(((coop.0 as u64) << 48) | (number & NUMBER_MASK))
    }

    /// The cooperative.
    #[must_use]
    pub const fn coop(self) -> CoopId {
        CoopId((self.0 >> 48) as u16)
    }

    /// Our own reference of the row, as networks see it.
    #[must_use]
    pub fn reference(self) -> String {
        format!("out-{}", self.0)
    }
}

/// 2 to the 48th rows: 150,000 years of 5 million a day.
const NUMBER_MASK: u64 = (1 << 48) - 1;

/// Rows looked at by one lease, expired ones included: keeps the writer's turn short.
const LOOKED_AT: usize = 1_000;

impl Draft<'_> {
    /// Adds a row of the step `no`.
    pub(crate) fn put_row(
        &mut self,
        coop: CoopId,
        no: MessageNo,
        out: Outgoing,
    ) -> Result<(), StoreError> {
        let id = OutboxId::new(coop, self.numbers.row);
        self.numbers.row += 1;
        let row = OutboxRow {
            id,
            coop,
            link: out.link,
            urgency: out.urgency,
            outbound: out.outbound,
            answers: out.answers,
            due: out.due,
            expires: out.expires,
            attempts: 0,
            owner: None,
        };
        self.place(RowRecord {
            step: no.0,
            row,
            dead: None,
        })
    }

    pub(crate) fn place(&mut self, record: RowRecord) -> Result<(), StoreError> {
        let row = &record.row;
        if record.dead.is_none() {
            let due = keys::due(&row.link, row.urgency, row.due, row.id);
            self.put(Shelf::Due, due, &())?;
        }
        self.put(Shelf::Outbox, keys::outbox(row.id), &record)
    }

    pub(crate) fn lift(&mut self, row: &OutboxRow) {
        let due = keys::due(&row.link, row.urgency, row.due, row.id);
        self.remove(Shelf::Due, due);
    }

    /// Leases at most `most` rows of `link` that are due at `now`, most urgent first, until `until`; expired ones are dropped on the way.
    ///
    /// # Errors
    /// When the database fails.
    pub fn lease(
        &mut self,
        link: &LinkName,
        owner: &str,
        most: usize,
        abandoned: Abandoned,
        [now, until]: [DateTime<Utc>; 2],
    ) -> Result<Leased, StoreError> {
        let mut leased = Leased::default();
        for urgency in Urgency::ALL {
            for id in self.due_rows(link, urgency, now)? {
                if leased.rows.len() >= most {
                    return Ok(leased);
                }
                let Some(mut record) = self.get::<RowRecord>(Shelf::Outbox, &keys::outbox(id))?
                else {
                    return Err(StoreError::Key(Shelf::Due.name()));
                };
                self.lift(&record.row);
                if record.row.owner.is_some() && abandoned == Abandoned::Unknown {
                    let why = "the gateway stopped while it was being sent";
                    self.doubt(record.row, why, Vec::new(), 1, now)?;
                    leased.unknown += 1;
                    continue;
                }
                if record.row.expires <= now {
                    self.remove(Shelf::Outbox, keys::outbox(id));
                    leased.expired += 1;
                    continue;
                }
                let doubted = record.row.owner.is_some();
                let mark = if doubted { DOUBTED } else { "" };
                let owner = Some(format!("{mark}{owner}"));
                leased.rows.push(OutboxRow {
                    owner: owner.clone(),
                    ..record.row.clone()
                });
                record.row.due = until;
                record.row.attempts = record.row.attempts.saturating_add(1);
                record.row.owner = owner;
                self.place(record)?;
            }
        }
        Ok(leased)
    }

    fn due_rows(
        &self,
        link: &LinkName,
        urgency: Urgency,
        now: DateTime<Utc>,
    ) -> Result<Vec<OutboxId>, StoreError> {
        let start = keys::due_start(link, urgency);
        let mut end = start.clone();
        end.extend((keys::millis(now) + 1).to_be_bytes());
        let mut found = Vec::new();
        self.scan(Shelf::Due, &start, Some(&end), |key, _| {
            found.push(keys::read_due(key).ok_or_else(|| StoreError::Key(Shelf::Due.name()))?);
            Ok(found.len() < LOOKED_AT)
        })?;
        Ok(found)
    }

    /// Says how a row ended. A row that is gone, or dead already, stays so: settling twice is harmless. One in doubt may still become sent.
    ///
    /// # Errors
    /// When the database fails.
    pub fn settle(
        &mut self,
        id: OutboxId,
        how: &Settled,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let key = keys::outbox(id);
        let Some(mut record) = self.get::<RowRecord>(Shelf::Outbox, &key)? else {
            return match how {
                Settled::Sent { ids, parts } => self.known_late(id, ids, *parts, now),
                _ => Ok(false),
            };
        };
        if record.dead.is_some() {
            return Ok(false);
        }
        self.lift(&record.row);
        match how {
            Settled::Sent { ids, parts } => {
                self.remove(Shelf::Outbox, key);
                self.hand_over(record.row, ids, *parts, now)?;
            }
            Settled::Unknown { why, ids, parts } => {
                self.doubt(record.row, why, ids.clone(), *parts, now)?;
            }
            Settled::Expired => self.remove(Shelf::Outbox, key),
            Settled::Retry { at } => {
                record.row.due = *at;
                // Once in doubt, always in doubt: an earlier try may have gone through.
                record
                    .row
                    .owner
                    .take_if(|owner| !owner.starts_with(DOUBTED));
                self.place(record)?;
            }
            Settled::RetryHere { at } => {
                record.row.due = *at;
                self.place(record)?;
            }
            Settled::Dead { why } => {
                record.dead = Some(shortened(why));
                self.age(now + Duration::days(DEAD_DAYS), Aged::Dead(id))?;
                self.place(record)?;
            }
        }
        Ok(true)
    }

    /// Moves rows of `from` that no network can have to `to`, due at once: those tried `attempts` times or more. How many; at most 1,000 at a time.
    ///
    /// # Errors
    /// When the database fails.
    pub fn divert(
        &mut self,
        from: &LinkName,
        to: &LinkName,
        attempts: u16,
        now: DateTime<Utc>,
    ) -> Result<usize, StoreError> {
        let start = keys::link(from);
        let mut ids = Vec::new();
        self.scan(
            Shelf::Due,
            &start,
            keys::after(&start).as_deref(),
            |key, _| {
                ids.push(keys::read_due(key).ok_or_else(|| StoreError::Key(Shelf::Due.name()))?);
                Ok(ids.len() < LOOKED_AT)
            },
        )?;
        let mut moved = 0;
        for id in ids {
            let Some(mut record) = self.get::<RowRecord>(Shelf::Outbox, &keys::outbox(id))? else {
                continue;
            };
            // Leased, abandoned or met with silence: the first network may have it.
            let free = record.row.owner.is_none() && record.row.expires > now;
            if from == to || !free || record.row.attempts < attempts {
                continue;
            }
            self.lift(&record.row);
            record.row.link = to.clone();
            record.row.due = now;
            record.row.attempts = 0;
            self.place(record)?;
            moved += 1;
        }
        Ok(moved)
    }
}

/// Stands before the owner of a row that its link may have had before: no other link may send it.
const DOUBTED: &str = "again ";
/// Letters of a network's reason that are kept.
const WHY_KEPT: usize = 200;
/// A dead text is kept for a quarter of a year for a person to see.
const DEAD_DAYS: i64 = 90;

/// One line without control characters: what a network says ends on an operator's terminal.
pub(crate) fn shortened(why: &str) -> String {
    why.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(WHY_KEPT)
        .collect()
}
