//! The single writer: takes jobs from the queue in order, a batch at a time, one commit and one flush a batch, and only then answers.
//!
//! Whatever fails in the store fails for the whole batch: nothing of it is acknowledged.

use crate::clock::Clock;
use crate::counter::Done;
use crate::counter::acks::{Ack, later, spoil};
use crate::counter::answers::{CounterError, Counts, TakeError};
use crate::counter::bench::Bench;
use crate::counter::beside::Beside;
use crate::counter::desk_work;
use crate::counter::job::{Job, Waiting};
use crate::counter::judge::{self, Verdict};
use crate::counter::outgoing;
use crate::counter::rounds::{self};
use crate::counter::settings::Settings;
use crate::counter::ussd::{self};
use crate::counter::wording::Wording;
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, Receipt};
use crate::store::draft::Draft;
use crate::store::{Store, StoreError};
use std::collections::BTreeMap;
use std::sync::mpsc::Receiver;
use std::sync::{Arc, Mutex, PoisonError};

/// Jobs of one commit at the most. Measured beforehand with sled 0.34.7: beyond some 250 messages a flush the flush no longer is what costs.
pub(crate) const BATCH_MOST: usize = 256;

/// The writer's own things.
pub(crate) struct Writer {
    pub(crate) store: Arc<Store>,
    pub(crate) settings: Settings,
    pub(crate) clock: Clock,
    pub(crate) wording: Arc<Wording>,
    pub(crate) counts: Arc<Mutex<Counts>>,
    pub(crate) beside: Arc<Beside>,
    pub(crate) free: BTreeMap<CoopId, MemberNo>,
}

impl Writer {
    /// Works until [`Job::Stop`] or until nobody can send any more.
    pub(crate) fn run(mut self, jobs: &Receiver<Job>) {
        while let Ok(first) = jobs.recv() {
            if self.work(batch(first, jobs)) {
                return;
            }
        }
    }

    /// One batch of what waits. Whether anything waited.
    pub(crate) fn turn(&mut self, jobs: &Receiver<Job>) -> bool {
        let first = jobs.try_recv();
        first.is_ok_and(|first| {
            self.work(batch(first, jobs));
            true
        })
    }

    /// One batch. Whether it held the last job.
    fn work(&mut self, batch: Vec<Job>) -> bool {
        let store = Arc::clone(&self.store);
        let mut draft = store.draft();
        let mut acks: Vec<Ack> = Vec::with_capacity(batch.len());
        let mut gained = Counts::default();
        let mut last = false;
        let mut spoilt: Option<StoreError> = None;
        for job in batch {
            if matches!(job, Job::Stop) {
                last = true;
                continue;
            }
            if let Some(error) = &spoilt {
                acks.push(self.refusal(job, error));
                continue;
            }
            if let Err(error) = self.one(&mut draft, job, &mut acks, &mut gained) {
                spoilt = Some(error);
            }
        }
        gained.commits = u64::from(!draft.is_empty());
        let committed = match spoilt {
            Some(error) => {
                store.forget();
                Err(error)
            }
            None if draft.is_empty() => store.settle(),
            None => self.commit(draft),
        };
        let failure = committed.err().map(|error| error.to_string());
        self.count(gained, failure.as_deref());
        for ack in acks {
            ack(failure.as_deref());
        }
        last
    }

    /// Whom the batch erases, the links forget too: that they are to is on disk before, and it is done before anybody is told.
    fn commit(&self, mut draft: Draft<'_>) -> Result<(), StoreError> {
        let forgotten = std::mem::take(&mut draft.forgotten);
        if forgotten.is_empty() {
            return self.store.commit(draft);
        }
        self.beside.intend(&forgotten);
        let committed = self.store.commit(draft);
        match &committed {
            Ok(()) => self.beside.forget(),
            Err(_) => self.beside.doubt(&forgotten),
        }
        committed
    }

    fn count(&mut self, gained: Counts, failure: Option<&str>) {
        let mut counts = self.counts.lock().unwrap_or_else(PoisonError::into_inner);
        match failure {
            None => {
                counts.add(&gained);
                counts.failing = false;
            }
            Some(why) => {
                counts.store_failures += 1;
                counts.failing = true;
                // Numbers handed out in a batch that is gone are free again.
                self.free.clear();
                tracing::error!(
                    why,
                    "the store failed; nothing of the batch is acknowledged"
                );
            }
        }
    }

