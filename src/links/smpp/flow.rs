//! What one direction of a link does, session after session: which texts are submitted and when, when the outbox is asked, what an answer leads to,
//! and which answer is owed to whom.
//!
//! No IO, no clock, no chance: rows, events and moments go in, work to do comes out. The driver and the simulation move the same one. Does not know
//! how anything is kept.

use crate::links::pace::Pace;
use crate::links::sending::{Meaning, Reaction, Sending};
use crate::links::smpp::outgoing::{self, Piece};
use crate::links::smpp::pdu::{BindAs, ShortMessage};
use crate::links::smpp::profile::Profile;
use crate::links::smpp::receipt::answer_id;
use crate::links::smpp::session::{Event, Session, State, Wants};
use crate::links::smpp::status;
use crate::links::smpp::tlv::Tlv;
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, TimeDelta, Utc};

/// Between two looks into an empty outbox; an answer to a message that just came is looked for at once.
pub const LOOK_EVERY: TimeDelta = TimeDelta::milliseconds(500);
/// Tokens of screens: not of the outbox.
const SCREEN_TOKEN: u64 = u64::MAX;

/// An answer that the network waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Owed {
    /// The session that it is owed in.
    of: u64,
    sequence: u32,
    wants: Wants,
    /// What it says when all is well.
    status: u32,
}

impl Owed {
    /// Says `status` when all is well.
    #[must_use]
    pub const fn saying(mut self, status: u32) -> Self {
        self.status = status;
        self
    }

    /// The sequence number of the message.
    #[must_use]
    pub const fn sequence(&self) -> u32 {
        self.sequence
    }
}

/// What is to be done beside the session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Task {
    /// A message of the peer's: to be kept, then answered by [`Flow::pay`].
    Came {
        /// Its answer.
        owed: Owed,
        /// The message.
        message: Box<ShortMessage>,
        /// Its parameters.
        tlvs: Vec<Tlv>,
        /// The whole frame, where its end could not be read.
        flawed: Option<Vec<u8>>,
    },
    /// A frame that cannot be read: raw to the disk, then refused for good, so that it does not come for ever.
    Unread {
        /// The octets.
        frame: Vec<u8>,
        /// What is wrong with them.
        why: String,
        /// Its answer, where one is wanted.
        owed: Option<Owed>,
    },
    /// Something that a person should see.
    Fault {
        /// In words.
        said: String,
        /// The network asked for less.
        slower: bool,
    },
}

/// One direction or both of a link.
#[derive(Debug)]
pub struct Flow {
    profile: Profile,
    bind_as: BindAs,
    /// A screen that found no room.
    held_screen: Option<Piece>,
    sending: Sending<Piece>,
    pace: Pace,
    leasing: bool,
    look_at: DateTime<Utc>,
    /// When the outbox can be looked into next; none while only an answer or an event changes that.
    next_look: Option<DateTime<Utc>>,
    generation: u64,
}

impl Flow {
    /// Nothing sent, nothing owed.
    #[must_use]
    pub fn new(profile: Profile, bind_as: BindAs, now: DateTime<Utc>) -> Self {
        let pace = Pace::new(profile.per_second, now);
        Self {
            profile,
            bind_as,
            held_screen: None,
            sending: Sending::default(),
            pace,
            leasing: false,
            look_at: now,
            next_look: None,
            generation: 0,
        }
    }

    /// A session over a new connection. Answers owed in sessions before it are not given any more.
    #[must_use]
    pub fn session(&mut self, now: DateTime<Utc>) -> Session {
        self.generation += 1;
        let bind = self.profile.bind.clone();
        Session::new(self.bind_as, bind, self.profile.limits, now)
    }

    /// The outbox is to be looked into at once: the session is bound, or something was committed that may have an answer.
    pub const fn look(&mut self, now: DateTime<Utc>) {
        self.look_at = now;
    }

    /// Rows are on their way from the outbox: [`Flow::leased`] is to be called.
    #[must_use]
    pub const fn is_leasing(&self) -> bool {
        self.leasing
    }

    /// A screen waits for room; another one must wait outside.
    #[must_use]
    pub const fn holds_screen(&self) -> bool {
        self.held_screen.is_some()
    }

    /// A screen to be sent before texts.
    pub fn show(&mut self, screen: Piece) {
        self.held_screen = Some(screen);
    }

    /// What can be done without waiting: the screen and texts into the window. What went wrong with the screen.
    pub fn work(&mut self, session: &mut Session, now: DateTime<Utc>) -> Option<Task> {
        let mut fault = None;
        if let Some(piece) = self.held_screen.take_if(|_| session.room() > 0) {
            let sent = session.submit(SCREEN_TOKEN, piece.message, piece.tlvs, now);
            fault = sent.err().map(|error| Task::Fault {
                said: error.to_string(),
                slower: false,
            });
        }
        let due = self.pace.paused(now).unwrap_or(now);
        self.sending.give_back(false, due, now);
        let mut free = session.room().min(self.pace.free(now));
        while free > 0 {
            let Some((token, piece)) = self.sending.next_piece() else {
                break;
            };
            match session.submit(token, piece.message, piece.tlvs, now) {
                Ok(true) => {
                    self.pace.spend();
                    free -= 1;
                }
                Ok(false) => {
                    self.sending.put_back(token);
                    break;
                }
                Err(why) => self.sending.unwritable(token, why.to_string(), now),
            }
        }
        fault
    }

