//! What becomes of a message of the peer's: kept first, answered then.
//!
//! Does not know sockets.

use crate::domain::phone::PhoneNumber;
use crate::links::smpp::flow::Owed;
use crate::links::smpp::incoming::{self, Incoming};
use crate::links::smpp::outgoing;
use crate::links::smpp::pdu::ShortMessage;
use crate::links::smpp::pump::{Note, Pump};
use crate::links::smpp::status;
use crate::links::smpp::tlv::Tlv;
use crate::links::smpp::ussd::{Dialogue, Stage, Step};
use std::time::Duration;
use tokio::sync::mpsc;

/// A carrier closes a dialogue that is not answered within ten to fifteen seconds (an operator's help page, single source).
const MENU_WAIT: Duration = Duration::from_secs(10);

/// Where answers that the network waits for are given.
#[derive(Clone)]
struct Till(mpsc::UnboundedSender<Note>);

impl Till {
    /// Answered: whether all was kept.
    fn pay(&self, owed: Owed, kept: bool) {
        // A session that is over wants no answer.
        self.0.send(Note::Answer(owed, kept)).ok();
    }

    /// There may be an answer in the outbox.
    fn look(&self) {
        self.0.send(Note::Look).ok();
    }
}

impl Pump {
    pub(super) fn unread(&self, frame: Vec<u8>, why: String, owed: Option<Owed>) {
        let (shared, till) = (self.shared.clone(), self.till());
        tokio::task::spawn_blocking(move || {
            let kept = shared.clerk.raw(&frame, &why);
            if let Some(owed) = owed {
                till.pay(owed, kept);
            }
        });
    }

    fn till(&self) -> Till {
        Till(self.noting.clone())
    }

    pub(super) fn came(
        &self,
        owed: Owed,
        message: ShortMessage,
        tlvs: Vec<Tlv>,
        flawed: Option<Vec<u8>>,
    ) {
        let (shared, till) = (self.shared.clone(), self.till());
        if let Some(frame) = flawed {
            // The message before the broken end stands; the octets are kept for whoever asks the network about it.
            let shared = self.shared.clone();
            tokio::task::spawn_blocking(move || {
                let why = "optional parameters that do not hold together";
                shared.clerk.raw(&frame, why);
            });
        }
        match incoming::read(&self.shared.profile, &message, &tlvs) {
            Incoming::Acknowledgement => till.pay(owed, true),
            Incoming::Text { from, text } => {
                let to = message.destination.digits;
                shared.clerk.text(from, to, text, move |kept| {
                    till.pay(owed, kept);
                    till.look();
                });
            }
            Incoming::Ussd {
                from,
                input,
                dialogue,
            } => self.ussd(owed, message, (from, input), dialogue),
            other => {
                let may_answer = matches!(other, Incoming::Part { .. });
                tokio::task::spawn_blocking(move || {
                    let sequence = owed.sequence();
                    let kept = shared.clerk.keep(other, sequence, message, tlvs);
                    till.pay(owed, kept);
                    if may_answer {
                        till.look();
                    }
                });
            }
        }
    }

    fn ussd(
        &self,
        owed: Owed,
        message: ShortMessage,
        (from, input): (PhoneNumber, String),
        dialogue: Dialogue,
    ) {
        let till = self.till();
        let Some(menu) = self.shared.menu.clone() else {
            return till.pay(owed.saying(status::RECEIVER_REJECTS), true);
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
            till.pay(owed, screen.is_some());
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
}
