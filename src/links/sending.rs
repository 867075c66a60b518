//! Which texts are on their way and what became of each: rows leased from the outbox go in, messages come out, answers go in, fates come out.
//!
//! No IO, no clock. The rules: the same message again where the network asked for less; a few times where it had a fault; never where it refused;
//! and never again by itself where its answer is missing. Does not know sessions, nor what a message looks like.

mod doubts;

use crate::links::http::schedule::{Next, after_failure};
use crate::store::outbox::{OutboxId, OutboxRow, Settled};
use chrono::{DateTime, TimeDelta, Utc};
use doubts::Doubts;
use std::collections::{BTreeMap, VecDeque};

/// A fault of the network's is met by so many tries of one message, within one lease.
const TRIES_MOST: u8 = 3;
/// A row that was not begun by then goes back: its lease of two minutes must outlast the longest wait for an answer.
pub const BEGIN_WITHIN: TimeDelta = TimeDelta::seconds(45);
/// A row of which only some parts went out by then is given up as unknown, before its lease ends.
const FINISH_WITHIN: TimeDelta = TimeDelta::seconds(110);

/// Why a text will not be whole.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Stop {
    /// The network may have a part.
    Unknown(String),
    /// The network refused a part.
    Refused(String),
    /// The network had a fault too often.
    Failed,
}

/// What an answer of the network means for the message that it answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// Taken.
    Taken,
    /// The same again, later and slower.
    SlowDown,
    /// The same again a few times.
    TryAgain,
    /// Never.
    Refused,
}

#[derive(Debug)]
struct Going<P> {
    row: OutboxRow,
    pieces: Vec<P>,
    leased: DateTime<Utc>,
    ids: Vec<String>,
    taken: usize,
    in_flight: usize,
    queued: usize,
    /// Parts whose answer did not come in time.
    unknown: Vec<u64>,
    tries: u8,
    stop: Option<Stop>,
}

/// The book of one session's texts; it outlives a session, for a part may wait for the next one.
#[derive(Debug)]
pub struct Sending<P> {
    rows: BTreeMap<OutboxId, Going<P>>,
    queue: VecDeque<(OutboxId, usize)>,
    tokens: BTreeMap<u64, (OutboxId, usize)>,
    next_token: u64,
    fates: Vec<(OutboxRow, Settled)>,
    doubts: Doubts,
}

/// What an answer asks of the pace.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reaction {
    /// Go on.
    Fine,
    /// The network asked for less, or had a fault.
    SlowDown,
    /// Not a text of the outbox.
    NotOurs,
    /// It was refused.
    Refused,
}

impl<P> Default for Sending<P> {
    fn default() -> Self {
        Self {
            rows: BTreeMap::new(),
            queue: VecDeque::new(),
            tokens: BTreeMap::new(),
            next_token: 0,
            fates: Vec::new(),
            doubts: Doubts::default(),
        }
    }
}

