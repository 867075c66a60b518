//! What follows when a command is done, has failed, or is not answered.

use crate::links::modem::faults::{Fault, Sorted};
use crate::links::modem::reply::{Registration, SimWants};
use crate::links::modem::session::command::{Command, INDICATIONS};
use crate::links::modem::session::{
    BUSY_WAIT, Ended, Event, Flight, MISSES_MOST, PROMPT_WAIT, Phase, Queued, Session, Stage,
};
use chrono::{DateTime, TimeDelta, Utc};

/// A command that met a busy SIM is sent so often: a SIM takes half a minute to start (common practice, no source).
const BUSY_TRIES_MOST: u8 = 20;
/// A needed command that failed or was not answered is sent so often.
const TRIES_MOST: u8 = 3;

type Final = Result<(), Fault>;

impl Session {
    /// The command on its way is done, or failed.
    pub(super) fn answered(&mut self, how: Final, now: DateTime<Utc>) {
        let Some(flight) = self.flight.take() else {
            return;
        };
        self.misses = 0;
        match (&flight.command, how) {
            (Command::Submit(token, _), how) => self.submitted(*token, flight, how, now),
            (_, Ok(())) => self.done(flight.command, now),
            (_, Err(fault)) => self.refused(flight, fault, now),
        }
        self.start(now);
    }

    fn done(&mut self, command: Command, now: DateTime<Utc>) {
        match command {
            Command::PinState => self.sim_said(),
            Command::PinTries => self.want_pin(),
            // Some SIMs need a moment before they say that they are open.
            Command::EnterPin(_) => {
                self.push(Command::PinState);
                self.not_before = Some(now + TimeDelta::seconds(1));
            }
            Command::Registration => {
                let registered = self
                    .heard_registration
                    .is_some_and(Registration::is_registered);
                if registered {
                    self.registration_known();
                } else {
                    let command = Command::PacketRegistration;
                    self.queue.push_front(Queued { command, tries: 0 });
                }
            }
            Command::PacketRegistration => self.registration_known(),
            Command::Storage | Command::StorageRead => {
                self.memory = Some(self.limits.storage.clone());
            }
            Command::Select(memory) => self.memory = Some(memory),
            Command::List(_) => {
                // An announcement whose message never came.
                self.announced.retain(|announced| announced.place.is_none());
                if self.phase == Phase::Opening {
                    self.phase = Phase::Ready;
                    self.next_poll = now + self.limits.poll_every;
                    self.events.push_back(Event::Ready);
                }
            }
            Command::Delete(place) => {
                self.in_hand.remove(&place);
            }
            Command::Indications(which) => self.indications = which,
            Command::EchoOff
            | Command::NumericErrors
            | Command::Signal
            | Command::Centre
            | Command::PduMode
            | Command::Service
            | Command::MoreMessages
            | Command::Submit(..) => {}
        }
    }

    fn registration_known(&mut self) {
        let heard = self.heard_registration.take();
        self.air_changed(|air| air.registration = heard);
    }

    fn sim_said(&mut self) {
        match self.sim.take() {
            // A lost answer is as good as an open SIM: a locked one refuses what follows.
            Some(SimWants::Nothing) | None => {
                self.events.push_back(Event::SimOpen);
                let setting_up = [
                    Command::PduMode,
                    Command::Service,
                    self.storage_command.clone(),
                    Command::Indications(self.indications),
                    Command::Registration,
                    Command::Signal,
                    Command::Centre,
                    Command::List(self.limits.storage.clone()),
                ];
                setting_up
                    .into_iter()
                    .for_each(|command| self.push(command));
            }
            Some(SimWants::Pin) => {
                self.pin_left = None;
                self.push(Command::PinTries);
            }
            Some(SimWants::Puk) => self.end(Ended::Puk),
            Some(SimWants::Other) => self.end(Ended::Locked),
        }
    }

    fn want_pin(&mut self) {
        self.phase = Phase::AwaitingPin;
        let left = self.pin_left;
        self.events.push_back(Event::PinWanted { left });
    }

    fn again_later(&mut self, command: Command, tries: u8, now: DateTime<Utc>) {
        let tries = tries + 1;
        self.queue.push_front(Queued { command, tries });
        self.not_before = Some(now + BUSY_WAIT);
    }

    /// A command failed.
    fn refused(&mut self, flight: Flight, fault: Fault, now: DateTime<Utc>) {
        let Flight { command, tries, .. } = flight;
        match &command {
            Command::EnterPin(_) => return self.end(Ended::PinRefused),
            Command::PinState if fault == Fault::Cme(11) => {
                self.sim = Some(SimWants::Pin);
                return self.sim_said();
            }
            Command::PinState if fault == Fault::Cme(12) => return self.end(Ended::Puk),
            // The modem does not say what is left.
            Command::PinTries => return self.want_pin(),
            _ => {}
        }
        // Before it is asked for, a SIM that wants its PIN is no fault.
        let asked = !matches!(command, Command::EchoOff | Command::NumericErrors);
        if fault.is_of_sim() && asked {
            return self.end(Ended::Sim(fault));
        }
        if fault.is_busy() && tries < BUSY_TRIES_MOST {
            return self.again_later(command, tries, now);
        }
        match command {
            Command::Storage => {
                self.storage_command = Command::StorageRead;
                let command = Command::StorageRead;
                self.queue.push_front(Queued { command, tries: 0 });
            }
            Command::Indications(which) if which + 1 < INDICATIONS.len() => {
                let command = Command::Indications(which + 1);
                self.queue.push_front(Queued { command, tries: 0 });
            }
            Command::Indications(_) => {
                let why =
                    "the modem does not tell of new messages; they are looked for on the timer";
                self.events.push_back(Event::Trouble(why.to_owned()));
            }
            // A modem that says it so has nothing to say of the other network.
            Command::PacketRegistration => self.registration_known(),
            // Unknown registration does not keep a text back.
            Command::Registration => {
                let command = Command::PacketRegistration;
                self.queue.push_front(Queued { command, tries: 0 });
            }
            Command::Select(memory) => self.without(&memory, &fault),
            Command::Delete(place) => {
                // Listed and taken again if it is still there.
                self.in_hand.remove(&place);
            }
            command if command.is_optional() => {}
            command if self.phase == Phase::Ready => {
                let name = command.name(&self.limits.storage);
                let why = format!("{name} failed: {}", fault.said());
                self.events.push_back(Event::Trouble(why));
            }
            command if tries + 1 < TRIES_MOST => self.again_later(command, tries, now),
            command => {
                let what = command.name(&self.limits.storage);
                self.end(Ended::Refused { what, fault });
            }
        }
    }

