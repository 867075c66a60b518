//! Long texts as they come in: each part kept on disk, joined when the last is there, given up when one never comes.
//!
//! Survives a restart: the journal's parts are fed again. Does not know sessions; whoever calls hands whole texts to the counter and says so.

use crate::domain::message::{Inbound, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::links::journal::{Journal, KeptPart};
use crate::links::parts::reassembly::{Abandoned, Accepted, Reassembly};
use crate::links::parts::{Body, Concat};
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::BTreeSet;
use std::io::Result;
use std::path::Path;

/// A text of which a part is missing is given up after a day: message centres try as long as that (common practice, no source).
pub const PATIENCE: TimeDelta = TimeDelta::hours(24);

/// What stands for a text of which a part never came. It has no figure in it, so that it is answered as unreadable and stored as nothing else:
/// the keeper learns that it did not arrive, and half a text never becomes a record.
const PART_MISSING: &str = "[...]";

/// A text that is to be given to the counter, and the parts that are done then.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// The message.
    pub inbound: Inbound,
    /// Its parts.
    pub parts: Vec<u64>,
}

/// The parts of one link.
#[derive(Debug)]
pub struct Keeping {
    link: LinkName,
    journal: Journal,
    reassembly: Reassembly,
}

impl Keeping {
    /// Opens the journal of `link` in `dir`; texts whose last part was kept, but which may not have reached the counter, come back whole.
    ///
    /// # Errors
    /// What the disk says.
    pub fn open(dir: &Path, link: &LinkName, now: DateTime<Utc>) -> Result<(Self, Vec<Whole>)> {
        let (journal, kept) = Journal::open(dir, &link.0, PATIENCE, now)?;
        let mut keeping = Self {
            link: link.clone(),
            journal,
            reassembly: Reassembly::new(PATIENCE),
        };
        let whole = kept
            .into_iter()
            .filter_map(|part| keeping.feed_again(part))
            .collect();
        Ok((keeping, whole))
    }

    fn feed_again(&mut self, kept: KeptPart) -> Option<Whole> {
        let (was_done, stamped) = (kept.done, kept.is_stamped());
        let part = kept.part();
        let [from, to] = [part.from.clone(), part.to.clone()];
        let at = part.received_at;
        let accepted = self.reassembly.accept(part);
        self.whole([&from, &to], accepted, (stamped, at))
            .filter(|_| !was_done)
    }

    /// Texts that wait for a part.
    #[must_use]
    pub fn waiting(&self) -> usize {
        self.reassembly.waiting()
    }

    /// Keeps a part; it may be answered when this returns. The text, where it is whole now. `stamp` is when the message centre took the part, where
    /// it says so.
    ///
    /// # Errors
    /// What the disk says: do not answer the network then.
    pub fn take(
        &mut self,
        from: &PhoneNumber,
        to: &str,
        (concat, body): (Concat, Body),
        (now, stamp): (DateTime<Utc>, Option<DateTime<Utc>>),
    ) -> Result<Option<Whole>> {
        let ends = [from.full(), to];
        let part = self.journal.keep(ends, concat, body, (now, stamp))?;
        let no = part.kept_as;
        let accepted = self.reassembly.accept(part);
        if accepted == Accepted::Repeated {
            self.journal.done(vec![no])?;
        }
        Ok(self.whole(ends, accepted, (stamp.is_some(), now)))
    }

    fn whole(
        &self,
        [from, to]: [&str; 2],
        accepted: Accepted,
        (stamped, now): (bool, DateTime<Utc>),
    ) -> Option<Whole> {
        let Accepted::Complete {
            text,
            sent_at,
            kept_as,
        } = accepted
        else {
            return None;
        };
        let text = text.unwrap_or_else(|| PART_MISSING.to_owned());
        let mut whole = self.inbound([from, to], text, sent_at, kept_as, now)?;
        if stamped {
            (whole.inbound.sent_at, whole.inbound.sent_at_known) = (sent_at, true);
        }
        Some(whole)
    }

    /// A message with an id of its own, so that the counter knows it again after a crash between its commit and our note of it.
    fn inbound(
        &self,
        [from, to]: [&str; 2],
        text: String,
        began: DateTime<Utc>,
        parts: Vec<u64>,
        now: DateTime<Utc>,
    ) -> Option<Whole> {
        let first = parts.iter().min()?;
        let id = format!("parts-{}-{first}", began.timestamp_millis());
        let inbound = Inbound {
            link: self.link.clone(),
            id: Some(id),
            from: PhoneNumber::new(from)?,
            to: (!to.is_empty()).then(|| to.to_owned()),
            text,
            sent_at: now,
            sent_at_known: false,
            received_at: now,
        };
        Some(Whole { inbound, parts })
    }

    /// Texts that will never be whole, as messages that say so.
    pub fn given_up(&mut self, now: DateTime<Utc>) -> Vec<Whole> {
        let abandoned = self.reassembly.abandoned(now);
        let message = |lost: Abandoned| {
            let ends = [lost.key.from.as_str(), lost.key.to.as_str()];
            self.inbound(ends, PART_MISSING.to_owned(), now, lost.kept_as, now)
        };
        abandoned.into_iter().filter_map(message).collect()
    }

    /// The counter has the text of these parts.
    ///
    /// # Errors
    /// What the disk says.
    pub fn done(&mut self, parts: Vec<u64>) -> Result<()> {
        self.journal.done(parts)
    }

    /// Leaves out what these numbers sent, here and on disk. How many entries went.
    ///
    /// # Errors
    /// What the disk says.
    pub fn forget(&mut self, phones: &BTreeSet<PhoneNumber>) -> Result<usize> {
        self.reassembly
            .forget(|from| phones.iter().any(|phone| phone.full() == from));
        self.journal.forget(phones)
    }

    /// Leaves out parts that are done and would not come again as of `now`, and octets kept before `before`. How many entries went.
    ///
    /// # Errors
    /// What the disk says.
    pub fn expire(&mut self, now: DateTime<Utc>, before: DateTime<Utc>) -> Result<usize> {
        self.journal.expire(now - PATIENCE, before)
    }

    /// Keeps octets that cannot be used.
    ///
    /// # Errors
    /// What the disk says: do not answer the network then.
    pub fn keep_raw(&mut self, octets: &[u8], why: &str, now: DateTime<Utc>) -> Result<()> {
        self.journal.keep_raw(octets, why, now)
    }
}
