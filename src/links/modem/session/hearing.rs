//! What is heard from the modem: answers go to their command, everything else is taken wherever it comes.

use crate::links::modem::lines::Heard;
use crate::links::modem::reply::{Registration, Reply};
use crate::links::modem::session::command::Command;
use crate::links::modem::session::{
    Announced, CONTROL_Z, Ended, Event, Phase, Place, QUIET, Session, Stage,
};
use chrono::{DateTime, Utc};

/// Messages that may be announced at once and not have come yet: one listed, and one of each kind between.
const ANNOUNCED_MOST: usize = 8;
/// A stored message that is heard broken in the same way so often is broken where it lies.
const BROKEN_MOST: u8 = 3;
/// Messages in hand at once: more than any storage has.
const IN_HAND_MOST: usize = 1_000;

impl Session {
    /// Octets from the modem.
    pub fn feed(&mut self, octets: &[u8], now: DateTime<Utc>) {
        self.lines.push(octets);
        loop {
            let stage = self.flight.as_ref().map(|flight| flight.stage);
            match self.lines.next(stage == Some(Stage::Prompt)) {
                Some(Heard::Line(line)) => self.line(&line, now),
                Some(Heard::Prompt) => self.prompted(now),
                None => break,
            }
            if self.is_closed() {
                return;
            }
        }
        if let Some(greeting) = &mut self.greeting
            && greeting.quiet.is_some()
        {
            greeting.quiet = Some(now + QUIET);
        }
        self.start(now);
    }

    /// The modem asks for the message.
    fn prompted(&mut self, now: DateTime<Utc>) {
        let wait = self.limits.send_wait;
        let Some(flight) = &mut self.flight else {
            return;
        };
        let Command::Submit(_, piece) = &flight.command else {
            return;
        };
        flight.stage = Stage::Result(None);
        flight.until = now + wait;
        flight.written = piece.hex.clone();
        // What comes from here on is about this one.
        self.doubted = None;
        self.out.extend(piece.hex.as_bytes());
        self.out.push(CONTROL_Z);
    }

    fn line(&mut self, line: &str, now: DateTime<Utc>) {
        if self.is_echo(line) {
            return;
        }
        match Reply::read(line) {
            Reply::Ok | Reply::Failed(_) if self.greeting.is_some() => self.greeted(line, now),
            Reply::Ok => self.answered(Ok(()), now),
            Reply::Failed(fault) => self.answered(Err(fault), now),
            Reply::Pin(wants) if self.is_asked(&Command::PinState) => self.sim = Some(wants),
            Reply::Pin(_) | Reply::Started if self.phase == Phase::Ready => {
                self.end(Ended::Restarted);
            }
            Reply::PinTries(left) => self.pin_left = Some(left),
            Reply::Registration(stands) => self.registration(stands, now),
            Reply::Signal(signal) => self.air_changed(|air| air.signal = signal),
            Reply::Centre(false) => {
                let why =
                    "the SIM has no service centre number, so no text leaves; set it in a phone";
                self.events.push_back(Event::Trouble(why.to_owned()));
            }
            Reply::Storage(used, total) if self.is_asked(&self.storage_command) => {
                self.events.push_back(Event::Storage { used, total });
            }
            Reply::Listed { index, length, .. } => self.listed(index, length, now),
            Reply::Direct(length) => self.announce(None, length),
            Reply::Hex(hex) => self.message(hex),
            Reply::Stored(memory) if self.memory.is_some() => self.list_told(memory),
            Reply::Taken(reference) => self.taken(reference),
            Reply::StorageFull => {
                self.events.push_back(Event::StorageFull);
                if self.phase == Phase::Ready {
                    self.list(self.limits.storage.clone());
                }
            }
            Reply::Pin(_) | Reply::Started | Reply::Stored(_) => {}
            Reply::Storage(..) | Reply::Centre(true) | Reply::Other => {}
        }
    }

    /// A modem that still echoes repeats the line that it was sent, a message with the prompt before it.
    fn is_echo(&self, line: &str) -> bool {
        let heard = line.trim_start_matches(['>', ' ']);
        let flight = self.flight.as_ref();
        flight.is_some_and(|flight| flight.written.eq_ignore_ascii_case(heard))
    }

    fn is_asked(&self, command: &Command) -> bool {
        let flight = self.flight.as_ref();
        flight.is_some_and(|flight| flight.command == *command)
    }

