//! USSD over SMPP: which step of a dialogue a `deliver_sm` is, which session it belongs to, and how an answer is written.
//!
//! Carriers differ in nearly all of it, so a profile says which operations, which session key and which end. Does not know menus: a step goes to a
//! hook and its screen comes back.

use crate::domain::message::LinkName;
use crate::domain::phone::PhoneNumber;
use crate::links::smpp::pdu::ShortMessage;
use crate::links::smpp::tlv::{self, Tlv};
use futures_util::future::BoxFuture;
use std::sync::Arc;

/// What tells one session of a phone from another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SessionKey {
    /// The first octet of `its_session_info`, and the phone: the octet alone comes round after 256.
    #[default]
    Number,
    /// Both octets, and the phone: for a carrier that counts sessions in 16 bits.
    Both,
    /// The phone alone.
    Phone,
}

/// How the last screen is marked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EndBy {
    /// By the operation: 17 in place of 2.
    Operation,
    /// By the last bit of `its_session_info`.
    Bit,
    /// By both.
    #[default]
    Both,
}

/// How one carrier speaks USSD.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UssdProfile {
    /// `service_type` of its messages, both ways.
    pub service_type: String,
    /// Operations that begin a dialogue.
    pub begins: Vec<u8>,
    /// Operations that bring what was typed.
    pub goes_on: Vec<u8>,
    /// The operation of a screen that wants an answer.
    pub ask: u8,
    /// The operation of the last screen.
    pub last: u8,
    /// The session's key.
    pub key: SessionKey,
    /// The end's mark.
    pub end: EndBy,
}

impl Default for UssdProfile {
    fn default() -> Self {
        Self {
            service_type: "USSD".to_owned(),
            // PSSD and PSSR indication.
            begins: vec![0, 1],
            // USSR confirm; some carriers send USSR request or PSSR response.
            goes_on: vec![18, 2, 17],
            ask: 2,
            last: 17,
            key: SessionKey::Number,
            end: EndBy::Both,
        }
    }
}

/// What a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// A code was dialled.
    Begin,
    /// Something was typed.
    Typed,
    /// The phone or the carrier ended it; no answer is wanted.
    Over,
}

/// Where in a dialogue a message is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dialogue {
    /// What it is.
    pub stage: Stage,
    /// The session's key among the phone's: a number, or empty where the phone is the key.
    pub session: String,
    /// `its_session_info` as it came.
    pub info: Option<[u8; 2]>,
}

/// One step for the menu.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The link that it came by.
    pub link: LinkName,
    /// The session: unique among those of this phone on this link.
    pub session: String,
    /// Whose phone.
    pub from: PhoneNumber,
    /// The code that it was sent to, or that was dialled.
    pub code: String,
    /// What was dialled or typed.
    pub input: String,
    /// What the step is.
    pub stage: Stage,
    /// The carrier's number of the step; the same number again is the same step.
    pub unit: Option<u8>,
}

/// What the phone shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Its text; empty shows nothing.
    pub text: String,
    /// Nothing can be typed after it.
    pub end: bool,
}

/// The menu behind a link: committed when its future is ready. None where it could not be, and the carrier is to try again.
pub type Menu = Arc<dyn Fn(Step) -> BoxFuture<'static, Option<Screen>> + Send + Sync>;

impl UssdProfile {
    /// The dialogue that a message belongs to; none where it is a text.
    #[must_use]
    pub fn dialogue(&self, message: &ShortMessage, tlvs: &[Tlv]) -> Option<Dialogue> {
        let operation =
            tlv::number(tlvs, tlv::USSD_SERVICE_OP).and_then(|op| u8::try_from(op).ok());
        let of_service = message
            .service_type
            .eq_ignore_ascii_case(&self.service_type);
        if operation.is_none() && !of_service {
            return None;
        }
        let info = match tlv::find(tlvs, tlv::ITS_SESSION_INFO) {
            Some([number, unit]) => Some([*number, *unit]),
            // Seen in the wild: the number alone.
            Some([number]) => Some([*number, 0]),
            _ => None,
        };
        let ended = info.is_some_and(|[_, unit]| unit & 1 == 1) && self.end != EndBy::Operation;
        let stage = match operation {
            _ if ended => Stage::Over,
            Some(op) if self.begins.contains(&op) => Stage::Begin,
            Some(op) if self.goes_on.contains(&op) => Stage::Typed,
            Some(_) => Stage::Over,
            // Without an operation, what begins with a star was dialled.
            None if message.text.starts_with(b"*") => Stage::Begin,
            None => Stage::Typed,
        };
        let session = match (self.key, info) {
            (SessionKey::Number, Some([number, _])) => number.to_string(),
            (SessionKey::Both, Some(both)) => u16::from_be_bytes(both).to_string(),
            (SessionKey::Phone, _) | (_, None) => String::new(),
        };
        Some(Dialogue {
            stage,
            session,
            info,
        })
    }

