//! What drivers and people do with texts on their way out: lease, settle, receipts, another link, a second try.
//!
//! Each goes through the writer and is on disk when it returns. This room does not know how a text is sent.

use crate::counter::Counter;
use crate::counter::acks::{later, spoil};
use crate::counter::answers::CounterError;
use crate::counter::job::Job;
use crate::domain::message::{CoopId, LinkName, Outbound};
use crate::domain::phone::PhoneNumber;
use crate::store::StoreError;
use crate::store::delivery::{DeliveryState, Matched, SentRecord};
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::ledger::{LedgerLine, Month};
use crate::store::outbox::{Abandoned, OutboxId, OutboxRow, Settled, Urgency};
use crate::store::records::RowRecord;
use crate::store::step::{Outgoing, Step};
use chrono::{DateTime, Utc};

impl Counter {
    /// At most `most` due rows of a link, most urgent first, leased to `owner` for [`crate::counter::settings::Settings::lease`]. A row whose lease
    /// ended without a word is leased again: for networks that tell a repeated id.
    ///
    /// # Errors
    /// When the store fails.
    pub fn lease(
        &self,
        link: &LinkName,
        owner: &str,
        most: usize,
    ) -> Result<Vec<OutboxRow>, CounterError> {
        let again = Abandoned::Again;
        self.ask(|answer| Job::Lease(link.clone(), owner.to_owned(), most, again, answer))
    }

    /// [`Counter::lease`] for networks that cannot tell a repeated text: a row whose lease ended without a word becomes unknown. Give rows that were
    /// not tried back with [`Settled::Retry`].
    ///
    /// # Errors
    /// When the store fails.
    pub fn lease_once(
        &self,
        link: &LinkName,
        owner: &str,
        most: usize,
    ) -> Result<Vec<OutboxRow>, CounterError> {
        let unknown = Abandoned::Unknown;
        self.ask(|answer| Job::Lease(link.clone(), owner.to_owned(), most, unknown, answer))
    }

    /// Puts a text into the outbox that answers nobody: an operator tries a link. Its row.
    ///
    /// # Errors
    /// When the store fails.
    pub fn queue(
        &self,
        coop: CoopId,
        link: LinkName,
        to: PhoneNumber,
        text: String,
        expires: DateTime<Utc>,
    ) -> Result<OutboxId, CounterError> {
        self.amend(move |draft, now| {
            let row = OutboxId::new(coop, draft.numbers.row);
            let outbound = Outbound {
                to,
                member: None,
                text,
            };
            draft.push(Step {
                coop,
                received: None,
                heard: None,
                changes: Vec::new(),
                outgoing: vec![Outgoing {
                    link,
                    urgency: Urgency::Notice,
                    outbound,
                    answers: None,
                    due: now,
                    expires,
                }],
            })?;
            Ok(row)
        })
    }

    /// Says how a leased row ended.
    ///
    /// # Errors
    /// When the store fails.
    pub fn settle(&self, row: OutboxId, how: Settled) -> Result<(), CounterError> {
        self.ask(|answer| Job::Settle(row, how, answer))
    }

    /// A delivery receipt of `link`: `ids` are the ways to read its id, the first that is known counts (`out-N`, [`OutboxId::reference`], names a row
    /// that is unknown); `at` is when the network says it was. On disk when this returns. One that comes before its id is known waits for a day.
    ///
    /// # Errors
    /// When the store fails: do not acknowledge it then.
    pub fn receipt(
        &self,
        link: &LinkName,
        ids: Vec<String>,
        state: DeliveryState,
        at: DateTime<Utc>,
    ) -> Result<Matched, CounterError> {
        let link = link.clone();
        self.amend(move |draft, now| draft.receipt(&link, &ids, &state, [at, now]))
    }

