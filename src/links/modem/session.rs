//! One open port as a state machine: octets and moments in, octets and events out. No port, no clock.
//!
//! One command is on its way at a time. A text whose outcome is not known is reported so and never sent again from here; a message is deleted only
//! when told that it is kept. This room does not know texts, members or where anything is kept.

mod answers;
mod command;
mod event;
mod hearing;

use crate::links::modem::lines::Lines;
use crate::links::modem::outgoing::Piece;
use crate::links::modem::pin::Pin;
use crate::links::modem::profile::Limits;
use crate::links::modem::reply::{Registration, SimWants};
use chrono::{DateTime, TimeDelta, Utc};
use command::Command;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

pub use event::{Air, Ended, Event, Place};

/// Ends a message that was begun; nothing is sent of it (TS 27.005 clause 3.5.1).
const ESCAPE: u8 = 0x1B;
/// Ends a message that is to be sent.
const CONTROL_Z: u8 = 0x1A;
/// Between two greetings of a modem that does not answer.
const GREETING_WAIT: TimeDelta = TimeDelta::seconds(3);
/// Greetings without an answer, after which nobody is there.
const GREETINGS_MOST: u8 = 5;
/// Answers of before are over when nothing was heard for so long.
const QUIET: TimeDelta = TimeDelta::milliseconds(300);
/// The prompt follows at once or not at all.
const PROMPT_WAIT: TimeDelta = TimeDelta::seconds(10);
/// Before a command that met a busy SIM is sent again.
const BUSY_WAIT: TimeDelta = TimeDelta::seconds(2);
/// Commands in a row without an answer, after which nobody is there.
const MISSES_MOST: u8 = 3;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Opening,
    AwaitingPin,
    Ready,
    Closed,
}

/// How far a submission is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    /// The command itself; for a submission: PDU mode.
    Command,
    /// The modem is to ask for the message.
    Prompt,
    /// The message is on its way; whether the modem said a reference.
    Result(Option<Option<u8>>),
}

#[derive(Debug)]
struct Flight {
    command: Command,
    stage: Stage,
    until: DateTime<Utc>,
    /// The last line that was written: a modem may echo it.
    written: String,
    tries: u8,
}

/// Finding the modem, and waiting until it has nothing more to say about before.
#[derive(Debug)]
struct Greeting {
    tries: u8,
    until: DateTime<Utc>,
    quiet: Option<DateTime<Utc>>,
}

#[derive(Debug)]
struct Queued {
    command: Command,
    tries: u8,
}

/// What a line of hexadecimal belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Announced {
    place: Option<Place>,
    length: usize,
}

/// A session from the opening of a port to its end.
#[derive(Debug)]
pub struct Session {
    limits: Limits,
    lines: Lines,
    out: Vec<u8>,
    events: VecDeque<Event>,
    phase: Phase,
    greeting: Option<Greeting>,
    queue: VecDeque<Queued>,
    flight: Option<Flight>,
    not_before: Option<DateTime<Utc>>,
    misses: u8,
    sim: Option<SimWants>,
    pin_left: Option<u8>,
    air: Air,
    heard_registration: Option<Registration>,
    storage_command: Command,
    indications: usize,
    memory: Option<String>,
    announced: Vec<Announced>,
    in_hand: BTreeSet<Place>,
    suspects: BTreeMap<Place, (String, u8)>,
    next_poll: DateTime<Utc>,
    /// The last text, where its answer did not come in time: it may come late.
    doubted: Option<u64>,
}

impl Session {
    /// Begins with a greeting that also ends whatever a process before had begun.
    #[must_use]
    pub fn new(limits: Limits, now: DateTime<Utc>) -> Self {
        let first = [Command::EchoOff, Command::NumericErrors, Command::PinState];
        let mut session = Self {
            lines: Lines::default(),
            out: Vec::new(),
            events: VecDeque::new(),
            phase: Phase::Opening,
            greeting: None,
            queue: VecDeque::new(),
            flight: None,
            not_before: None,
            misses: 0,
            sim: None,
            pin_left: None,
            air: Air::default(),
            heard_registration: None,
            storage_command: Command::Storage,
            indications: 0,
            memory: None,
            announced: Vec::new(),
            in_hand: BTreeSet::new(),
            suspects: BTreeMap::new(),
            next_poll: now + limits.poll_every,
            doubted: None,
            limits,
        };
        first.into_iter().for_each(|command| session.push(command));
        session.greet(now);
        session
    }

    /// Octets for the modem, in order.
    #[must_use]
    pub fn take_octets(&mut self) -> Vec<u8> {
        std::mem::take(&mut self.out)
    }

    /// The next thing that happened.
    pub fn next_event(&mut self) -> Option<Event> {
        self.events.pop_front()
    }