impl<P: Clone> Sending<P> {
    /// Rows that have no fate yet.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.rows.len()
    }

    /// The same rows.
    pub fn in_hand(&self) -> impl Iterator<Item = &OutboxRow> {
        self.rows.values().map(|going| &going.row)
    }

    /// Messages that wait to be sent.
    #[must_use]
    pub fn queued(&self) -> usize {
        self.queue.len()
    }

    /// A leased row and its messages.
    pub fn take(&mut self, row: OutboxRow, pieces: Vec<P>, now: DateTime<Utc>) {
        if now >= row.expires {
            return self.fates.push((row, Settled::Expired));
        }
        let (id, queued) = (row.id, pieces.len());
        self.queue.extend((0..queued).map(|at| (id, at)));
        let going = Going {
            row,
            pieces,
            leased: now,
            ids: Vec::new(),
            taken: 0,
            in_flight: 0,
            queued,
            unknown: Vec::new(),
            tries: 0,
            stop: None,
        };
        self.rows.insert(id, going);
    }

    /// A row that can never be sent.
    pub fn refuse(&mut self, row: OutboxRow, why: String) {
        self.fates.push((row, Settled::Dead { why }));
    }

    /// The next message and the token of its answer.
    pub fn next_piece(&mut self) -> Option<(u64, P)> {
        while let Some((id, at)) = self.queue.pop_front() {
            let Some(going) = self.rows.get_mut(&id) else {
                continue;
            };
            let Some(piece) = going.pieces.get(at).cloned() else {
                continue;
            };
            going.queued -= 1;
            going.in_flight += 1;
            self.next_token += 1;
            self.tokens.insert(self.next_token, (id, at));
            return Some((self.next_token, piece));
        }
        None
    }

    /// The message of `token` was not written after all.
    pub fn put_back(&mut self, token: u64) {
        if let Some((id, at)) = self.tokens.remove(&token)
            && let Some(going) = self.rows.get_mut(&id)
        {
            going.in_flight -= 1;
            going.queued += 1;
            self.queue.push_front((id, at));
        }
    }

    /// The message of `token` can never be written.
    pub fn unwritable(&mut self, token: u64, why: String, now: DateTime<Utc>) {
        self.resolve(token, now, |going| {
            going.stop = Some(Stop::Refused(why));
            false
        });
    }

    /// The network answered the message of `token`: what that means, its own words for people where it refused, and its id where it took it
    /// (empty: none).
    pub fn answered(
        &mut self,
        token: u64,
        meaning: Meaning,
        words: &str,
        id: String,
        now: DateTime<Utc>,
    ) -> Reaction {
        if !self.tokens.contains_key(&token) {
            return Reaction::NotOurs;
        }
        self.resolve(token, now, |going| match meaning {
            Meaning::Taken => {
                going.taken += 1;
                if !id.is_empty() {
                    going.ids.push(id);
                }
                false
            }
            Meaning::SlowDown => going.stop.is_none(),
            Meaning::TryAgain => {
                going.tries += 1;
                if going.tries >= TRIES_MOST && going.stop.is_none() {
                    going.stop = Some(Stop::Failed);
                }
                going.stop.is_none()
            }
            Meaning::Refused => {
                let refused = Stop::Refused(words.to_owned());
                if !matches!(going.stop, Some(Stop::Unknown(_))) {
                    going.stop = Some(refused);
                }
                false
            }
        });
        match meaning {
            Meaning::Taken => Reaction::Fine,
            Meaning::Refused => Reaction::Refused,
            Meaning::SlowDown | Meaning::TryAgain => Reaction::SlowDown,
        }
    }

    /// The answer to `token` does not come in time.
    pub fn unknown(&mut self, token: u64, why: &str, now: DateTime<Utc>) {
        let why = why.to_owned();
        self.resolve(token, now, |going| {
            going.unknown.push(token);
            going.stop = Some(Stop::Unknown(why));
            false
        });
    }

    /// An answer came to a message that was given up: the network took it under `id` (empty: none). Where that makes its text known,
    /// [`Settled::Sent`] is among the fates, after the one that said unknown.
    pub fn taken_late(&mut self, token: u64, id: String) {
        self.fates.extend(self.doubts.taken(token, id));
    }

    /// One message has an outcome; `again` says whether it is to be sent once more.
    fn resolve(
        &mut self,
        token: u64,
        now: DateTime<Utc>,
        outcome: impl FnOnce(&mut Going<P>) -> bool,
    ) {
        let Some((id, at)) = self.tokens.remove(&token) else {
            return;
        };
        let Some(going) = self.rows.get_mut(&id) else {
            return;
        };
        going.in_flight -= 1;
        if outcome(going) {
            going.queued += 1;
            self.queue.push_front((id, at));
        }
        if going.stop.is_some() && going.queued > 0 {
            // What is left of a text that will not be whole is not sent: nobody could read it.
            going.queued = 0;
            self.queue.retain(|(row, _)| *row != id);
        }
        if going.in_flight == 0 && going.queued == 0 {
            self.close(id, now);
        }
    }

    fn close(&mut self, id: OutboxId, now: DateTime<Utc>) {
        let Some(going) = self.rows.remove(&id) else {
            return;
        };
        let parts = u16::try_from(going.pieces.len()).unwrap_or(u16::MAX);
        // Where a part was never given, or was refused, no answer makes the text whole.
        let given = going.taken + going.unknown.len();
        if !going.unknown.is_empty() && given == going.pieces.len() {
            let (row, ids) = (going.row.clone(), going.ids.clone());
            self.doubts.hold(row, ids, parts, going.unknown.clone());
        }
        let some = || format!("{} of {parts} parts went out", going.taken);
        let fate = match going.stop {
            None => Settled::Sent {
                ids: going.ids,
                parts,
            },
            Some(Stop::Unknown(why)) => Settled::Unknown {
                why,
                ids: going.ids,
                parts,
            },
            Some(Stop::Refused(why)) if going.taken == 0 => Settled::Dead { why },
            Some(Stop::Refused(why)) => Settled::Dead {
                why: format!("{why}; {}", some()),
            },
            Some(Stop::Failed) if going.taken == 0 => {
                let (expires, attempts) = (going.row.expires, going.row.attempts);
                match after_failure(now, expires, attempts, None, 0.5) {
                    Next::Retry(at) => Settled::Retry { at },
                    Next::Expired => Settled::Expired,
                    Next::GiveUp => Settled::Dead {
                        why: "the network had a fault at every try".to_owned(),
                    },
                }
            }
            Some(Stop::Failed) => Settled::Unknown {
                why: format!("the network had a fault; {}", some()),
                ids: going.ids,
                parts,
            },
        };
        self.fates.push((going.row, fate));
    }

    /// Gives back at `now`, due at `due`, what was not begun in time; all that was not begun, where `all` says so. Texts of which only some parts
    /// went out are given up before their lease ends.
    pub fn give_back(&mut self, all: bool, due: DateTime<Utc>, now: DateTime<Utc>) {
        let mut back = Vec::new();
        let mut stuck = Vec::new();
        for (id, going) in self.rows.iter().filter(|(_, going)| going.in_flight == 0) {
            let age = now - going.leased;
            if going.taken == 0 && (all || age >= BEGIN_WITHIN) {
                back.push(*id);
            } else if going.taken > 0 && age >= FINISH_WITHIN {
                stuck.push(*id);
            }
        }
        self.queue
            .retain(|(id, _)| !back.contains(id) && !stuck.contains(id));
        for id in back {
            if let Some(going) = self.rows.remove(&id) {
                let fate = if due < going.row.expires {
                    Settled::Retry { at: due }
                } else {
                    Settled::Expired
                };
                self.fates.push((going.row, fate));
            }
        }
        for id in stuck {
            if let Some(going) = self.rows.get_mut(&id) {
                let why = "the connection was lost between its parts".to_owned();
                going.stop = Some(Stop::Unknown(why));
            }
            self.close(id, now);
        }
    }

    /// Fates since the last call.
    pub fn take_fates(&mut self) -> Vec<(OutboxRow, Settled)> {
        std::mem::take(&mut self.fates)
    }
}
