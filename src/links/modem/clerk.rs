//! What a session's events lead to: messages to the counter, texts from the outbox and their fates, the row on the board.
//!
//! A stored message is deleted when the counter, or a file of ours, has it on disk. Does not know ports.

mod leaving;

use crate::counter::Counter;
use crate::domain::message::{CoopId, Inbound, LinkName, Outcome};
use crate::links::board::{Gauges, Seat, Standing};
use crate::links::intake::Intake;
use crate::links::modem::driver::Parts;
use crate::links::modem::faults::Sorted;
use crate::links::modem::incoming::{self, Incoming, sent_id};
use crate::links::modem::outgoing::Piece;
use crate::links::modem::pin::PinRecord;
use crate::links::modem::profile::Profile;
use crate::links::modem::session::{Air, Ended, Event, Session};
use crate::links::pace::Pace;
use crate::links::sending::{Meaning, Reaction, Sending};
use crate::store::outbox::OutboxRow;
use chrono::{DateTime, TimeDelta, Utc};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::path::Path;

/// Between two looks into an empty outbox, and at parts that are due; an answer to a message that just came is looked for at once.
pub(super) const LOOK_EVERY: TimeDelta = TimeDelta::milliseconds(500);
/// A storage that is fuller than this share, in percent, is an alarm: the network's next messages may find no room.
const NEARLY_FULL: u32 = 70;
/// Messages that are stored nowhere and may wait for the counter; beyond it the oldest is lost, and said to be.
const UNSTORED_MOST: usize = 100;

/// One modem's way to the counter and from the outbox.
pub struct Clerk {
    seat: Seat,
    profile: Profile,
    counter: Counter,
    coop: CoopId,
    intake: Intake,
    pins: PinRecord,
    sending: Sending<Piece>,
    pace: Pace,
    /// The piece that the modem has: its token and its receiver.
    going: Option<(u64, String)>,
    /// When the outbox is looked into next.
    look_at: DateTime<Utc>,
    gauges: Gauges,
    /// The storage was said to be nearly full.
    alarmed: bool,
    /// Messages that are stored nowhere and that the counter could not take yet.
    unstored: Vec<String>,
    draws: u64,
    parts_at: DateTime<Utc>,
}

impl Clerk {
    /// Keeps parts of long texts, unreadable octets and the record of PINs in `dir`.
    ///
    /// # Errors
    /// When the files in `dir` cannot be used.
    pub fn new(parts: Parts, dir: &Path) -> std::io::Result<Self> {
        let Parts {
            seat,
            profile,
            counter,
            coop,
            seed,
        } = parts;
        let now = counter.clock().now();
        let intake = Intake::open(dir, seat.clone(), counter.clone(), coop)?;
        let pins = PinRecord::new(dir, &seat.link().0);
        let pace = Pace::new(profile.per_second, now);
        Ok(Self {
            seat,
            profile,
            counter,
            coop,
            intake,
            pins,
            sending: Sending::default(),
            pace,
            going: None,
            look_at: now,
            gauges: Gauges::default(),
            alarmed: false,
            unstored: Vec::new(),
            draws: seed,
            parts_at: now,
        })
    }

    /// A session over a port that was just opened.
    #[must_use]
    pub fn session(&mut self) -> Session {
        let now = self.now();
        self.look_at = now;
        Session::new(self.profile.limits.clone(), now)
    }

    /// The link.
    #[must_use]
    pub fn link(&self) -> &LinkName {
        self.seat.link()
    }

    pub(super) const fn profile(&self) -> &Profile {
        &self.profile
    }

    pub(super) fn now(&self) -> DateTime<Utc> {
        self.counter.clock().now()
    }

    /// Even over 0.0 to 1.0.
    pub(super) fn chance(&mut self) -> f64 {
        self.draws = self.draws.wrapping_add(1);
        ChaCha8Rng::seed_from_u64(self.draws).random_range(0.0..1.0)
    }

    /// Texts from the outbox that have no fate yet.
    pub fn in_hand(&self) -> impl Iterator<Item = &OutboxRow> {
        self.sending.in_hand()
    }

    /// When there is something to do though the modem says nothing.
    pub(super) fn next_moment(&self, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        let dues = [self.look_at, self.pace.next_free(now)];
        dues.into_iter().filter(|due| *due > now).min()
    }

