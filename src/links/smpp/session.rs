//! One bound session as a state machine: octets and moments in, octets and events out. No socket, no clock.
//!
//! A text whose answer does not come is reported as unknown and never sent again from here. `deliver_sm` is answered only when told to. This room
//! does not know texts, receipts or where anything is kept.

mod event;
mod reading;

use crate::links::smpp::fields::FieldError;
use crate::links::smpp::frames::{Frames, OutOfStep};
use crate::links::smpp::pdu::{Bind, BindAs, Body, Pdu, ShortMessage};
use crate::links::smpp::status;
use crate::links::smpp::tlv::Tlv;
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::{BTreeMap, VecDeque};

pub use event::{Ended, Event, Limits, State, Wants};

/// Largest sequence number (SMPP 3.4 clause 3.2); after it comes 1.
const SEQUENCE_MOST: u32 = 0x7FFF_FFFF;
/// Late answers that are waited for; beyond it the oldest is left to receipts.
const OVERDUE_MOST: usize = 1_000;
/// Unanswered questions whether the peer is there, after which it is not.
const MISSES_MOST: u8 = 2;

#[derive(Clone, Copy, Debug)]
struct Pending {
    token: u64,
    until: DateTime<Utc>,
}

/// A session from its bind to its end.
#[derive(Debug)]
pub struct Session {
    bind_as: BindAs,
    limits: Limits,
    state: State,
    frames: Frames,
    sequence: u32,
    pending: BTreeMap<u32, Pending>,
    /// Tokens of answers that did not come in time, by sequence number: they may come late.
    overdue: BTreeMap<u32, u64>,
    taking: usize,
    heard: DateTime<Utc>,
    enquired: Option<DateTime<Utc>>,
    misses: u8,
    until: DateTime<Utc>,
    out: Vec<u8>,
    events: VecDeque<Event>,
}

impl Session {
    /// Begins with the bind.
    #[must_use]
    pub fn new(bind_as: BindAs, bind: Bind, limits: Limits, now: DateTime<Utc>) -> Self {
        let mut session = Self {
            bind_as,
            limits,
            state: State::Binding,
            frames: Frames::default(),
            sequence: 0,
            pending: BTreeMap::new(),
            overdue: BTreeMap::new(),
            taking: 0,
            heard: now,
            enquired: None,
            misses: 0,
            until: now + limits.bind_wait,
            out: Vec::new(),
            events: VecDeque::new(),
        };
        session.ask(Body::Bind(bind_as, bind));
        session
    }

    /// Numbers the next request `sequence + 1`; for tests of the number that follows the last.
    #[must_use]
    pub fn numbered_from(mut self, sequence: u32) -> Self {
        self.sequence = sequence;
        self
    }

    /// Where it stands.
    #[must_use]
    pub const fn state(&self) -> State {
        self.state
    }

    /// In which direction texts pass.
    #[must_use]
    pub const fn bind_as(&self) -> BindAs {
        self.bind_as
    }

    /// Texts that may be submitted now.
    #[must_use]
    pub fn room(&self) -> usize {
        match self.state {
            State::Bound => self.limits.window.saturating_sub(self.pending.len()),
            _ => 0,
        }
    }

    /// Texts that wait for their answer.
    #[must_use]
    pub fn waiting(&self) -> usize {
        self.pending.len()
    }

    /// Octets for the peer, in order.
    #[must_use]
    pub fn take_octets(&mut self) -> Vec<u8> {
        std::mem::take(&mut self.out)
    }

    /// The next thing that happened.
    pub fn next_event(&mut self) -> Option<Event> {
        self.events.pop_front()
    }

    /// When [`Session::tick`] has something to do.
    #[must_use]
    pub fn next_moment(&self) -> Option<DateTime<Utc>> {
        let answers = self.pending.values().map(|p| p.until).min();
        let own = match self.state {
            State::Closed => return None,
            State::Binding => self.until,
            State::Ending { until, .. } => until,
            State::Bound => match self.enquired {
                Some(at) => at + self.limits.answer_wait,
                None => self.heard + self.limits.enquire_after,
            },
        };
        Some(answers.map_or(own, |at| at.min(own)))
    }

    /// Sends a text; its fate comes as an event with `token`. Returns whether it was written: not without room, nor where a field is too long.
    ///
    /// # Errors
    /// A field that the standard does not allow: the text can never be sent so.
    pub fn submit(
        &mut self,
        token: u64,
        message: ShortMessage,
        tlvs: Vec<Tlv>,
        now: DateTime<Utc>,
    ) -> Result<bool, FieldError> {
        if self.room() == 0 {
            return Ok(false);
        }
        let sequence = self.next_sequence();
        let mut pdu = Pdu::new(sequence, Body::Submit(message));
        pdu.tlvs = tlvs;
        self.out.extend(pdu.write()?);
        let until = now + self.limits.answer_wait;
        self.pending.insert(sequence, Pending { token, until });
        Ok(true)
    }

