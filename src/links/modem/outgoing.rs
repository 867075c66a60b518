//! A text on its way out as SMS-SUBMIT in hexadecimal, one for each part.
//!
//! Does not know sessions or the outbox.

use crate::domain::phone::PhoneNumber;
use crate::links::gsm7::fold::fold;
use crate::links::modem::profile::Profile;
use crate::links::parts::{self, Concat, RefWidth, TooManyParts};
use crate::links::pdu::address::Address;
use crate::links::pdu::content::Content;
use crate::links::pdu::submit::Submit;
use crate::links::pdu::validity::Validity;
use crate::links::pdu::{Pdu, PduError, Tpdu, hex};
use chrono::TimeDelta;

/// Shortest validity that is asked for: the scale begins at five minutes.
const VALIDITY_LEAST: TimeDelta = TimeDelta::minutes(5);

/// One message for `AT+CMGS`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The receiver, whom a report on it will name.
    pub to: PhoneNumber,
    /// Octets without the service centre's address: what `AT+CMGS=` asks for.
    pub length: usize,
    /// The message in hexadecimal.
    pub hex: String,
    /// It is one of several: the radio link should stay for the others.
    pub of_several: bool,
}

/// Why a text cannot be sent at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unsendable {
    /// More parts than can be numbered.
    #[error(transparent)]
    TooManyParts(#[from] TooManyParts),
    /// A field that a short message cannot have.
    #[error(transparent)]
    Pdu(#[from] PduError),
}

/// The messages that carry `text`. `reference` numbers its parts; `worth` is how long it is worth sending.
///
/// # Errors
/// The text can never be sent so.
pub fn pieces(
    profile: &Profile,
    to: &PhoneNumber,
    text: &str,
    reference: u8,
    worth: TimeDelta,
) -> Result<Vec<Piece>, Unsendable> {
    let bodies = parts::split(&fold(text), RefWidth::Eight)?;
    let total = u8::try_from(bodies.len()).unwrap_or(u8::MAX);
    let validity = if profile.validity {
        Validity::at_least(worth.max(VALIDITY_LEAST))
    } else {
        Validity::Absent
    };
    let piece = |(part, body)| {
        let several = total > 1;
        let concat = Concat::new(u16::from(reference), RefWidth::Eight, total, part);
        let (dcs, content) = Content::of_body(body, concat.filter(|_| several), None);
        let submit = Submit {
            reject_duplicates: false,
            reply_path: false,
            status_report: profile.receipts,
            reference: 0,
            to: Address::plain(to.full()),
            pid: 0,
            dcs,
            validity,
            content,
        };
        let pdu = Pdu {
            // The SIM's own.
            smsc: None,
            tpdu: Tpdu::Submit(submit),
        };
        let (octets, length) = pdu.encode()?;
        Ok(Piece {
            to: to.clone(),
            length,
            hex: hex(&octets),
            of_several: several,
        })
    };
    (1..=total).zip(bodies).map(piece).collect()
}
