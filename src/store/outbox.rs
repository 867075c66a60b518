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
use crate::store::records::RowRecord;
use crate::store::step::Outgoing;
use chrono::{DateTime, Utc};
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
    Sent,
    /// Not now; try again at this moment.
    Retry {
        /// Not before.
        at: DateTime<Utc>,
    },
    /// Never: refused for good. Kept for a person to see.
    Dead {
        /// Why, in the network's words, without personal data.
        why: String,
    },
    /// Too late to be of use.
    Expired,
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

    fn place(&mut self, record: RowRecord) -> Result<(), StoreError> {
        let row = &record.row;
        if record.dead.is_none() {
            let due = keys::due(&row.link, row.urgency, row.due, row.id);
            self.put(Shelf::Due, due, &())?;
        }
        self.put(Shelf::Outbox, keys::outbox(row.id), &record)
    }

    fn lift(&mut self, row: &OutboxRow) {
        let due = keys::due(&row.link, row.urgency, row.due, row.id);
        self.remove(Shelf::Due, due);
    }

    /// Leases at most `most` rows of `link` that are due at `now`, most urgent first, until `until`; expired ones are dropped on the way.
    /// The leased rows, and how many expired.
    ///
    /// # Errors
    /// When the database fails.
    pub fn lease(
        &mut self,
        link: &LinkName,
        owner: &str,
        most: usize,
        now: DateTime<Utc>,
        until: DateTime<Utc>,
    ) -> Result<(Vec<OutboxRow>, usize), StoreError> {
        let mut leased = Vec::new();
        let mut expired = 0;
        for urgency in [Urgency::Answer, Urgency::Notice, Urgency::Reminder] {
            for id in self.due_rows(link, urgency, now)? {
                if leased.len() >= most {
                    return Ok((leased, expired));
                }
                let Some(mut record) = self.get::<RowRecord>(Shelf::Outbox, &keys::outbox(id))?
                else {
                    return Err(StoreError::Key(Shelf::Due.name()));
                };
                self.lift(&record.row);
                if record.row.expires <= now {
                    self.remove(Shelf::Outbox, keys::outbox(id));
                    expired += 1;
                    continue;
                }
                leased.push(OutboxRow {
                    owner: Some(owner.to_owned()),
                    ..record.row.clone()
                });
                record.row.due = until;
                record.row.attempts = record.row.attempts.saturating_add(1);
                record.row.owner = Some(owner.to_owned());
                self.place(record)?;
            }
        }
        Ok((leased, expired))
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

    /// Says how a row ended. A row that is gone, or dead already, stays so: settling twice is harmless.
    ///
    /// # Errors
    /// When the database fails.
    pub fn settle(&mut self, id: OutboxId, how: &Settled) -> Result<bool, StoreError> {
        let key = keys::outbox(id);
        let Some(mut record) = self.get::<RowRecord>(Shelf::Outbox, &key)? else {
            return Ok(false);
        };
        if record.dead.is_some() {
            return Ok(false);
        }
        self.lift(&record.row);
        match how {
            Settled::Sent | Settled::Expired => self.remove(Shelf::Outbox, key),
            Settled::Retry { at } => {
                record.row.due = *at;
                record.row.owner = None;
                self.place(record)?;
            }
            Settled::Dead { why } => {
                record.dead = Some(why.chars().take(WHY_KEPT).collect());
                self.place(record)?;
            }
        }
        Ok(true)
    }
}

/// Letters of a network's reason that are kept.
const WHY_KEPT: usize = 200;
