//! What becomes of a message of the peer's: kept first, answered then.
//!
//! Does not know sockets.

use crate::domain::message::Inbound;
use crate::domain::phone::PhoneNumber;
use crate::links::parts::{Body, Concat};
use crate::links::smpp::incoming::{self, Incoming};
use crate::links::smpp::outgoing;
use crate::links::smpp::pdu::{Body as Command, Pdu};
use crate::links::smpp::pump::{Note, Pump, ShortMessage, Tlv, Wants};
use crate::links::smpp::receipt::Receipt;
use crate::links::smpp::status;
use crate::links::smpp::ussd::{Dialogue, Stage, Step};
use crate::store::outbox::OutboxId;
use std::time::Duration;
use tokio::sync::mpsc;

/// Texts in doubt that are looked through for the number that a receipt repeats.
const DOUBTS_LOOKED_AT: usize = 1_000;

/// A carrier closes a dialogue that is not answered within ten to fifteen seconds (an operator's help page, single source).
const MENU_WAIT: Duration = Duration::from_secs(10);

/// An answer that the network waits for.
pub(super) struct Owed {
    of: u64,
    sequence: u32,
    wants: Wants,
    status: u32,
    noting: mpsc::UnboundedSender<Note>,
}

impl Owed {
    /// What it says when all is well.
    fn saying(mut self, status: u32) -> Self {
        self.status = status;
        self
    }

    /// Answered: as it should be where all was kept; to be sent again later, where it was not.
    fn pay(&self, kept: bool) {
        let status = if kept {
            self.status
        } else {
            status::RECEIVER_BUSY
        };
        let note = Note::Answer(self.of, self.sequence, self.wants, status);
        // A session that is over wants no answer.
        self.noting.send(note).ok();
    }

    /// There may be an answer in the outbox.
    fn look(&self) {
        self.noting.send(Note::Look).ok();
    }
}

impl Pump {
    /// A frame that cannot be read: raw to the disk, then refused for good, so that it does not come for ever.
    pub(super) fn unread(&self, frame: Vec<u8>, why: String, owed: Option<(u32, Wants)>) {
        let shared = self.shared.clone();
        let owed = owed.map(|owed| self.owed(owed, status::RECEIVER_REJECTS));
        tokio::task::spawn_blocking(move || {
            let kept = shared.intake.quarantine(&frame, &why);
            if let Some(owed) = owed {
                owed.pay(kept);
            }
        });
    }

    fn owed(&self, (sequence, wants): (u32, Wants), status: u32) -> Owed {
        Owed {
            of: self.generation,
            sequence,
            wants,
            status,
            noting: self.noting.clone(),
        }
    }

    pub(super) fn came(
        &self,
        owed: (u32, Wants),
        message: ShortMessage,
        tlvs: Vec<Tlv>,
        flawed: Option<Vec<u8>>,
    ) {
        let flawed_status = if flawed.is_some() {
            status::BAD_PARAMETERS
        } else {
            status::OK
        };
        let owed = self.owed(owed, flawed_status);
        if let Some(frame) = flawed {
            // The message before the broken end stands; the octets are kept for whoever asks the network about it.
            let shared = self.shared.clone();
            tokio::task::spawn_blocking(move || {
                shared
                    .intake
                    .quarantine(&frame, "optional parameters that do not hold together");
            });
        }
        match incoming::read(&self.shared.profile, &message, &tlvs) {
            Incoming::Acknowledgement => owed.pay(true),
            Incoming::Text { from, text } => {
                self.text(owed, from, message.destination.digits, text);
            }
            Incoming::Part { from, concat, body } => {
                self.part(owed, from, message.destination.digits, (concat, body));
            }
            Incoming::Receipt(receipt) => self.receipt(owed, receipt),
            Incoming::Ussd {
                from,
                input,
                dialogue,
            } => self.ussd(owed, message, (from, input), dialogue),
            Incoming::Unusable(why) => self.unusable(owed, message, tlvs, why),
        }
    }

