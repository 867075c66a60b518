//! What a handset of the page shows as its thread: the member's messages as the gateway kept them, and what was sent to the number unasked.
//!
//! Reminders and notices are taken from the demo link's outbox as a network would take them, and kept here until the process ends.

use crate::counter::Counter;
use crate::domain::message::{CoopId, Inbound, LinkName, Receipt};
use crate::domain::phone::PhoneNumber;
use crate::store::outbox::Settled;
use crate::web::phone::Owner;
use chrono::{DateTime, Utc};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Mutex, PoisonError};

/// Texts kept for a number; older ones fall off.
const KEPT_MAX: usize = 40;
/// Messages of a member that are shown.
const SHOWN_MAX: usize = 15;
/// Outbox rows taken at a time, and how often: a morning of all farms fits twice.
const ROWS_A_TIME: usize = 64;
const ROUNDS_MAX: usize = 8;

/// One text on the screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bubble {
    /// From the phone, rather than to it.
    pub mine: bool,
    /// When.
    pub at: DateTime<Utc>,
    /// What.
    pub text: String,
}

/// What came unasked, and the talk of numbers that are no members.
#[derive(Default)]
pub struct Threads(Mutex<BTreeMap<PhoneNumber, VecDeque<Bubble>>>);

impl Threads {
    fn push(&self, number: &PhoneNumber, line: Bubble) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let kept = all.entry(number.clone()).or_default();
        kept.push_back(line);
        while kept.len() > KEPT_MAX {
            kept.pop_front();
        }
    }

    /// Takes what waits for the demo's phones out of the outbox.
    pub fn fetch(&self, counter: &Counter, link: &LinkName) {
        for _ in 0..ROUNDS_MAX {
            let rows = match counter.lease(link, "phone page", ROWS_A_TIME) {
                Ok(rows) if !rows.is_empty() => rows,
                Ok(_) => return,
                Err(error) => {
                    tracing::error!(%error, "the outbox could not be read");
                    return;
                }
            };
            for row in rows {
                let line = Bubble {
                    mine: false,
                    at: row.due,
                    text: row.outbound.text.clone(),
                };
                self.push(&row.outbound.to, line);
                if let Err(error) = counter.settle(row.id, Settled::sent()) {
                    tracing::error!(%error, "a text could not be settled");
                }
            }
        }
    }

    /// Keeps the talk of a number that is no member's.
    pub fn keep(&self, inbound: &Inbound, receipt: &Receipt) {
        let said = Bubble {
            mine: true,
            at: inbound.sent_at,
            text: inbound.text.clone(),
        };
        self.push(&inbound.from, said);
        for reply in receipt
            .replies
            .iter()
            .filter(|reply| reply.to == inbound.from)
        {
            let answer = Bubble {
                mine: false,
                at: inbound.sent_at,
                text: reply.text.clone(),
            };
            self.push(&inbound.from, answer);
        }
    }

    /// The thread of a phone, oldest first.
    pub fn of(&self, counter: &Counter, coop: CoopId, owner: &Owner) -> Vec<Bubble> {
        let mut thread = Vec::new();
        if let Some(member) = owner.member {
            // Without its history the phone still works.
            for row in counter
                .messages(coop, member, SHOWN_MAX)
                .unwrap_or_default()
            {
                let at = row.sent_at;
                let answers = row
                    .replies
                    .into_iter()
                    .rev()
                    .filter(|r| r.to == owner.number);
                thread.extend(answers.map(|reply| Bubble {
                    mine: false,
                    at,
                    text: reply.text,
                }));
                thread.push(Bubble {
                    mine: true,
                    at,
                    text: row.text,
                });
            }
            thread.reverse();
        }
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        thread.extend(all.get(&owner.number).into_iter().flatten().cloned());
        drop(all);
        thread.sort_by_key(|line| line.at);
        thread
    }
}
