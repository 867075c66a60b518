//! One message in, one receipt out: where the pure rooms meet the store and the clock.
//!
//! A single writer takes messages from a bounded queue, decides each on top of the ones before it, commits the batch with one flush, and only then
//! says so. Whatever is not acknowledged may be sent again and is harmless. The counter does not know any network's format.

mod acks;
mod addressing;
pub mod answers;
mod bench;
pub mod beside;
pub mod broadcasts;
pub mod deliveries;
mod desk_work;
pub mod dossiers;
pub mod effect;
mod erasing;
mod flood;
mod folder;
mod hands;
pub mod harvests;
mod job;
mod judge;
pub mod keeping;
mod kept_file;
mod moments;
mod outbox;
mod outgoing;
mod people;
pub mod readmodel;
pub mod received;
mod recount;
mod rehearsal;
mod rounds;
pub mod settings;
pub mod side_door;
pub mod tokens;
pub mod trail;
pub mod users;
pub mod ussd;
mod views;
mod wording;
pub mod words;
mod writer;

use crate::clock::Clock;
use crate::counter::acks::Answer;
use crate::counter::answers::{
    CounterError, Counts, OfficeAnswer, OfficeError, OfficeRequest, TakeError,
};
use crate::counter::beside::Beside;
use crate::counter::flood::FloodGate;
use crate::counter::folder::Folder;
use crate::counter::hands::Hands;
use crate::counter::job::{Job, Waiting};
use crate::counter::moments::{accept_sent_at, believable};
use crate::counter::rounds::Reach;
use crate::counter::settings::Settings;
use crate::counter::ussd::{UssdAnswer, UssdDone, UssdStep, WaitingStep};
use crate::counter::wording::Wording;
use crate::domain::message::{CoopId, Inbound, Receipt};
use crate::domain::user::{Deed, Login};
use crate::store::{Sizes, Store, redelivery};
use chrono::{DateTime, Utc};
use std::path::Path;
use std::sync::mpsc::{SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};

/// What is called when a message's fate is on disk.
pub type Done = Box<dyn FnOnce(Result<Receipt, TakeError>) + Send>;

/// Jobs that may wait for the writer: some three quarters of a second at the design peak of 2,000 messages a second, about 2 MB. With a batch
/// under way less than one web worker's connections (2,048): a gateway with too much to do says so, rather than let callers wait to be accepted.
const QUEUE_MOST: usize = 1_536;

/// A sender is asked to come back after this many seconds when the queue is full.
const BUSY_FOR_S: u32 = 2;

/// Messages that [`Counter::take_many`] keeps in the queue: leaves room for others.
const MANY_WAITING: usize = QUEUE_MOST / 2;

/// The way in. Clones share one writer and one store.
#[derive(Clone)]
pub struct Counter(Arc<Shared>);