    /// Errors of before do not count; the answer to `AT` is OK.
    fn greeted(&mut self, line: &str, now: DateTime<Utc>) {
        if line.ends_with("OK")
            && let Some(greeting) = &mut self.greeting
        {
            greeting.quiet = Some(now + QUIET);
        }
    }

    fn registration(&mut self, stands: Registration, now: DateTime<Utc>) {
        if self.is_asked(&Command::Registration) || self.is_asked(&Command::PacketRegistration) {
            let better = !self
                .heard_registration
                .is_some_and(Registration::is_registered);
            if better {
                self.heard_registration = Some(stands);
            }
        } else if stands.is_registered() {
            self.air_changed(|air| air.registration = Some(stands));
        } else {
            // Of one of several networks, perhaps: asked for all.
            self.next_poll = now;
        }
    }

    pub(super) fn air_changed(
        &mut self,
        change: impl FnOnce(&mut crate::links::modem::session::Air),
    ) {
        let before = self.air;
        change(&mut self.air);
        if self.air != before {
            self.events.push_back(Event::Air(self.air));
        }
    }

    fn listed(&mut self, index: u16, length: usize, now: DateTime<Utc>) {
        let Some(flight) = &mut self.flight else {
            return;
        };
        if let Command::List(memory) = &flight.command {
            flight.until = now + flight.command.wait();
            let memory = memory.clone();
            self.announce(Some(Place { memory, index }), length);
        }
    }

    /// Something was stored in `memory`. Where both memories are looked at as one, it is only listed in that one: under two places it would be
    /// deleted twice, and the second time it could be another message.
    fn list_told(&mut self, memory: String) {
        let of_both = self.limits.storage == "MT" && matches!(memory.as_str(), "SM" | "ME");
        if of_both {
            self.list(self.limits.storage.clone());
        } else {
            self.list(memory);
        }
    }

    fn announce(&mut self, place: Option<Place>, length: usize) {
        if self.announced.len() < ANNOUNCED_MOST {
            self.announced.push(Announced { place, length });
        }
    }

    /// A message: of the last announcement whose length it has, for another one may have come between an announcement and its message.
    fn message(&mut self, hex: String) {
        let length = tpdu_length(&hex);
        let fits = |a: &Announced| Some(a.length) == length;
        if let Some(at) = self.announced.iter().rposition(fits) {
            match self.announced.remove(at).place {
                Some(place) => self.stored(place, hex),
                None => self.events.push_back(Event::Direct { hex }),
            }
        } else if let Some(announced) = self.announced.pop() {
            self.broken(announced.place, hex);
        }
    }

    fn stored(&mut self, place: Place, hex: String) {
        self.suspects.remove(&place);
        if self.in_hand.len() < IN_HAND_MOST && self.in_hand.insert(place.clone()) {
            self.events.push_back(Event::Stored { place, hex });
        }
    }

    /// A line that lost octets on its way: listed again it may be whole. Never read as it is, for a figure may be missing.
    fn broken(&mut self, place: Option<Place>, hex: String) {
        let Some(place) = place else {
            return self.events.push_back(Event::Damaged { place, hex });
        };
        let heard = self.suspects.entry(place.clone()).or_default();
        if heard.0 == hex {
            heard.1 += 1;
        } else {
            *heard = (hex.clone(), 1);
        }
        if heard.1 >= BROKEN_MOST && self.in_hand.insert(place.clone()) {
            self.suspects.remove(&place);
            let place = Some(place);
            self.events.push_back(Event::Damaged { place, hex });
        }
    }

    /// The network took a message: the one that is on its way, or the last one that was given up as unknown.
    fn taken(&mut self, reference: Option<u8>) {
        if let Some(flight) = &mut self.flight
            && matches!(flight.stage, Stage::Result(_))
        {
            flight.stage = Stage::Result(Some(reference));
        } else if let Some(token) = self.doubted.take() {
            self.events.push_back(Event::Taken { token, reference });
        }
    }
}

/// Octets of a message without the service centre's address in front.
fn tpdu_length(hex: &str) -> Option<usize> {
    let smsc = usize::from_str_radix(hex.get(..2)?, 16).ok()?;
    let whole = hex.len().is_multiple_of(2).then_some(hex.len() / 2)?;
    whole.checked_sub(smsc + 1)
}