    /// Gives up long texts that never complete, and tries again what the counter could not take.
    pub fn look_after(&mut self) {
        let now = self.now();
        self.sending
            .give_back(false, self.pace.paused(now).unwrap_or(now), now);
        if now < self.parts_at {
            return;
        }
        self.parts_at = now + LOOK_EVERY * 4;
        self.intake.parts_due();
        for hex in std::mem::take(&mut self.unstored) {
            self.take_unstored(hex);
        }
    }

    /// The session is over: a text that was not begun goes back at once.
    pub fn rest(&mut self) {
        let now = self.now();
        self.sending.give_back(true, now, now);
        self.settle_fates();
    }

    /// Does what an event asks for; how the session ended, where it did. `since` is when texts could first pass.
    pub fn event(
        &mut self,
        event: Event,
        session: &mut Session,
        since: &mut Option<DateTime<Utc>>,
    ) -> Option<Ended> {
        let now = self.now();
        match event {
            Event::PinWanted { left } => {
                match self.pins.may_try(self.profile.pin.as_ref(), left, now) {
                    Ok(pin) => session.enter_pin(pin, now),
                    Err(why) => session.withhold_pin(why.to_string()),
                }
            }
            Event::SimOpen => {
                if let Err(error) = self.pins.opened() {
                    self.trouble(&format!("the record of PINs cannot be removed: {error}"));
                }
            }
            Event::Ready => {
                *since = Some(now);
                self.look_at = now;
                self.stand(session.air());
                tracing::info!(link = %self.seat.link(), "the modem is ready");
            }
            Event::Air(air) => {
                self.gauges.signal = air.signal;
                if since.is_some() {
                    self.stand(air);
                }
            }
            Event::Storage { used, total } => self.storage([used, total], session.air(), *since),
            Event::StorageFull => {
                self.trouble("the SIM's storage is full; what comes now waits in the network");
            }
            Event::Stored { place, hex } => {
                let kept = self.take(&hex);
                session.release(place, kept, now);
            }
            Event::Direct { hex } => self.take_unstored(hex),
            Event::Damaged { place, hex } => {
                let why = "a message that the modem said broken";
                let kept = self.intake.quarantine(hex.as_bytes(), why);
                if let Some(place) = place {
                    session.release(place, kept, now);
                }
            }
            Event::Trouble(why) => self.trouble(&why),
            Event::Ended(ended) => return Some(ended),
            Event::Taken { token, reference } => {
                self.taken(token, reference);
                self.look_at = now;
            }
            Event::Failed { token, fault } => {
                let said = fault.said();
                match fault.sorted() {
                    Sorted::Known(meaning) => self.failed(token, meaning, &said),
                    Sorted::Unknown => self.unknown(token, &said),
                }
            }
            Event::NotSent { token, why } => self.failed(token, Meaning::TryAgain, why),
            Event::Unknown { token, why } => self.unknown(token, &why),
        }
        None
    }

    fn taken(&mut self, token: u64, reference: Option<u8>) {
        let now = self.now();
        let to = match &self.going {
            Some((going, to)) if *going == token => to.as_str(),
            _ => "",
        };
        // Without receipts no name is needed.
        let id = reference
            .filter(|_| self.profile.receipts)
            .map_or_else(String::new, |reference| sent_id(reference, to, now));
        let late = id.clone();
        let reaction = self.sending.answered(token, Meaning::Taken, "", id, now);
        if reaction == Reaction::NotOurs {
            tracing::info!(link = %self.seat.link(), "the modem said late that a text was taken");
            self.sending.taken_late(token, late);
        }
        self.pace.took();
    }

    fn failed(&mut self, token: u64, meaning: Meaning, said: &str) {
        let now = self.now();
        self.seat.fault(said, now);
        let none = String::new();
        let reaction = self.sending.answered(token, meaning, said, none, now);
        if reaction == Reaction::SlowDown {
            let chance = self.chance();
            self.pace.slow_down(now, chance);
            self.seat.count(|passed| passed.throttled += 1);
        }
    }

    fn unknown(&mut self, token: u64, why: &str) {
        self.trouble(why);
        self.sending.unknown(token, why, self.now());
    }

    fn trouble(&self, why: &str) {
        tracing::warn!(link = %self.seat.link(), why, "the modem has trouble");
        self.seat.fault(why, self.now());
    }