    /// The parameters of the answer to a step.
    #[must_use]
    pub fn answer(&self, to: &Dialogue, end: bool) -> Vec<Tlv> {
        let operation = if end && self.end != EndBy::Bit {
            self.last
        } else {
            self.ask
        };
        let mut tlvs = vec![Tlv::octet(tlv::USSD_SERVICE_OP, operation)];
        if let Some([number, unit]) = to.info {
            let unit = match self.key {
                SessionKey::Both => unit,
                // The next unit: even numbers rise by two, the end adds one.
                _ => (unit & !1).wrapping_add(2) | u8::from(end && self.end != EndBy::Operation),
            };
            tlvs.push(Tlv {
                tag: tlv::ITS_SESSION_INFO,
                value: vec![number, unit],
            });
        }
        tlvs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn message(op: Option<u8>, info: &[u8]) -> Vec<Tlv> {
        let info = Tlv {
            tag: tlv::ITS_SESSION_INFO,
            value: info.to_vec(),
        };
        let op = op.map(|op| Tlv::octet(tlv::USSD_SERVICE_OP, op));
        op.into_iter().chain([info]).collect()
    }

    /// Operations and units as in SMPP 3.4 clauses 5.3.2.44 and 5.3.2.43 (the numbers of the operations are what four code bases agree on).
    #[test]
    fn a_dialogue_is_followed_from_code_to_last_screen() {
        let profile = UssdProfile::default();
        let sms = ShortMessage::default();
        let begin = profile.dialogue(&sms, &message(Some(1), &[42, 0])).unwrap();
        assert_eq!((begin.stage, begin.session.as_str()), (Stage::Begin, "42"));
        let asked = profile.answer(&begin, false);
        assert_eq!(
            tlv::find(&asked, tlv::USSD_SERVICE_OP),
            Some([2].as_slice())
        );
        assert_eq!(
            tlv::find(&asked, tlv::ITS_SESSION_INFO),
            Some([42, 2].as_slice())
        );
        let typed = profile
            .dialogue(&sms, &message(Some(18), &[42, 4]))
            .unwrap();
        assert_eq!(typed.stage, Stage::Typed);
        let last = profile.answer(&typed, true);
        assert_eq!(
            tlv::find(&last, tlv::USSD_SERVICE_OP),
            Some([17].as_slice())
        );
        assert_eq!(
            tlv::find(&last, tlv::ITS_SESSION_INFO),
            Some([42, 7].as_slice())
        );
        let over = profile
            .dialogue(&sms, &message(Some(18), &[42, 5]))
            .unwrap();
        assert_eq!(over.stage, Stage::Over);
        assert_eq!(profile.dialogue(&sms, &[]), None, "a text");
    }

    #[test]
    fn carriers_that_count_otherwise_are_followed_by_profile() {
        let profile = UssdProfile {
            key: SessionKey::Both,
            end: EndBy::Operation,
            ..UssdProfile::default()
        };
        let sms = ShortMessage::default();
        let step = profile.dialogue(&sms, &message(Some(2), &[1, 3])).unwrap();
        assert_eq!((step.stage, step.session.as_str()), (Stage::Typed, "259"));
        let last = profile.answer(&step, true);
        assert_eq!(
            tlv::find(&last, tlv::ITS_SESSION_INFO),
            Some([1, 3].as_slice())
        );
        let named = ShortMessage {
            service_type: "USSD".to_owned(),
            text: b"*384#".to_vec(),
            ..ShortMessage::default()
        };
        let bare = UssdProfile::default().dialogue(&named, &[]).unwrap();
        assert_eq!(
            (bare.stage, bare.session.as_str(), bare.info),
            (Stage::Begin, "", None)
        );
    }
}
