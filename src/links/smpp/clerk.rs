//! What becomes of a message of the peer's: kept in the counter or in a file, so that it may be answered.
//!
//! Blocks where a disk does. Does not know sessions, sockets or tasks.

use crate::counter::Counter;
use crate::counter::answers::TakeError;
use crate::domain::message::{CoopId, Inbound, LinkName, Receipt as Taken};
use crate::domain::phone::PhoneNumber;
use crate::links::board::Seat;
use crate::links::intake::Intake;
use crate::links::smpp::incoming::Incoming;
use crate::links::smpp::pdu::{Body, Pdu, ShortMessage};
use crate::links::smpp::receipt::Receipt;
use crate::links::smpp::tlv::Tlv;
use crate::store::outbox::OutboxId;
use std::path::Path;

/// Texts in doubt that are looked through for the number that a receipt repeats.
const DOUBTS_LOOKED_AT: usize = 1_000;

/// One link's way to the counter.
pub struct Clerk {
    seat: Seat,
    counter: Counter,
    coop: CoopId,
    intake: Intake,
}

impl Clerk {
    /// Keeps parts of long texts and unreadable octets in `dir`.
    ///
    /// # Errors
    /// When the files in `dir` cannot be used.
    pub fn new(dir: &Path, seat: Seat, counter: Counter, coop: CoopId) -> std::io::Result<Self> {
        let intake = Intake::open(dir, seat.clone(), counter.clone(), coop)?;
        Ok(Self {
            seat,
            counter,
            coop,
            intake,
        })
    }

    /// Looks after long texts: gives up what never completes, tries again what the counter could not take.
    pub fn parts_due(&self) {
        self.intake.parts_due();
    }

    /// Gives a whole text to the counter; `done` says whether it is on disk.
    pub fn text(
        &self,
        from: PhoneNumber,
        to: String,
        text: String,
        done: impl FnOnce(bool) + Send + 'static,
    ) {
        let clock = self.counter.clock().clone();
        let now = clock.now();
        let inbound = Inbound {
            link: self.seat.link().clone(),
            id: None,
            from,
            to: Some(to),
            text,
            sent_at: now,
            sent_at_known: false,
            received_at: now,
        };
        let seat = self.seat.clone();
        let told = move |fate: Result<Taken, TakeError>| {
            match &fate {
                Ok(_) => seat.count(|passed| passed.taken += 1),
                Err(error) => {
                    seat.count(|passed| passed.failed += 1);
                    seat.fault(&error.to_string(), clock.now());
                }
            }
            done(fate.is_ok());
        };
        self.counter.submit(self.coop, inbound, Box::new(told));
    }

    /// Keeps what is no whole text and no dialogue: a part, a receipt, or octets that cannot be used. Whether it is on disk.
    pub fn keep(
        &self,
        incoming: Incoming,
        sequence: u32,
        message: ShortMessage,
        tlvs: Vec<Tlv>,
    ) -> bool {
        match incoming {
            Incoming::Part { from, concat, body } => {
                let to = &message.destination.digits;
                self.intake.part(&from, to, (concat, body), None).is_ok()
            }
            Incoming::Receipt(receipt) => self.receipt(receipt),
            Incoming::Unusable(why) => {
                let mut pdu = Pdu::new(sequence, Body::Deliver(message));
                pdu.tlvs = tlvs;
                let octets = pdu.write().unwrap_or_default();
                self.raw(&octets, why)
            }
            Incoming::Acknowledgement | Incoming::Text { .. } | Incoming::Ussd { .. } => true,
        }
    }

    /// Keeps octets raw. Whether they are on disk.
    pub fn raw(&self, octets: &[u8], why: &str) -> bool {
        self.intake.quarantine(octets, why)
    }

    fn receipt(&self, receipt: Receipt) -> bool {
        let link = self.seat.link();
        let now = self.counter.clock().now();
        let mut ids: Vec<String> = receipt.id.into_iter().collect();
        if let Some(reference) = receipt.reference {
            ids.extend(self.doubted(link, reference));
        }
        let kept = self.counter.receipt(link, ids, receipt.state, now);
        match &kept {
            Ok(_) => self.seat.count(|passed| passed.receipts += 1),
            Err(error) => self.seat.fault(&error.to_string(), now),
        }
        kept.is_ok()
    }

    /// Only a text whose own answer was lost can be meant by our number alone.
    fn doubted(&self, link: &LinkName, reference: u16) -> Option<String> {
        let doubts = self.counter.sent(self.coop, true, DOUBTS_LOOKED_AT);
        let meant = |id: OutboxId| id.0 & 0xFFFF == u64::from(reference);
        let rows = doubts.unwrap_or_default().into_iter().map(|sent| sent.row);
        let mut rows = rows.filter(|row| row.link == *link);
        rows.find(|row| meant(row.id)).map(|row| row.id.reference())
    }
}
