//! What a message from the message centre is: a text, a part of one, a receipt, a step of a USSD dialogue, or nothing that can be used.
//!
//! Alphabets are never guessed: what a `data_coding` does not say is kept raw. Does not know who is a member, or what a text means.

use crate::domain::phone::PhoneNumber;
use crate::links::address::{Country, Party};
use crate::links::gsm7::Shift;
use crate::links::http::number::read_number;
use crate::links::parts::{Body, Concat, RefWidth};
use crate::links::pdu::header::Header;
use crate::links::smpp::fields::Address;
use crate::links::smpp::pdu::ShortMessage;
use crate::links::smpp::profile::{Centre, Profile};
use crate::links::smpp::receipt::{self, Receipt};
use crate::links::smpp::tlv::{self, Tlv};
use crate::links::smpp::ussd::Dialogue;
use crate::links::ucs2;

/// What came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Incoming {
    /// A delivery receipt.
    Receipt(Receipt),
    /// A phone's own acknowledgement: nobody waits for it.
    Acknowledgement,
    /// A step of a USSD dialogue.
    Ussd {
        /// Whose phone.
        from: PhoneNumber,
        /// What was dialled or typed.
        input: String,
        /// Where in which dialogue.
        dialogue: Dialogue,
    },
    /// A whole text.
    Text {
        /// Whose phone.
        from: PhoneNumber,
        /// Its text.
        text: String,
    },
    /// A part of a text.
    Part {
        /// Whose phone.
        from: PhoneNumber,
        /// Which part.
        concat: Concat,
        /// What it carries.
        body: Body,
    },
    /// Not for us, or not readable: to be kept raw.
    Unusable(&'static str),
}

/// Reads one message.
#[must_use]
pub fn read(profile: &Profile, message: &ShortMessage, tlvs: &[Tlv]) -> Incoming {
    if message.is_acknowledgement() {
        return Incoming::Acknowledgement;
    }
    let octets = match message.text.as_slice() {
        [] => tlv::find(tlvs, tlv::MESSAGE_PAYLOAD).unwrap_or_default(),
        text => text,
    };
    if message.is_receipt() {
        let text = body_of(profile, message.data_coding, octets, Shift::default())
            .and_then(|body| body.text())
            .unwrap_or_else(|| octets.iter().map(|b| char::from(*b)).collect());
        return match receipt::of(&text, tlvs, profile.ids) {
            Some(receipt) => Incoming::Receipt(receipt),
            None => Incoming::Unusable("a receipt without an id or a state"),
        };
    }
    let Some(from) = phone(profile, &message.source) else {
        return Incoming::Unusable("the sender is no phone of this country's form");
    };
    let (header, octets) = match split_header(message, octets) {
        Ok(split) => split,
        Err(why) => return Incoming::Unusable(why),
    };
    let shift = header.as_ref().map(|h| h.shift().0).unwrap_or_default();
    let Some(body) = body_of(profile, message.data_coding, octets, shift) else {
        return Incoming::Unusable("a data_coding without letters");
    };
    if let Some(dialogue) = profile.ussd.dialogue(message, tlvs) {
        let input = body.text().unwrap_or_default();
        return Incoming::Ussd {
            from,
            input,
            dialogue,
        };
    }
    match concatenation(header.as_ref(), tlvs) {
        Some(concat) if concat.total() > 1 => Incoming::Part { from, concat, body },
        _ => Incoming::Text {
            from,
            text: body.text().unwrap_or_default(),
        },
    }
}

/// The phone of an address. Numbers of the international type come with `+` or without.
#[must_use]
pub fn phone(profile: &Profile, address: &Address) -> Option<PhoneNumber> {
    let digits = address.digits.trim();
    if let Some(country) = Country::of_setting(&profile.country) {
        return match country.read(digits, address.kind()) {
            Ok(Party::Phone(phone)) => Some(phone),
            Ok(Party::ShortCode(_) | Party::Name(_)) | Err(_) => None,
        };
    }
    // Eight digits or fewer are a short code, whatever type the message centre says.
    if address.ton == 1 && digits.len() > 8 && !digits.starts_with(['+', '0']) {
        return PhoneNumber::new(&format!("+{digits}"));
    }
    read_number(digits, &profile.country)
}

fn split_header<'o>(
    message: &ShortMessage,
    octets: &'o [u8],
) -> Result<(Option<Header>, &'o [u8]), &'static str> {
    if !message.has_header() {
        return Ok((None, octets));
    }
    let broken = "the user data header is longer than the message";
    let (length, rest) = octets.split_first().ok_or(broken)?;
    let (header, rest) = rest.split_at_checked(usize::from(*length)).ok_or(broken)?;
    Ok((Some(Header::read(header).0), rest))
}

/// A header's numbering, or that of the `sar` parameters. What the standard says to ignore is none.
fn concatenation(header: Option<&Header>, tlvs: &[Tlv]) -> Option<Concat> {
    if let Some(Ok(Some(concat))) = header.map(Header::concatenation) {
        return Some(concat);
    }
    let octet = |tag| tlv::number(tlvs, tag).and_then(|n| u8::try_from(n).ok());
    Concat::new(
        tlv::number(tlvs, tlv::SAR_REFERENCE)?,
        RefWidth::Sixteen,
        octet(tlv::SAR_TOTAL)?,
        octet(tlv::SAR_PART)?,
    )
}

/// Octets in the alphabet that `coding` names; none for binary data and for alphabets that we do not have.
fn body_of(profile: &Profile, coding: u8, octets: &[u8], shift: Shift) -> Option<Body> {
    let septets = || Body::Septets(octets.iter().map(|b| b & 0x7F).collect(), shift);
    let letters = || Body::Units(octets.iter().map(|b| u16::from(*b)).collect());
    match coding {
        0 => Some(match profile.centre {
            Centre::Gsm7 if octets.iter().all(|b| *b < 0x80) => septets(),
            // Octets beyond 7 bits are no septets: the setting is wrong, and guessing could change a figure.
            Centre::Gsm7 => return None,
            Centre::Latin1 | Centre::Ascii => letters(),
        }),
        1 | 3 => Some(letters()),
        8 => Some(Body::Units(ucs2::units(octets, profile.order))),
        // Message class and message waiting groups of 3GPP TS 23.038 with the default alphabet; bit 2 of the former says octets.
        0xF0..=0xF3 | 0xF8..=0xFB | 0xC0..=0xDF => Some(septets()),
        0xE0..=0xEF => Some(Body::Units(ucs2::units(octets, profile.order))),
        _ => None,
    }
}