    fn text(&self, owed: Owed, from: PhoneNumber, to: String, text: String) {
        let now = self.now();
        let inbound = Inbound {
            link: self.shared.seat.link().clone(),
            id: None,
            from,
            to: Some(to),
            text,
            sent_at: now,
            sent_at_known: false,
            received_at: now,
        };
        self.shared.submit(inbound, move |kept| {
            owed.pay(kept);
            owed.look();
        });
    }

    fn part(&self, owed: Owed, from: PhoneNumber, to: String, part: (Concat, Body)) {
        let shared = self.shared.clone();
        tokio::task::spawn_blocking(move || {
            let kept = shared.intake.part(&from, &to, part, None);
            owed.pay(kept.is_ok());
            owed.look();
        });
    }

    fn receipt(&self, owed: Owed, receipt: Receipt) {
        let shared = self.shared.clone();
        let now = self.now();
        tokio::task::spawn_blocking(move || {
            let link = shared.seat.link().clone();
            let mut ids: Vec<String> = receipt.id.into_iter().collect();
            if let Some(reference) = receipt.reference {
                // Only a text whose own answer was lost can be meant by our number alone.
                let doubts = shared.counter.sent(shared.coop, true, DOUBTS_LOOKED_AT);
                let meant = |id: OutboxId| id.0 & 0xFFFF == u64::from(reference);
                let rows = doubts.unwrap_or_default().into_iter().map(|sent| sent.row);
                let row = rows
                    .filter(|row| row.link == link)
                    .find(|row| meant(row.id));
                ids.extend(row.map(|row| row.id.reference()));
            }
            let kept = shared.counter.receipt(&link, ids, receipt.state, now);
            match &kept {
                Ok(_) => shared.seat.count(|passed| passed.receipts += 1),
                Err(error) => shared.seat.fault(&error.to_string(), now),
            }
            owed.pay(kept.is_ok());
        });
    }

    fn ussd(
        &self,
        owed: Owed,
        message: ShortMessage,
        (from, input): (PhoneNumber, String),
        dialogue: Dialogue,
    ) {
        let Some(menu) = self.shared.menu.clone() else {
            return owed.saying(status::RECEIVER_REJECTS).pay(true);
        };
        let code = match dialogue.stage {
            Stage::Begin => input.clone(),
            Stage::Typed | Stage::Over => message.destination.digits.clone(),
        };
        let step = Step {
            link: self.shared.seat.link().clone(),
            session: dialogue.session.clone(),
            from,
            code,
            input,
            stage: dialogue.stage,
            unit: dialogue.info.map(|[_, unit]| unit),
        };
        let shared = self.shared.clone();
        tokio::spawn(async move {
            let screen = tokio::time::timeout(MENU_WAIT, menu(step)).await.ok();
            let screen = screen.flatten();
            owed.pay(screen.is_some());
            let shown = screen.filter(|s| !s.text.is_empty() && dialogue.stage != Stage::Over);
            if let Some(screen) = shown {
                let tlvs = shared.profile.ussd.answer(&dialogue, screen.end);
                let (to, from) = (message.source, message.destination);
                let piece = outgoing::screen(&shared.profile, to, from, &screen.text, tlvs);
                if shared.screens.try_send(piece).is_err() {
                    let now = shared.clock.now();
                    shared.seat.fault("too many USSD screens wait", now);
                }
            }
        });
    }

    /// Readable as a PDU, but nothing that can be used: raw to the disk, and taken.
    fn unusable(&self, owed: Owed, message: ShortMessage, tlvs: Vec<Tlv>, why: &'static str) {
        let shared = self.shared.clone();
        tokio::task::spawn_blocking(move || {
            let mut pdu = Pdu::new(owed.sequence, Command::Deliver(message));
            pdu.tlvs = tlvs;
            let octets = pdu.write().unwrap_or_default();
            let kept = shared.intake.quarantine(&octets, why);
            owed.pay(kept);
        });
    }
}
