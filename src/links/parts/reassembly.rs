//! Waiting for the missing parts of a text: which belong together, when they are complete, and what never completes.
//!
//! A value without IO or clock. The link keeps every part before it answers the network, and feeds the kept parts again
//! after a restart; [`Accepted`] and [`Abandoned`] carry the numbers under which they were kept. Does not know networks.

use crate::links::parts::Alphabet;
use crate::links::parts::Body;
use crate::links::parts::Concat;
use crate::links::parts::RefWidth;
use crate::links::parts::join;
use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;
use serde::Deserialize;
use serde::Serialize;
use std::collections::BTreeMap;
use std::mem;

/// Texts that may be incomplete at once; beyond it the one that began first is given up. One text is at most 36 kB.
pub const MOST_WAITING: usize = 4_096;
/// Completed texts remembered, to recognise a part that the network delivers once more.
const MOST_REMEMBERED: usize = 4_096;
/// Parts of one text are stamped by the message centre within seconds of each other; further apart, the sender's
/// reference has come round again. Ten minutes leaves room for a phone that lost its network between two parts.
const FURTHEST_APART: TimeDelta = TimeDelta::minutes(10);

/// What parts of one text have in common.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Key {
    /// The sender, as the network wrote it.
    pub from: String,
    /// The receiver, as the network wrote it.
    pub to: String,
    reference: u16,
    width: RefWidth,
    total: u8,
    alphabet: Alphabet,
}

/// One part as the network delivered it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// The sender, as the network wrote it.
    pub from: String,
    /// The receiver, as the network wrote it.
    pub to: String,
    /// Which part it is.
    pub concat: Concat,
    /// What it carries.
    pub body: Body,
    /// The message centre's stamp; the time of receipt where there is none.
    pub sent_at: DateTime<Utc>,
    /// When it was received.
    pub received_at: DateTime<Utc>,
    /// The number under which the link has kept it.
    pub kept_as: u64,
}

/// What became of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Accepted {
    /// Others are missing.
    Waiting {
        /// How many parts there are now.
        have: u8,
        /// How many there will be.
        total: u8,
    },
    /// The same part again: nothing changed.
    Repeated,
    /// The last missing part.
    Complete {
        /// The joined text; `None` for 8-bit data.
        text: Option<String>,
        /// When the message centre took the first part.
        sent_at: DateTime<Utc>,
        /// The numbers under which the parts were kept, in the order of the text.
        kept_as: Vec<u64>,
    },
}

/// A text that will not be completed. Its parts stay kept, and an operator can read them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Abandoned {
    /// Whose it was.
    pub key: Key,
    /// The numbers under which its parts were kept.
    pub kept_as: Vec<u64>,
    /// How many parts there were of how many.
    pub have: u8,
    /// See `have`.
    pub total: u8,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Waiting {
    sent_at: DateTime<Utc>,
    since: DateTime<Utc>,
    parts: BTreeMap<u8, (u64, Body)>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Done {
    at: DateTime<Utc>,
    parts: BTreeMap<u8, u32>,
}

/// All incomplete texts of one link.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reassembly {
    patience: TimeDelta,
    waiting: BTreeMap<Key, Waiting>,
    done: BTreeMap<Key, Done>,
    abandoned: Vec<(Key, Waiting)>,
}

impl Reassembly {
    /// Waits for `patience` after a text's first part. A network may hold a part back as long as its validity period, so
    /// a day is common practice (no source).
    #[must_use]
    pub fn new(patience: TimeDelta) -> Self {
        Self {
            patience,
            waiting: BTreeMap::new(),
            done: BTreeMap::new(),
            abandoned: Vec::new(),
        }
    }

    /// How many texts are incomplete.
    #[must_use]
    pub fn waiting(&self) -> usize {
        self.waiting.len()
    }

    /// Knows nothing any more of what these senders, as the network wrote them, sent.
    pub fn forget(&mut self, from: impl Fn(&str) -> bool) {
        self.waiting.retain(|key, _| !from(&key.from));
        self.done.retain(|key, _| !from(&key.from));
        self.abandoned.retain(|(key, _)| !from(&key.from));
    }