    /// Does one job on the draft; what it answers waits in `acks`. An error spoils the batch.
    fn one(
        &mut self,
        draft: &mut Draft<'_>,
        job: Job,
        acks: &mut Vec<Ack>,
        gained: &mut Counts,
    ) -> Result<(), StoreError> {
        let now = self.clock.now();
        let mut bench = Bench {
            settings: &self.settings,
            wording: &self.wording,
            by_menu: false,
            now,
            free: &mut self.free,
        };
        match job {
            Job::Message(waiting) => take(&mut bench, draft, *waiting, acks, gained),
            Job::Ussd(waiting) => ussd::take(&mut bench, draft, *waiting, acks),
            Job::Office(request, deed, answer) => {
                match desk_work::carry_out(&mut bench, draft, *request, deed.map(|it| *it)) {
                    Ok(done) => acks.push(later(answer, Ok(done))),
                    Err(error) => acks.push(later(answer, Err(error))),
                }
                Ok(())
            }
            Job::Round(past, reach, answer) => {
                let turn = rounds::turn(&mut bench, draft, past, reach);
                let turn = spoil(turn, &answer)?;
                gained.reminders += turn.reminders as u64;
                acks.push(later(answer, Ok(turn)));
                Ok(())
            }
            Job::Lease(link, owner, most, abandoned, answer) => {
                let until = now + self.settings.lease;
                let leased = outgoing::lease(draft, &link, &owner, most, abandoned, [now, until]);
                let leased = spoil(leased, &answer)?;
                gained.expired += leased.expired as u64;
                gained.unknown += leased.unknown as u64;
                acks.push(later(answer, Ok(leased.rows)));
                Ok(())
            }
            Job::Settle(row, how, answer) => {
                let settled = draft.settle(row, &how, now);
                if spoil(settled, &answer)? {
                    gained.settle(&how);
                }
                acks.push(later(answer, Ok(())));
                Ok(())
            }
            Job::Amend(change) => {
                acks.push(change(Ok((draft, now)))?);
                Ok(())
            }
            Job::Barrier(answer) => {
                acks.push(later(answer, Ok(())));
                Ok(())
            }
            Job::Hold(look) => {
                let store = Arc::clone(&self.store);
                acks.push(Box::new(move |_| look(&store)));
                Ok(())
            }
            Job::Stop => Ok(()),
        }
    }

    fn refusal(&self, job: Job, error: &StoreError) -> Ack {
        let why = error.to_string();
        match job {
            Job::Message(waiting) => Box::new(move |_| (waiting.done)(Err(TakeError::Store(why)))),
            Job::Ussd(waiting) => Box::new(move |_| (waiting.done)(Err(TakeError::Store(why)))),
            Job::Office(_, _, answer) => later(answer, Err(CounterError::Store(why).into())),
            Job::Round(_, _, answer) => later(answer, Err(CounterError::Store(why))),
            Job::Lease(_, _, _, _, answer) => later(answer, Err(CounterError::Store(why))),
            Job::Settle(_, _, answer) | Job::Barrier(answer) => {
                later(answer, Err(CounterError::Store(why)))
            }
            Job::Amend(change) => change(Err(error)).unwrap_or_else(|_| Box::new(|_| ())),
            // The store did not take what came before; what it holds is whole all the same.
            Job::Hold(look) => {
                let store = Arc::clone(&self.store);
                Box::new(move |_| look(&store))
            }
            Job::Stop => Box::new(|_| ()),
        }
    }
}

fn batch(first: Job, jobs: &Receiver<Job>) -> Vec<Job> {
    let mut batch = vec![first];
    while batch.len() < BATCH_MOST
        && let Ok(next) = jobs.try_recv()
    {
        batch.push(next);
    }
    batch
}

/// A message: an error before anything is written is its own, one after it spoils the batch.
fn take(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    waiting: Waiting,
    acks: &mut Vec<Ack>,
    gained: &mut Counts,
) -> Result<(), StoreError> {
    let Waiting {
        coop,
        inbound,
        heard,
        done,
    } = waiting;
    let wording = bench.wording;
    let verdict = wording
        .settle(draft, coop, &inbound.text, heard)
        .and_then(|reading| judge::judge(bench, draft, coop, inbound, &reading));
    let verdict = match verdict {
        Ok(verdict) => verdict,
        Err(error) => {
            tracing::error!(%error, "a message could not be judged");
            let why = error.to_string();
            acks.push(Box::new(move |_| done(Err(TakeError::Store(why)))));
            return Ok(());
        }
    };
    let receipt = match verdict {
        Verdict::Again(receipt) => receipt,
        Verdict::New(judged) => match judge::write(bench, draft, *judged) {
            Ok(receipt) => receipt,
            Err(error) => {
                let why = error.to_string();
                acks.push(Box::new(move |_| done(Err(TakeError::Store(why)))));
                return Err(error);
            }
        },
    };
    gained.outcome(receipt.outcome);
    acks.push(acknowledge(done, receipt));
    Ok(())
}

fn acknowledge(done: Done, receipt: Receipt) -> Ack {
    Box::new(move |failure| {
        done(match failure {
            None => Ok(receipt),
            Some(why) => Err(TakeError::Store(why.to_owned())),
        });
    })
}