    /// It is over.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.phase == Phase::Closed
    }

    /// How the modem hears its network.
    #[must_use]
    pub const fn air(&self) -> Air {
        self.air
    }

    /// A text can be submitted: the modem is set up, registered, and has none yet.
    #[must_use]
    pub fn has_room(&self) -> bool {
        let sending = |command: &Command| matches!(command, Command::Submit(..));
        let queued = self.queue.iter().any(|q| sending(&q.command));
        let flying = self.flight.as_ref().is_some_and(|f| sending(&f.command));
        self.phase == Phase::Ready
            && self.greeting.is_none()
            && self.air.carries()
            && !queued
            && !flying
    }

    /// A message was given to the modem and its outcome is not known yet.
    #[must_use]
    pub fn is_sending(&self) -> bool {
        let flight = self.flight.as_ref();
        flight.is_some_and(|flight| matches!(flight.stage, Stage::Result(_)))
    }

    /// When [`Session::tick`] has something to do.
    #[must_use]
    pub fn next_moment(&self) -> Option<DateTime<Utc>> {
        if self.is_closed() {
            return None;
        }
        let greeting = self.greeting.as_ref();
        let greeting = greeting.map(|g| g.quiet.map_or(g.until, |quiet| quiet.min(g.until)));
        let flight = self.flight.as_ref().map(|flight| flight.until);
        let poll = (self.phase == Phase::Ready).then_some(self.next_poll);
        [greeting, flight, self.not_before, poll]
            .into_iter()
            .flatten()
            .min()
    }

    /// Sends a text; its fate comes as an event with `token`. Whether there was room.
    pub fn submit(&mut self, token: u64, piece: Piece, now: DateTime<Utc>) -> bool {
        if !self.has_room() {
            return false;
        }
        if piece.of_several {
            self.push(Command::MoreMessages);
        }
        self.push(Command::Submit(token, piece));
        self.start(now);
        true
    }

    /// Gives the SIM its PIN: the answer to [`Event::PinWanted`].
    pub fn enter_pin(&mut self, pin: Pin, now: DateTime<Utc>) {
        if self.phase == Phase::AwaitingPin {
            self.phase = Phase::Opening;
            self.push(Command::EnterPin(pin));
            self.start(now);
        }
    }

    /// Does not give it; the session ends.
    pub fn withhold_pin(&mut self, why: String) {
        self.end(Ended::PinWithheld(why));
    }

    /// Whoever took a stored message has it on disk, and it is deleted; or not, and it is listed again.
    pub fn release(&mut self, place: Place, kept: bool, now: DateTime<Utc>) {
        if kept {
            self.push(Command::Delete(place));
            self.start(now);
        } else {
            self.in_hand.remove(&place);
        }
    }

    /// The port is gone, or the gateway stops.
    pub fn lost(&mut self) {
        self.end(Ended::Lost);
    }

    fn push(&mut self, command: Command) {
        self.queue.push_back(Queued { command, tries: 0 });
    }

    /// Whether a command waits.
    fn is_queued(&self, command: &Command) -> bool {
        self.queue.iter().any(|queued| queued.command == *command)
    }

    fn list(&mut self, memory: String) {
        let list = Command::List(memory);
        if !self.is_queued(&list) {
            self.push(list);
        }
    }

    fn write(&mut self, line: &str) {
        self.out.extend(line.as_bytes());
        self.out.push(b'\r');
    }

    /// Ends a message that may have been begun, and finds the modem's answer to a bare `AT`.
    fn greet(&mut self, now: DateTime<Utc>) {
        self.lines.clear();
        self.announced.clear();
        self.out.extend([ESCAPE, b'\r']);
        self.write("AT");
        let tries = self.greeting.as_ref().map_or(1, |g| g.tries + 1);
        self.greeting = Some(Greeting {
            tries,
            until: now + GREETING_WAIT,
            quiet: None,
        });
    }

    /// The next command, where none is on its way.
    fn start(&mut self, now: DateTime<Utc>) {
        let waits = self.not_before.is_some_and(|at| now < at);
        if self.is_closed() || self.flight.is_some() || self.greeting.is_some() || waits {
            return;
        }
        self.not_before = None;
        let Some(Queued { command, tries }) = self.queue.pop_front() else {
            return;
        };
        let memory = command.memory().map(str::to_owned);
        let (command, tries) = match memory {
            Some(memory) if self.memory.as_ref() != Some(&memory) => {
                self.queue.push_front(Queued { command, tries });
                (Command::Select(memory), 0)
            }
            _ => (command, tries),
        };
        let written = command.text(&self.limits.storage);
        self.write(&written);
        self.flight = Some(Flight {
            until: now + command.wait(),
            command,
            stage: Stage::Command,
            written,
            tries,
        });
    }

    /// Time has passed.
    pub fn tick(&mut self, now: DateTime<Utc>) {
        self.tick_greeting(now);
        if self.flight.as_ref().is_some_and(|f| now >= f.until) {
            self.overdue(now);
        }
        if self.phase == Phase::Ready && now >= self.next_poll {
            self.poll(now);
        }
        self.start(now);
    }

    fn tick_greeting(&mut self, now: DateTime<Utc>) {
        let Some(greeting) = &self.greeting else {
            return;
        };
        let (late, heard) = (now >= greeting.until, greeting.quiet.is_some());
        if greeting.quiet.is_some_and(|quiet| now >= quiet) || (late && heard) {
            self.greeting = None;
        } else if late && greeting.tries >= GREETINGS_MOST {
            self.end(Ended::Silent);
        } else if late {
            self.greet(now);
        }
    }

    /// Asks for everything that may have changed, and sets again what a modem forgets when it starts anew.
    fn poll(&mut self, now: DateTime<Utc>) {
        self.next_poll = now + self.limits.poll_every;
        let storage = self.storage_command.clone();
        let round = [
            Command::Registration,
            Command::Signal,
            Command::PduMode,
            storage,
            Command::Indications(self.indications),
        ];
        // A round that is still waiting is round enough.
        if !self.is_queued(&Command::PduMode) {
            round.into_iter().for_each(|command| self.push(command));
            self.list(self.limits.storage.clone());
        }
    }

    /// Ends the session; every text that was given to it gets its fate.
    fn end(&mut self, how: Ended) {
        if self.is_closed() {
            return;
        }
        self.phase = Phase::Closed;
        let flight = self.flight.take();
        if let Some(flight) = flight {
            self.give_up(flight, "the modem was lost while it sent the text");
        }
        for queued in std::mem::take(&mut self.queue) {
            if let Command::Submit(token, _) = queued.command {
                let why = "the modem was lost";
                self.events.push_back(Event::NotSent { token, why });
            }
        }
        self.greeting = None;
        self.events.push_back(Event::Ended(how));
    }
}