struct Shared {
    store: Arc<Store>,
    queue: SyncSender<Job>,
    /// Closed: nothing is put into the queue any more. Read while putting, so that the last job is the last.
    closed: RwLock<bool>,
    clock: Clock,
    settings: Settings,
    wording: Arc<Wording>,
    flood: Mutex<FloodGate>,
    steps: Mutex<FloodGate>,
    counts: Arc<Mutex<Counts>>,
    hands: Mutex<Hands>,
    folder: Mutex<Option<Folder>>,
    beside: Arc<Beside>,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Counter {
    /// Opens a data folder, makes it where there is none, and starts the writer. One process per folder.
    ///
    /// # Errors
    /// [`CounterError::InUse`] where another process has it; else what the disk or the store says.
    pub fn open(dir: &Path, settings: Settings, clock: Clock) -> Result<Self, CounterError> {
        let folder = Folder::lock(dir)?;
        let sizes = Sizes {
            cache_bytes: settings.cache_bytes,
            cached_streams: settings.cached_streams,
        };
        let store = Store::open(&folder.store(), sizes)?;
        Self::on(store, Some(folder), settings, clock)?.with_thread()
    }

    /// Takes a message. `done` is called once: after the flush, from the writer thread, or at once where the message is refused.
    pub fn submit(&self, coop: CoopId, inbound: Inbound, done: Done) {
        let now = self.0.clock.now();
        if let Some(limit) = self.0.settings.flood_on(&inbound.link) {
            let passed = held(&self.0.flood).pass(&inbound.from, limit, now);
            if let Err(retry_after_s) = passed {
                held(&self.0.counts).flooded += 1;
                return done(Err(TakeError::Flooded { retry_after_s }));
            }
        }
        let job = self.waiting(coop, inbound, now, done);
        let Err(refused) = self.put(job) else { return };
        let (job, error) = match refused {
            TrySendError::Full(job) => {
                held(&self.0.counts).busy += 1;
                let retry_after_s = BUSY_FOR_S;
                (job, TakeError::Busy { retry_after_s })
            }
            TrySendError::Disconnected(job) => (job, TakeError::Closing),
        };
        if let Job::Message(waiting) = job {
            (waiting.done)(Err(error));
        }
    }

    fn waiting(&self, coop: CoopId, mut inbound: Inbound, now: DateTime<Utc>, done: Done) -> Job {
        accept_sent_at(&mut inbound, &self.0.settings, now);
        Job::Message(Box::new(Waiting {
            coop,
            heard: self.0.wording.read(coop, &inbound.text),
            inbound,
            done,
        }))
    }

    fn put(&self, job: Job) -> Result<(), TrySendError<Job>> {
        let closed = self.0.closed.read().unwrap_or_else(PoisonError::into_inner);
        if *closed {
            return Err(TrySendError::Disconnected(job));
        }
        self.0.queue.try_send(job)
    }

    /// Takes a step of a USSD session. `done` is called once: after the flush, or at once where the step is refused.
    pub fn ussd(&self, coop: CoopId, step: UssdStep, done: UssdDone) {
        let now = self.0.clock.now();
        if let Some(limit) = self.0.settings.flood_on(&step.link) {
            // A screen is a tenth of a message: a session of forty cages has some hundred and twenty.
            let passed = held(&self.0.steps).pass(&step.from, limit.times(10), now);
            if let Err(retry_after_s) = passed {
                held(&self.0.counts).flooded += 1;
                return done(Err(TakeError::Flooded { retry_after_s }));
            }
        }
        let job = Job::Ussd(Box::new(WaitingStep { coop, step, done }));
        let Err(refused) = self.put(job) else { return };
        let (job, error) = match refused {
            TrySendError::Full(job) => {
                held(&self.0.counts).busy += 1;
                let retry_after_s = BUSY_FOR_S;
                (job, TakeError::Busy { retry_after_s })
            }
            TrySendError::Disconnected(job) => (job, TakeError::Closing),
        };
        if let Job::Ussd(waiting) = job {
            (waiting.done)(Err(error));
        }
    }

    /// [`Counter::ussd`], waiting for the flush.
    ///
    /// # Errors
    /// As the step's own fate says.
    pub fn ussd_now(&self, coop: CoopId, step: UssdStep) -> Result<UssdAnswer, TakeError> {
        let (answer, wait) = sync_channel(1);
        let done = Box::new(move |fate| {
            answer.send(fate).ok();
        });
        self.ussd(coop, step, done);
        self.lend_hands();
        wait.recv().unwrap_or(Err(TakeError::Closing))
    }

    /// [`Counter::submit`], waiting for the flush.
    ///
    /// # Errors
    /// As the message's own fate says.
    pub fn take(&self, coop: CoopId, inbound: Inbound) -> Result<Receipt, TakeError> {
        let (answer, wait) = sync_channel(1);
        let done = Box::new(move |fate| {
            answer.send(fate).ok();
        });
        self.submit(coop, inbound, done);
        self.lend_hands();
        wait.recv().unwrap_or(Err(TakeError::Closing))
    }

    /// Takes many messages in order, sharing flushes; for seeding. Flood limits do not apply. The first failure ends it.
    ///
    /// # Errors
    /// The first message's that failed; those before it are kept.
    pub fn take_many(
        &self,
        coop: CoopId,
        inbounds: Vec<Inbound>,
    ) -> Result<Vec<Receipt>, TakeError> {
        let mut receipts = Vec::with_capacity(inbounds.len());
        let mut waits = std::collections::VecDeque::new();
        for inbound in inbounds {
            if waits.len() >= MANY_WAITING {
                self.lend_hands();
                receipts.push(next_fate(&mut waits)?);
            }
            let (answer, wait) = sync_channel(1);
            let done = Box::new(move |fate| {
                answer.send(fate).ok();
            });
            let mut job = self.waiting(coop, inbound, self.0.clock.now(), done);
            // The queue is others' too: where it is full, our own oldest message goes first.
            while let Err(refused) = self.put(job) {
                match refused {
                    TrySendError::Disconnected(_) => return Err(TakeError::Closing),
                    TrySendError::Full(back) if waits.is_empty() => {
                        job = back;
                        self.lend_hands();
                        std::thread::yield_now();
                    }
                    TrySendError::Full(back) => {
                        job = back;
                        receipts.push(next_fate(&mut waits)?);
                    }
                }
            }
            waits.push_back(wait);
        }
        self.lend_hands();
        while !waits.is_empty() {
            receipts.push(next_fate(&mut waits)?);
        }
        Ok(receipts)
    }

    /// Puts a job and waits for its answer.
    fn ask<T, E: From<CounterError>>(
        &self,
        job: impl FnOnce(Answer<Result<T, E>>) -> Job,
    ) -> Result<T, E> {
        let (answer, wait) = sync_channel(1);
        let closed = self.0.closed.read().unwrap_or_else(PoisonError::into_inner);
        if *closed || self.0.queue.send(job(answer)).is_err() {
            return Err(CounterError::Closing.into());
        }
        drop(closed);
        self.lend_hands();
        wait.recv().unwrap_or(Err(CounterError::Closing.into()))
    }

    /// Everything due up to the clock's now, as far as [`Settings::wakeups`] lets it: reminders and texts to many into the outbox, old redelivery keys away.
    /// How many farms were woken.
    ///
    /// # Errors
    /// When the store fails.
    pub fn tick(&self) -> Result<usize, CounterError> {
        self.round(Reach::Settings)
    }

    /// [`Counter::tick`] up to the clock's now whatever the settings say: the demo's clock was moved by hand.
    ///
    /// # Errors
    /// When the store fails.
    pub fn tick_to_now(&self) -> Result<usize, CounterError> {
        self.round(Reach::Now)
    }

    fn round(&self, reach: Reach) -> Result<usize, CounterError> {
        let oldest = redelivery::span(self.0.clock.now()).saturating_sub(1);
        self.0.store.drop_seen_before(oldest)?;
        while self.prune()? > 0 {}
        let mut woken = 0;
        let mut past = None;
        loop {
            let turn = self.ask(|answer| Job::Round(past, reach, answer))?;
            woken += turn.woken;
            if turn.past.is_none() {
                self.send_broadcasts()?;
                return Ok(woken);
            }
            past = turn.past;
        }
    }

    /// An operator's command.
    ///
    /// # Errors
    /// The desk's refusal, or the store's failure.
    pub fn office(&self, request: OfficeRequest) -> Result<OfficeAnswer, OfficeError> {
        self.ask(|answer| Job::Office(Box::new(request), None, answer))
    }

    /// A command of a user of the room: what they did is in the trail by the same commit.
    ///
    /// # Errors
    /// As [`Counter::office`]; nothing is noted then.
    pub fn office_by(
        &self,
        request: OfficeRequest,
        by: &Login,
        deed: Deed,
    ) -> Result<OfficeAnswer, OfficeError> {
        let deed = Some((by.clone(), deed));
        self.ask(|answer| Job::Office(Box::new(request), deed.map(Box::new), answer))
    }

    /// Whether a message may be of that moment: not in the future, nor older than the settings allow.
    #[must_use]
    pub fn believes(&self, moment: DateTime<Utc>) -> bool {
        believable(moment, &self.0.settings, self.0.clock.now())
    }

    /// Returns when everything submitted before is on disk.
    ///
    /// # Errors
    /// When the store fails.
    pub fn settle_down(&self) -> Result<(), CounterError> {
        self.ask(Job::Barrier)
    }

    /// Counts since opening, for the metrics page.
    #[must_use]
    pub fn counts(&self) -> Counts {
        held(&self.0.counts).clone()
    }

    /// The clock that this counter goes by.
    #[must_use]
    pub fn clock(&self) -> &Clock {
        &self.0.clock
    }

    /// Drains the queue, flushes, and lets go of the folder. Messages that come later are refused with [`TakeError::Closing`].
    ///
    /// # Errors
    /// When the last flush fails.
    pub fn close(self) -> Result<(), CounterError> {
        {
            let mut closed = self
                .0
                .closed
                .write()
                .unwrap_or_else(PoisonError::into_inner);
            if std::mem::replace(&mut *closed, true) {
                return Ok(());
            }
            self.0.queue.send(Job::Stop).ok();
        }
        self.rest_hands()?;
        self.0.store.flush()?;
        held(&self.0.folder).take();
        Ok(())
    }
}

fn next_fate(
    waits: &mut std::collections::VecDeque<std::sync::mpsc::Receiver<Result<Receipt, TakeError>>>,
) -> Result<Receipt, TakeError> {
    waits
        .pop_front()
        .and_then(|wait| wait.recv().ok())
        .unwrap_or(Err(TakeError::Closing))
}
