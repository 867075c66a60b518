//! One message in, one receipt out: where the pure rooms meet the store and the clock.
//!
//! A single writer takes messages from a bounded queue, decides each on top of the ones before it, commits the batch with one flush, and only then
//! says so. Whatever is not acknowledged may be sent again and is harmless. The counter does not know any network's format.

pub mod answers;
pub mod settings;

use crate::clock::Clock;
use crate::counter::answers::{
    CounterError, Counts, MessageRow, OfficeAnswer, OfficeError, OfficeRequest, TakeError,
};
use crate::counter::settings::Settings;
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, Inbound, LinkName, Receipt};
use crate::store::outbox::{OutboxId, OutboxRow, Settled};
use std::io::Write;
use std::path::Path;

/// What is called when a message's fate is on disk.
pub type Done = Box<dyn FnOnce(Result<Receipt, TakeError>) + Send>;

/// The way in. Clones share one writer and one store.
#[derive(Clone)]
pub struct Counter;

impl Counter {
    /// Opens a data folder, makes it where there is none, and starts the writer. One process per folder.
    pub fn open(_dir: &Path, _settings: Settings, _clock: Clock) -> Result<Self, CounterError> {
        Err(CounterError::NotYet)
    }

    /// Takes a message. `done` is called once: after the flush, from the writer thread, or at once where the message is refused.
    pub fn submit(&self, _coop: CoopId, _inbound: Inbound, done: Done) {
        done(Err(TakeError::Closing));
    }

    /// [`Counter::submit`], waiting for the flush.
    pub fn take(&self, _coop: CoopId, _inbound: Inbound) -> Result<Receipt, TakeError> {
        Err(TakeError::Closing)
    }

    /// Takes many messages in order, sharing flushes; for seeding. The first failure ends it.
    pub fn take_many(
        &self,
        _coop: CoopId,
        _inbounds: Vec<Inbound>,
    ) -> Result<Vec<Receipt>, TakeError> {
        Err(TakeError::Closing)
    }

    /// Everything due up to the clock's now: reminders into the outbox, expiry. How many farms were woken.
    pub fn tick(&self) -> Result<usize, CounterError> {
        Err(CounterError::NotYet)
    }

    /// An operator's command.
    pub fn office(&self, _request: OfficeRequest) -> Result<OfficeAnswer, OfficeError> {
        Err(OfficeError::Counter(CounterError::NotYet))
    }

    /// At most `most` due rows of a link, most urgent first, leased to `owner` for [`Settings::lease`].
    pub fn lease(
        &self,
        _link: &LinkName,
        _owner: &str,
        _most: usize,
    ) -> Result<Vec<OutboxRow>, CounterError> {
        Err(CounterError::NotYet)
    }

    /// Says how a leased row ended.
    pub fn settle(&self, _row: OutboxId, _how: Settled) -> Result<(), CounterError> {
        Err(CounterError::NotYet)
    }

    /// The last messages of a member, newest first.
    pub fn messages(
        &self,
        _coop: CoopId,
        _member: MemberNo,
        _most: usize,
    ) -> Result<Vec<MessageRow>, CounterError> {
        Err(CounterError::NotYet)
    }

    /// Counts since opening, for the metrics page.
    #[must_use]
    pub fn counts(&self) -> Counts {
        Counts::default()
    }

    /// `member,cage,day,grams,entered_by,message_id` of every harvest that stands.
    pub fn harvests(&self, _coop: CoopId, _to: &mut dyn Write) -> Result<usize, CounterError> {
        Err(CounterError::NotYet)
    }

    /// Drains the queue, flushes, and lets go of the folder. Messages that come later are refused with [`TakeError::Closing`].
    pub fn close(self) -> Result<(), CounterError> {
        Ok(())
    }
}