    /// Takes a part. Another content under a number already taken, or a stamp far from the others', begins a new text and
    /// gives the old one up: joining two halves of different messages would invent a record.
    pub fn accept(&mut self, part: Part) -> Accepted {
        let key = key_of(&part);
        let number = part.concat.part();
        if self
            .done
            .get(&key)
            .is_some_and(|d| d.parts.get(&number) == Some(&digest(&part.body)))
        {
            return Accepted::Repeated;
        }
        if let Some(held) = self.waiting.get(&key) {
            match held.parts.get(&number) {
                Some((_, body)) if *body == part.body && near(held, &part) => {
                    return Accepted::Repeated;
                }
                Some(_) => self.give_up(&key),
                None if !near(held, &part) => self.give_up(&key),
                None => (),
            }
        }
        let total = part.concat.total();
        let held = self.waiting.entry(key.clone()).or_insert_with(|| Waiting {
            sent_at: part.sent_at,
            since: part.received_at,
            parts: BTreeMap::new(),
        });
        held.sent_at = held.sent_at.min(part.sent_at);
        held.parts.insert(number, (part.kept_as, part.body));
        let have = u8::try_from(held.parts.len()).unwrap_or(u8::MAX);
        if have < total {
            self.keep_bounded();
            return Accepted::Waiting { have, total };
        }
        self.complete(key, part.received_at)
    }

    fn complete(&mut self, key: Key, at: DateTime<Utc>) -> Accepted {
        let Some(whole) = self.waiting.remove(&key) else {
            return Accepted::Repeated;
        };
        let parts = whole
            .parts
            .iter()
            .map(|(n, (_, body))| (*n, digest(body)))
            .collect();
        self.done.insert(key, Done { at, parts });
        if self.done.len() > MOST_REMEMBERED {
            let oldest = self
                .done
                .iter()
                .min_by_key(|(_, d)| d.at)
                .map(|(k, _)| k.clone());
            oldest.and_then(|key| self.done.remove(&key));
        }
        Accepted::Complete {
            text: join(whole.parts.values().map(|(_, body)| body)),
            sent_at: whole.sent_at,
            kept_as: whole.parts.values().map(|(kept_as, _)| *kept_as).collect(),
        }
    }

    /// Texts given up since the last call: those that waited longer than the patience at `now`, and those that a reused
    /// reference or the bound on waiting texts pushed out.
    pub fn abandoned(&mut self, now: DateTime<Utc>) -> Vec<Abandoned> {
        let late = |since: DateTime<Utc>| now - since > self.patience;
        let overdue: Vec<Key> = self
            .waiting
            .iter()
            .filter(|(_, w)| late(w.since))
            .map(|(k, _)| k.clone())
            .collect();
        self.done.retain(|_, d| !late(d.at));
        for key in overdue {
            self.give_up(&key);
        }
        mem::take(&mut self.abandoned)
            .into_iter()
            .map(|(key, held)| Abandoned {
                have: u8::try_from(held.parts.len()).unwrap_or(u8::MAX),
                total: key.total,
                kept_as: held.parts.values().map(|(kept_as, _)| *kept_as).collect(),
                key,
            })
            .collect()
    }

    fn give_up(&mut self, key: &Key) {
        if let Some(held) = self.waiting.remove(key) {
            self.abandoned.push((key.clone(), held));
        }
    }

    fn keep_bounded(&mut self) {
        if self.waiting.len() > MOST_WAITING {
            let oldest = self
                .waiting
                .iter()
                .min_by_key(|(_, w)| w.since)
                .map(|(k, _)| k.clone());
            if let Some(key) = oldest {
                self.give_up(&key);
            }
        }
    }
}

fn key_of(part: &Part) -> Key {
    Key {
        from: part.from.clone(),
        to: part.to.clone(),
        reference: part.concat.reference(),
        width: part.concat.width(),
        total: part.concat.total(),
        alphabet: part.body.alphabet(),
    }
}

fn near(held: &Waiting, part: &Part) -> bool {
    (part.sent_at - held.sent_at).abs() <= FURTHEST_APART
}

fn digest(body: &Body) -> u32 {
    let mut sum = crc32fast::Hasher::new();
    match body {
        Body::Septets(octets, _) | Body::Octets(octets) => sum.update(octets),
        Body::Units(units) => units
            .iter()
            .for_each(|unit| sum.update(&unit.to_be_bytes())),
    }
    sum.finalize()
}
