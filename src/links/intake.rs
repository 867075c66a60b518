//! What every link does with texts that come in parts and with octets that nobody can read: kept on disk, handed to the counter when whole, tried
//! again where the counter could not.
//!
//! Knows no network's form. Whoever calls answers the network only when a method here has returned well.

use crate::counter::Counter;
use crate::counter::beside::Chore;
use crate::domain::message::{CoopId, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::links::board::Seat;
use crate::links::keeping::{Keeping, Whole};
use crate::links::parts::{Body, Concat};
use chrono::{DateTime, Utc};
use std::io::{Error, Result};
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// One link's way to the counter for what does not come whole.
pub struct Intake {
    seat: Seat,
    counter: Counter,
    coop: CoopId,
    kept: Arc<Kept>,
}

/// What the link keeps of members. Neither lock is held while the counter is waited for: the counter's writer may want both.
struct Kept {
    keeping: Mutex<Keeping>,
    /// Whole texts that the counter could not take yet; their parts are on disk.
    wholes: Mutex<Vec<Whole>>,
}

impl Kept {
    /// What somebody who is erased sent goes; so does what is old.
    fn tidy(&self, coop: CoopId, chore: &Chore) -> Result<usize> {
        match chore {
            Chore::Forget(of, phones) if *of == coop => {
                held(&self.wholes).retain(|whole| !phones.contains(&whole.inbound.from));
                held(&self.keeping).forget(phones)
            }
            Chore::Forget(..) => Ok(0),
            Chore::Expire { now, before } => held(&self.keeping).expire(*now, *before),
        }
    }
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Intake {
    /// Keeps parts and unreadable octets of the link of `seat` in `dir`.
    ///
    /// # Errors
    /// When the files in `dir` cannot be used.
    pub fn open(dir: &Path, seat: Seat, counter: Counter, coop: CoopId) -> Result<Self> {
        let (keeping, wholes) = Keeping::open(dir, seat.link(), counter.clock().now())?;
        let kept = Arc::new(Kept {
            keeping: Mutex::new(keeping),
            wholes: Mutex::new(wholes),
        });
        let link = Arc::downgrade(&kept);
        counter.keeps_beside(Box::new(move |chore| match link.upgrade() {
            Some(kept) => kept.tidy(coop, chore),
            None => Err(Error::other("a link has been closed")),
        }));
        Ok(Self {
            seat,
            counter,
            coop,
            kept,
        })
    }

    /// The link.
    #[must_use]
    pub fn link(&self) -> &LinkName {
        self.seat.link()
    }

    fn now(&self) -> DateTime<Utc> {
        self.counter.clock().now()
    }

    /// Keeps a part of a text from `from` to `to`, which the message centre took at `stamp` where it says so. The part is on disk when this returns;
    /// the text goes to the counter where it is whole.
    ///
    /// # Errors
    /// What the disk says: do not answer the network then.
    pub fn part(
        &self,
        from: &PhoneNumber,
        to: &str,
        part: (Concat, Body),
        stamp: Option<DateTime<Utc>>,
    ) -> Result<()> {
        let now = self.now();
        let taken = held(&self.kept.keeping).take(from, to, part, (now, stamp));
        match taken {
            Ok(Some(whole)) => self.hand_over(whole),
            Ok(None) => {}
            Err(error) => {
                self.seat.fault(&error.to_string(), now);
                return Err(error);
            }
        }
        Ok(())
    }

    /// A whole text of several parts: to the counter, or kept for the next look.
    fn hand_over(&self, whole: Whole) {
        match self.counter.take(self.coop, whole.inbound.clone()) {
            Ok(_) => {
                self.seat.count(|passed| passed.taken += 1);
                let noted = held(&self.kept.keeping).done(whole.parts);
                if let Err(error) = noted {
                    tracing::error!(link = %self.link(), %error, "a long text could not be ticked off");
                }
            }
            Err(error) => {
                self.seat.fault(&error.to_string(), self.now());
                held(&self.kept.wholes).push(whole);
            }
        }
    }

    /// Gives up what never completes, and tries again what the counter could not take.
    pub fn parts_due(&self) {
        let now = self.now();
        let mut due = std::mem::take(&mut *held(&self.kept.wholes));
        let given_up = held(&self.kept.keeping).given_up(now);
        if !given_up.is_empty() {
            tracing::warn!(link = %self.link(), texts = given_up.len(), "long texts were never whole");
            self.seat.fault("a part of a long text never came", now);
        }
        due.extend(given_up);
        for whole in due {
            self.hand_over(whole);
        }
    }

    /// Keeps octets raw. Whether they are on disk.
    pub fn quarantine(&self, octets: &[u8], why: &str) -> bool {
        let now = self.now();
        match held(&self.kept.keeping).keep_raw(octets, why, now) {
            Ok(()) => {
                self.seat.count(|passed| passed.quarantined += 1);
                tracing::warn!(link = %self.link(), why, "a message was kept raw");
                true
            }
            Err(error) => {
                self.seat.fault(&error.to_string(), now);
                tracing::error!(link = %self.link(), %error, "a message could not be kept");
                false
            }
        }
    }
}