    /// The storage after the last round of listing and deleting.
    fn storage(&mut self, [used, total]: [u16; 2], air: Air, since: Option<DateTime<Utc>>) {
        self.gauges.stored = Some((used, total));
        let full = u32::from(used) * 100 >= u32::from(total) * NEARLY_FULL && total > 0;
        if since.is_some() {
            if full && !self.alarmed {
                self.trouble(&format!(
                    "the SIM's storage holds {used} of {total}; the next messages may find no room"
                ));
            }
            self.alarmed = full;
            self.stand(air);
        } else {
            self.seat.gauge(self.gauges);
        }
    }

    fn stand(&self, air: Air) {
        let standing = if air.carries() {
            Standing::Up
        } else {
            Standing::Down
        };
        self.seat.gauge(self.gauges);
        self.seat.stand(standing, &self.detail(air), self.now());
    }

    /// For people: what is heard of the network, and how full the storage is.
    fn detail(&self, air: Air) -> String {
        let registered = air
            .registration
            .map_or("registration unknown", |registration| registration.words());
        let signal = air.signal.map_or_else(
            || "signal unknown".to_owned(),
            // -113 dBm and 2 dB a step (TS 27.007 clause 8.5).
            |rssi| format!("signal {rssi} of 31 ({} dBm)", i32::from(rssi) * 2 - 113),
        );
        let stored = self
            .gauges
            .stored
            .map_or_else(String::new, |(used, total)| {
                format!("; storage {used} of {total}")
            });
        format!("{registered}; {signal}{stored}")
    }

    /// The session is over: for the board.
    pub fn over(&mut self, ended: &Ended) {
        self.going = None;
        self.gauges = Gauges::default();
        self.seat.gauge(self.gauges);
        let standing = if ended.needs_person() {
            Standing::Stuck
        } else {
            Standing::Down
        };
        self.down(standing, &ended.words());
    }

    pub(super) fn down(&self, standing: Standing, why: &str) {
        tracing::warn!(link = %self.seat.link(), why, "the modem is not usable");
        // Whoever sees the link down finds the reason.
        self.seat.fault(why, self.now());
        self.seat.stand(standing, "not usable", self.now());
    }

    /// A message that is stored nowhere: tried again until the counter has it.
    fn take_unstored(&mut self, hex: String) {
        if self.take(&hex) {
            return;
        }
        if self.unstored.len() >= UNSTORED_MOST {
            self.unstored.remove(0);
            self.trouble("a message that the modem did not store was lost");
        }
        self.unstored.push(hex);
    }

    /// One message: to the counter, to the parts, to the receipts, or raw to a file. Whether it is on disk.
    fn take(&mut self, hex: &str) -> bool {
        let now = self.now();
        match incoming::read(&self.profile.country, hex, now) {
            Incoming::Text {
                id,
                from,
                text,
                stamp,
            } => self.text(Inbound {
                link: self.seat.link().clone(),
                id: Some(id),
                from,
                to: None,
                text,
                sent_at: stamp.unwrap_or(now),
                sent_at_known: stamp.is_some(),
                received_at: now,
            }),
            Incoming::Part {
                from,
                concat,
                body,
                stamp,
            } => {
                let kept = self.intake.part(&from, "", (concat, body), stamp);
                self.look_at = now;
                kept.is_ok()
            }
            Incoming::Report { ids, state, at } => {
                let link = self.seat.link();
                let matched = self.counter.receipt(link, ids, state, at.unwrap_or(now));
                match matched {
                    Ok(_) => self.seat.count(|passed| passed.receipts += 1),
                    Err(ref error) => self.seat.fault(&error.to_string(), now),
                }
                matched.is_ok()
            }
            Incoming::Unusable { octets, why } => self.intake.quarantine(&octets, &why),
        }
    }

    fn text(&mut self, inbound: Inbound) -> bool {
        match self.counter.take(self.coop, inbound) {
            Ok(receipt) => {
                if receipt.outcome != Outcome::Duplicate {
                    self.seat.count(|passed| passed.taken += 1);
                }
                self.look_at = self.now();
                true
            }
            Err(error) => {
                self.seat.count(|passed| passed.failed += 1);
                self.seat.fault(&error.to_string(), self.now());
                false
            }
        }
    }
}