    /// Moves rows of `from` that no network can have, tried at least `attempts` times, to `to`. How many.
    ///
    /// # Errors
    /// When the store fails.
    pub fn divert(
        &self,
        from: &LinkName,
        to: &LinkName,
        attempts: u16,
    ) -> Result<usize, CounterError> {
        let (from, to) = (from.clone(), to.clone());
        self.amend(move |draft, now| draft.divert(&from, &to, attempts, now))
    }

    /// A person's word about a dead or unknown row: sent again, worthless after `again`; or forgotten. Whether it was there.
    ///
    /// # Errors
    /// When the store fails.
    pub fn resolve(
        &self,
        row: OutboxId,
        again: Option<DateTime<Utc>>,
    ) -> Result<bool, CounterError> {
        self.amend(move |draft, now| draft.resolve(row, again, now))
    }

    /// Removes what has outlived its time; how many. Called by [`Counter::tick`].
    pub(crate) fn prune(&self) -> Result<usize, CounterError> {
        // Not the method itself: it is of one draft's lifetime, and any draft may come.
        #[allow(clippy::redundant_closure_for_method_calls)]
        self.amend(|draft, now| draft.prune(now))
    }

    pub(crate) fn amend<T: Send + 'static>(
        &self,
        change: impl FnOnce(&mut Draft<'_>, DateTime<Utc>) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, CounterError> {
        self.ask(|answer| {
            Job::Amend(Box::new(move |on| match on {
                Ok((draft, now)) => {
                    let done = spoil(change(draft, now), &answer)?;
                    Ok(later(answer, Ok(done)))
                }
                Err(error) => {
                    let why = CounterError::Store(error.to_string());
                    Ok(later(answer, Err(why)))
                }
            }))
        })
    }

    /// Rows that were refused for good, oldest first.
    ///
    /// # Errors
    /// When the store fails.
    pub fn dead(&self, coop: CoopId, most: usize) -> Result<Vec<RowRecord>, CounterError> {
        let mut dead = Vec::new();
        self.0.store.rows(coop, |record| {
            if record.dead.is_some() && dead.len() < most {
                dead.push(record);
            }
            dead.len() < most
        })?;
        Ok(dead)
    }

    /// Texts that a network has or may have, newest first, with what is known of their delivery; only those in doubt, where `in_doubt` says so.
    ///
    /// # Errors
    /// When the store fails.
    pub fn sent(
        &self,
        coop: CoopId,
        in_doubt: bool,
        most: usize,
    ) -> Result<Vec<SentRecord>, CounterError> {
        let mut sent = Vec::new();
        self.0.store.sent_back(coop, |record| {
            if sent.len() < most && (record.doubt.is_some() || !in_doubt) {
                sent.push(record);
            }
            sent.len() < most
        })?;
        Ok(sent)
    }

    /// What is known of the delivery of one row; none for one that waits, is gone, or was sent without an id.
    ///
    /// # Errors
    /// When the store fails.
    pub fn delivery(&self, row: OutboxId) -> Result<Option<DeliveryState>, CounterError> {
        Ok(self.0.store.sent(row)?.map(|record| record.state()))
    }

    /// Whether a row is still in the outbox.
    ///
    /// # Errors
    /// When the store fails.
    pub fn waits(&self, row: OutboxId) -> Result<bool, CounterError> {
        let key = keys::outbox(row);
        let record: Option<RowRecord> = self.0.store.get(Shelf::Outbox, &key)?;
        Ok(record.is_some())
    }

    /// Rows of a link that wait to be sent, leased ones included, counted up to `most`.
    ///
    /// # Errors
    /// When the store fails.
    pub fn queued(&self, link: &LinkName, most: usize) -> Result<usize, CounterError> {
        Ok(self.0.store.waiting(link, most)?)
    }

    /// What a cooperative sent, of one month or of all, by month, link and member.
    ///
    /// # Errors
    /// When the store fails.
    pub fn ledger(
        &self,
        coop: CoopId,
        month: Option<Month>,
    ) -> Result<Vec<LedgerLine>, CounterError> {
        Ok(self.0.store.ledger(coop, month)?)
    }
}
