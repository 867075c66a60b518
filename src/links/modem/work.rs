//! What a session's events lead to: messages to the counter, texts from the outbox and their fates, the row on the board.
//!
//! A stored message is deleted when the counter, or a file of ours, has it on disk. Does not know ports.

use crate::domain::message::{Inbound, Outcome};
use crate::links::board::{Gauges, Standing};
use crate::links::modem::driver::Worker;
use crate::links::modem::faults::Sorted;
use crate::links::modem::incoming::{self, Incoming, sent_id};
use crate::links::modem::outgoing;
use crate::links::modem::session::{Air, Ended, Event, Session};
use crate::links::sending::{Meaning, Reaction};
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, TimeDelta, Utc};

/// Between two looks into an empty outbox.
const LOOK_EVERY: TimeDelta = TimeDelta::milliseconds(500);
/// A storage that is fuller than this share, in percent, is an alarm: the network's next messages may find no room.
const NEARLY_FULL: u32 = 70;
/// Messages that are stored nowhere and may wait for the counter; beyond it the oldest is lost, and said to be.
const UNSTORED_MOST: usize = 100;

impl Worker {
    /// Does what an event asks for; how the session ended, where it did.
    pub(super) fn event(
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

    /// The session is over.
    pub(super) fn over(&mut self, ended: &Ended) {
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
    pub(super) fn take_unstored(&mut self, hex: String) {
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

    /// Gives the modem the next message, and asks the outbox for a text where there is none.
    pub(super) fn submit_due(&mut self, session: &mut Session) {
        let now = self.now();
        if !session.has_room() || self.pace.free(now) == 0 {
            return;
        }
        if self.sending.queued() == 0 && self.sending.rows() == 0 && now >= self.look_at {
            self.lease(now);
        }
        if let Some((token, piece)) = self.sending.next_piece() {
            self.going = Some((token, piece.to.full().to_owned()));
            if session.submit(token, piece, now) {
                self.pace.spend();
            } else {
                self.sending.put_back(token);
            }
        }
    }

    /// One text at a time, the most urgent first: the modem sends one at a time.
    fn lease(&mut self, now: DateTime<Utc>) {
        let rows = self.counter.lease_once(self.seat.link(), "modem", 1);
        let rows = rows.unwrap_or_else(|error| {
            tracing::error!(link = %self.seat.link(), %error, "the outbox cannot be read");
            Vec::new()
        });
        self.look_at = if rows.is_empty() {
            now + LOOK_EVERY
        } else {
            now
        };
        for row in rows {
            let reference = row.id.0.to_be_bytes()[7];
            let (to, text) = (&row.outbound.to, &row.outbound.text);
            let worth = row.expires - now;
            match outgoing::pieces(&self.profile, to, text, reference, worth) {
                Ok(pieces) => self.sending.take(row, pieces, now),
                Err(why) => self.sending.refuse(row, why.to_string()),
            }
        }
    }

    /// Fates go to the disk; a lease that runs out makes a text unknown, never sent twice.
    pub(super) fn settle_fates(&mut self) {
        for (row, fate) in self.sending.take_fates() {
            self.settle(row, fate);
        }
    }

    fn settle(&self, row: OutboxRow, fate: Settled) {
        match &fate {
            Settled::Sent { .. } => self.seat.count(|passed| passed.sent += 1),
            Settled::Retry { .. } => {}
            other => {
                self.seat.count(|passed| passed.failed += 1);
                tracing::warn!(link = %self.seat.link(), row = row.id.0, to = %row.outbound.to, fate = ?other, "a text did not go out");
            }
        }
        if let Err(error) = self.counter.settle(row.id, fate) {
            tracing::error!(link = %self.seat.link(), row = row.id.0, %error, "a text could not be settled");
        }
    }
}