    /// How many rows the outbox is to be asked for now, where the window will have room for them: [`Flow::leased`] is to be called then.
    pub fn wanted(&mut self, session: &Session, now: DateTime<Utc>) -> Option<usize> {
        let sends = self.bind_as != BindAs::Receiver && session.state() == State::Bound;
        let window = self.profile.limits.window;
        let queued = self.sending.queued();
        let wanted = window.saturating_sub(queued);
        self.next_look = None;
        if !sends || self.leasing || wanted * 2 < window || wanted == 0 {
            return None;
        }
        // At a slow pace rows would only grow old here.
        let most = wanted.min(self.pace.free(now).saturating_sub(queued));
        if most == 0 || now < self.look_at {
            let free = if most == 0 {
                self.pace.next_free(now)
            } else {
                now
            };
            self.next_look = Some(free.max(self.look_at));
            return None;
        }
        self.leasing = true;
        Some(most)
    }

    /// Rows from the outbox; none where it could not be read.
    pub fn leased(&mut self, rows: Vec<OutboxRow>, now: DateTime<Utc>) {
        self.leasing = false;
        // A full hand may not have been all.
        self.look_at = if rows.is_empty() {
            now + LOOK_EVERY
        } else {
            now
        };
        for row in rows {
            let reference = u16::try_from(row.id.0 & 0xFFFF).unwrap_or_default();
            let (to, text) = (&row.outbound.to, &row.outbound.text);
            let worth = row.expires - now;
            match outgoing::pieces(&self.profile, to, text, reference, worth) {
                Ok(pieces) => self.sending.take(row, pieces, now),
                Err(why) => self.sending.refuse(row, why.to_string()),
            }
        }
    }

    /// What a session's event asks for. `chance` (0.0 to 1.0) spreads a pause. Bind and end are the caller's.
    pub fn event(
        &mut self,
        event: Event,
        chance: impl FnOnce() -> f64,
        now: DateTime<Utc>,
    ) -> Option<Task> {
        match event {
            Event::Answered { token, status, id } => {
                let id = match id.as_str() {
                    "" => id,
                    id => answer_id(id, self.profile.ids),
                };
                let late = id.clone();
                let (meaning, words) = (status::meaning(status), status::said(status));
                let reaction = self.sending.answered(token, meaning, &words, id, now);
                if reaction == Reaction::NotOurs && meaning == Meaning::Taken {
                    self.sending.taken_late(token, late);
                }
                self.react(reaction, words, chance, now)
            }
            Event::Unknown { token, why } => {
                self.sending.unknown(token, why, now);
                None
            }
            Event::Came {
                sequence,
                wants,
                message,
                tlvs,
                flawed,
            } => {
                let status = if flawed.is_some() {
                    status::BAD_PARAMETERS
                } else {
                    status::OK
                };
                Some(Task::Came {
                    owed: self.owed((sequence, wants), status),
                    message,
                    tlvs,
                    flawed,
                })
            }
            Event::Unread { frame, why, owed } => Some(Task::Unread {
                frame,
                why,
                owed: owed.map(|owed| self.owed(owed, status::RECEIVER_REJECTS)),
            }),
            Event::Bound(_) | Event::Ended(_) => None,
        }
    }

    fn react(
        &mut self,
        reaction: Reaction,
        said: String,
        chance: impl FnOnce() -> f64,
        now: DateTime<Utc>,
    ) -> Option<Task> {
        match reaction {
            Reaction::Fine => {
                self.pace.took();
                None
            }
            Reaction::SlowDown => {
                self.pace.slow_down(now, chance());
                Some(Task::Fault { said, slower: true })
            }
            Reaction::Refused => Some(Task::Fault {
                said,
                slower: false,
            }),
            Reaction::NotOurs => None,
        }
    }

    const fn owed(&self, (sequence, wants): (u32, Wants), status: u32) -> Owed {
        Owed {
            of: self.generation,
            sequence,
            wants,
            status,
        }
    }

    /// Answers a message of the peer's: as it should be where all was kept; to be sent again later, where it was not.
    pub fn pay(&self, session: &mut Session, owed: Owed, kept: bool) {
        // In an older session: the network sends it again in this one, and the counter knows it.
        if owed.of == self.generation {
            let status = if kept {
                owed.status
            } else {
                status::RECEIVER_BUSY
            };
            session.answer(owed.sequence, owed.wants, status);
        }
    }

    /// The session is over: rows that were not begun go back at once.
    pub fn rest(&mut self, now: DateTime<Utc>) {
        self.sending.give_back(true, now, now);
    }

    /// Fates of texts since the last call: to be settled in the outbox.
    pub fn take_fates(&mut self) -> Vec<(OutboxRow, Settled)> {
        self.sending.take_fates()
    }

    /// When there is something to do though nothing comes.
    pub fn next_moment(&mut self, session: &Session, now: DateTime<Utc>) -> DateTime<Utc> {
        let mut next = session.next_moment().unwrap_or(now + LOOK_EVERY);
        next = self.next_look.map_or(next, |look| next.min(look));
        if self.sending.queued() > 0 && session.room() > 0 {
            next = next.min(self.pace.next_free(now));
        }
        next
    }
}