    /// Answers a message of the peer's.
    pub fn answer(&mut self, sequence: u32, wants: Wants, status: u32) {
        self.taking = self.taking.saturating_sub(1);
        self.reply(sequence, wants, status);
        self.go_on_leaving();
    }

    /// Takes leave: no new texts, and the unbind once those on their way are answered, or after `wait`.
    pub fn leave(&mut self, wait: TimeDelta, now: DateTime<Utc>) {
        match self.state {
            State::Bound => {
                self.state = State::Ending {
                    until: now + wait,
                    unbind: true,
                    how: Ended::ByUs,
                };
                self.go_on_leaving();
            }
            State::Binding => self.end(Ended::ByUs),
            State::Ending { .. } | State::Closed => {}
        }
    }

    /// The connection broke.
    pub fn lost(&mut self) {
        self.end(Ended::Lost);
    }

    /// Octets of the peer's.
    pub fn feed(&mut self, octets: &[u8], now: DateTime<Utc>) {
        if self.state == State::Closed {
            return;
        }
        self.heard = now;
        self.enquired = None;
        self.misses = 0;
        self.frames.push(octets);
        while self.state != State::Closed {
            match self.frames.next_frame() {
                Ok(Some(frame)) => self.frame(frame, now),
                Ok(None) => return,
                Err(OutOfStep(length)) => {
                    let frame = self.frames.rest().iter().take(64).copied().collect();
                    let why = OutOfStep(length).to_string();
                    let owed = None;
                    self.events.push_back(Event::Unread { frame, why, owed });
                    self.nack(0, status::BAD_COMMAND_LENGTH);
                    self.end(Ended::OutOfStep);
                }
            }
        }
    }

    /// Time has passed.
    pub fn tick(&mut self, now: DateTime<Utc>) {
        let late: Vec<u32> = self
            .pending
            .iter()
            .filter(|(_, p)| p.until <= now)
            .map(|(sequence, _)| *sequence)
            .collect();
        for sequence in late {
            if let Some(pending) = self.pending.remove(&sequence) {
                self.overdue.insert(sequence, pending.token);
                if self.overdue.len() > OVERDUE_MOST {
                    self.overdue.pop_first();
                }
                let (token, why) = (pending.token, "the network did not answer in time");
                self.events.push_back(Event::Unknown { token, why });
            }
        }
        match self.state {
            State::Binding if now >= self.until => self.end(Ended::NoBind),
            State::Ending { until, how, .. } if now >= until => self.end(how),
            State::Ending { .. } => self.go_on_leaving(),
            State::Bound => self.look_for_life(now),
            _ => {}
        }
    }

    fn look_for_life(&mut self, now: DateTime<Utc>) {
        match self.enquired {
            None if now >= self.heard + self.limits.enquire_after => {}
            Some(at) if now >= at + self.limits.answer_wait => {
                self.misses += 1;
                if self.misses >= MISSES_MOST {
                    return self.end(Ended::Silent);
                }
            }
            _ => return,
        }
        self.enquired = Some(now);
        self.ask(Body::EnquireLink);
    }

    /// Once nothing is on its way either way, the unbind goes out, or a peer that took leave is let go.
    fn go_on_leaving(&mut self) {
        let idle = self.pending.is_empty() && self.taking == 0;
        match self.state {
            State::Ending { unbind, how, until } if idle => {
                if unbind {
                    self.state = State::Ending {
                        until,
                        unbind: false,
                        how,
                    };
                    self.ask(Body::Unbind);
                } else if how == Ended::ByPeer {
                    self.end(how);
                }
            }
            _ => {}
        }
    }

    fn end(&mut self, how: Ended) {
        if self.state == State::Closed {
            return;
        }
        self.state = State::Closed;
        for (_, Pending { token, .. }) in std::mem::take(&mut self.pending) {
            let why = "the connection ended before the answer";
            self.events.push_back(Event::Unknown { token, why });
        }
        self.events.push_back(Event::Ended(how));
    }

    fn next_sequence(&mut self) -> u32 {
        loop {
            self.sequence = if self.sequence >= SEQUENCE_MOST {
                1
            } else {
                self.sequence + 1
            };
            if !self.pending.contains_key(&self.sequence) {
                return self.sequence;
            }
        }
    }

    fn ask(&mut self, body: Body) {
        let sequence = self.next_sequence();
        self.say(sequence, body, status::OK);
    }

    fn reply(&mut self, sequence: u32, wants: Wants, status: u32) {
        let body = match wants {
            Wants::DeliverResp => Body::DeliverResp(String::new()),
            Wants::DataResp => Body::DataResp(String::new()),
        };
        self.say(sequence, body, status);
    }

    fn nack(&mut self, sequence: u32, status: u32) {
        self.say(sequence, Body::GenericNack, status);
    }

    fn say(&mut self, sequence: u32, body: Body, status: u32) {
        let mut pdu = Pdu::new(sequence, body);
        pdu.status = status;
        match pdu.write() {
            Ok(octets) => self.out.extend(octets),
            // Only a bind has fields of ours, and settings are held to their lengths.
            Err(_) => self.end(Ended::NoBind),
        }
    }
}