    /// A memory that cannot be selected: what was wanted of it is left.
    fn without(&mut self, memory: &str, fault: &Fault) {
        self.queue
            .retain(|queued| queued.command.memory() != Some(memory));
        self.in_hand.retain(|place| place.memory != memory);
        let why = format!("memory {memory} cannot be read: {}", fault.said());
        self.events.push_back(Event::Trouble(why));
    }

    /// One step of a submission.
    fn submitted(&mut self, token: u64, mut flight: Flight, how: Final, now: DateTime<Utc>) {
        let Command::Submit(_, piece) = &flight.command else {
            return;
        };
        match (flight.stage, how) {
            (Stage::Command, Ok(())) => {
                let line = format!("AT+CMGS={}", piece.length);
                self.write(&line);
                flight.stage = Stage::Prompt;
                flight.until = now + PROMPT_WAIT;
                flight.written = line;
                self.flight = Some(flight);
            }
            // An answer to something before; the prompt may still come.
            (Stage::Prompt, Ok(())) => self.flight = Some(flight),
            (Stage::Result(reference), Ok(())) => {
                let reference = reference.flatten();
                self.events.push_back(Event::Taken { token, reference });
            }
            (Stage::Result(Some(reference)), Err(_)) => {
                self.events.push_back(Event::Taken { token, reference });
            }
            (Stage::Result(None), Err(fault)) => {
                let unknown = fault.sorted() == Sorted::Unknown;
                let of_sim = fault.is_of_sim();
                self.events.push_back(if unknown {
                    let why = format!("the modem said: {}", fault.said());
                    Event::Unknown { token, why }
                } else {
                    let fault = fault.clone();
                    Event::Failed { token, fault }
                });
                self.after_fault(of_sim, fault, now);
            }
            // It never had the message.
            (Stage::Command | Stage::Prompt, Err(fault)) => {
                let of_sim = fault.is_of_sim();
                self.events.push_back(match fault.sorted() {
                    Sorted::Known(_) => {
                        let fault = fault.clone();
                        Event::Failed { token, fault }
                    }
                    Sorted::Unknown => Event::NotSent {
                        token,
                        why: "the modem did not ask for the message",
                    },
                });
                self.after_fault(of_sim, fault, now);
            }
        }
    }

    fn after_fault(&mut self, of_sim: bool, fault: Fault, now: DateTime<Utc>) {
        if of_sim {
            self.end(Ended::Sim(fault));
        } else if fault == Fault::Cms(331) {
            self.next_poll = now;
        }
    }

    /// The command on its way is not answered in time.
    pub(super) fn overdue(&mut self, now: DateTime<Utc>) {
        let Some(flight) = self.flight.take() else {
            return;
        };
        self.misses += 1;
        let name = match flight.stage {
            Stage::Command => flight.command.name(&self.limits.storage),
            Stage::Prompt | Stage::Result(_) => "AT+CMGS".to_owned(),
        };
        let why = format!("{name} was not answered in time");
        self.events.push_back(Event::Trouble(why));
        let again = !flight.command.is_optional() && self.phase == Phase::Opening;
        match &flight.command {
            Command::Submit(..) => {
                self.give_up(
                    flight,
                    "the modem did not say in time what became of the text",
                );
            }
            // Whether the SIM had the PIN is not known: it is asked for its state, and the record knows of the try.
            Command::EnterPin(_) => self.push(Command::PinState),
            Command::PinTries => self.want_pin(),
            Command::Delete(place) => {
                self.in_hand.remove(place);
            }
            Command::Select(_) => {
                self.queue.pop_front();
            }
            Command::PacketRegistration => self.registration_known(),
            _ if again && flight.tries + 1 < TRIES_MOST => {
                let (command, tries) = (flight.command, flight.tries + 1);
                self.queue.push_front(Queued { command, tries });
            }
            _ => {}
        }
        if self.misses >= MISSES_MOST {
            self.end(Ended::Silent);
        } else if !self.is_closed() {
            self.greet(now);
        }
    }

    /// What became of a text that was on its way, where nothing more will be heard of it.
    pub(super) fn give_up(&mut self, flight: Flight, why: &str) {
        let Command::Submit(token, _) = flight.command else {
            return;
        };
        self.events.push_back(match flight.stage {
            Stage::Command | Stage::Prompt => Event::NotSent {
                token,
                why: "the modem did not ask for the message",
            },
            Stage::Result(Some(reference)) => Event::Taken { token, reference },
            Stage::Result(None) => {
                self.doubted = Some(token);
                Event::Unknown {
                    token,
                    why: why.to_owned(),
                }
            }
        });
    }
}
