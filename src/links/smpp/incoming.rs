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
use crate::links::ucs2::{self, OctetOrder};

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
    let marked = message.is_receipt();
    if marked || receipt::is_unmarked(&receipt_text(message, octets), tlvs) {
        let read = |octets| receipt::of(&receipt_text(message, octets), tlvs, profile.ids);
        let behind_header = || read(split_header(message, octets).ok()?.1);
        return match read(octets).or_else(behind_header) {
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
    let body = match body_of(profile, message.data_coding, octets, shift) {
        Ok(body) => body,
        Err(why) => return Incoming::Unusable(why),
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
    match Header::read(header) {
        (header, None) => Ok((Some(header), rest)),
        // It may have said that this is only a part: half of a line must not be read as one.
        (_, Some(_)) => Err("the user data header does not hold together"),
    }
}

/// A receipt's text, which message centres write in ASCII whatever `data_coding` 0 means for people's texts: read as GSM 7-bit, `_` and `@` of an id would
/// become other letters.
fn receipt_text(message: &ShortMessage, octets: &[u8]) -> String {
    match message.data_coding {
        8 => ucs2::text(&ucs2::units(octets, OctetOrder::Big)),
        _ => octets.iter().map(|b| char::from(*b)).collect(),
    }
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

/// Octets in the alphabet that `coding` names.
///
/// # Errors
/// Binary data, alphabets that we do not have, and octets that the alphabet cannot have: guessing could change a figure.
fn body_of(
    profile: &Profile,
    coding: u8,
    octets: &[u8],
    shift: Shift,
) -> Result<Body, &'static str> {
    let septets = || {
        if octets.iter().any(|b| *b >= 0x80) {
            return Err("octets that are no GSM 7-bit letters; see `centre_alphabet`");
        }
        Ok(Body::Septets(octets.to_vec(), shift))
    };
    let letters = || Body::Units(octets.iter().map(|b| u16::from(*b)).collect());
    let units = || {
        if !octets.len().is_multiple_of(2) {
            return Err("UCS-2 that ends in half a letter");
        }
        Ok(Body::Units(ucs2::units(octets, profile.order)))
    };
    match coding {
        0 => match profile.centre {
            Centre::Gsm7 => septets(),
            Centre::Latin1 | Centre::Ascii => Ok(letters()),
        },
        1 | 3 => Ok(letters()),
        8 => units(),
        // Message class and message waiting groups of 3GPP TS 23.038 with the default alphabet; bit 2 of the former says octets.
        0xF0..=0xF3 | 0xF8..=0xFB | 0xC0..=0xDF => septets(),
        0xE0..=0xEF => units(),
        _ => Err("a data_coding without letters"),
    }
}
