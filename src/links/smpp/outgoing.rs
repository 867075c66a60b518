//! A text on its way out as `submit_sm` bodies: alphabet, parts, addresses, validity, by the profile.
//!
//! Does not know sessions or the outbox.

use crate::domain::phone::PhoneNumber;
use crate::links::gsm7;
use crate::links::gsm7::fold::fold;
use crate::links::parts::{self, Body, Concat, MOST_PARTS, RefWidth, TooManyParts};
use crate::links::pdu::header::Header;
use crate::links::smpp::fields::Address;
use crate::links::smpp::pdu::ShortMessage;
use crate::links::smpp::profile::{Centre, Long, Profile, Writing};
use crate::links::smpp::tlv::{self, Tlv};
use chrono::TimeDelta;

/// `data_coding` of the message centre's own alphabet.
const CODING_DEFAULT: u8 = 0;
/// `data_coding` of Latin-1.
const CODING_LATIN1: u8 = 3;
/// `data_coding` of UCS-2.
const CODING_UCS2: u8 = 8;
/// Longest validity that a relative time can say without months.
const VALIDITY_DAYS_MOST: i64 = 30;

/// One `submit_sm`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Its body.
    pub message: ShortMessage,
    /// Its parameters.
    pub tlvs: Vec<Tlv>,
}

/// The octets of each part, and how they are to be read.
struct Written {
    coding: u8,
    parts: Vec<Vec<u8>>,
}

/// The messages that carry `text`. `reference` numbers its parts and stands for it in receipts; `worth` is how long it is worth sending.
///
/// # Errors
/// More parts than can be numbered.
pub fn pieces(
    profile: &Profile,
    to: &PhoneNumber,
    text: &str,
    reference: u16,
    worth: TimeDelta,
) -> Result<Vec<Piece>, TooManyParts> {
    let written = write(profile, text)?;
    let frame = ShortMessage {
        service_type: profile.service_type.clone(),
        source: profile.source.clone(),
        destination: destination(profile, to),
        validity: if profile.validity {
            relative(worth)
        } else {
            String::new()
        },
        registered_delivery: profile.registered_delivery,
        data_coding: written.coding,
        ..ShortMessage::default()
    };
    let total = u8::try_from(written.parts.len()).unwrap_or(u8::MAX);
    let own = profile
        .reference
        .then(|| Tlv::pair(tlv::USER_MESSAGE_REFERENCE, reference));
    let piece = |(part, octets): (u8, Vec<u8>)| {
        let mut piece = Piece {
            message: frame.clone(),
            tlvs: own.clone().into_iter().collect(),
        };
        put(profile.long, &mut piece, octets, [total, part], reference);
        piece
    };
    Ok((1..=total).zip(written.parts).map(piece).collect())
}

/// The phone as the profile addresses phones: international numbers without `+`.
#[must_use]
pub fn destination(profile: &Profile, to: &PhoneNumber) -> Address {
    Address {
        ton: profile.destination_ton,
        npi: profile.destination_npi,
        digits: to.full().trim_start_matches('+').to_owned(),
    }
}

/// The answer to a USSD step: one message, however long; the menu holds screens to their length.
#[must_use]
pub fn screen(profile: &Profile, to: Address, from: Address, text: &str, tlvs: Vec<Tlv>) -> Piece {
    let folded = fold(text);
    let (data_coding, octets) = match one_alphabet(profile, &folded) {
        Some((coding, octets)) => (coding, octets),
        None => (CODING_UCS2, crate::links::ucs2::encode(text)),
    };
    let message = ShortMessage {
        service_type: profile.ussd.service_type.clone(),
        source: from,
        destination: to,
        data_coding,
        text: octets,
        ..ShortMessage::default()
    };
    Piece { message, tlvs }
}

fn put(long: Long, piece: &mut Piece, octets: Vec<u8>, [total, part]: [u8; 2], reference: u16) {
    if total <= 1 {
        if octets.len() > crate::links::smpp::fields::longest::SHORT_MESSAGE {
            piece.tlvs.push(Tlv {
                tag: tlv::MESSAGE_PAYLOAD,
                value: octets,
            });
        } else {
            piece.message.text = octets;
        }
        return;
    }
    match long {
        Long::Header(width) => {
            let reference = match width {
                RefWidth::Eight => reference & 0xFF,
                RefWidth::Sixteen => reference,
            };
            let header = Concat::new(reference, width, total, part)
                .and_then(|concat| Header::concat(concat).write().ok())
                .unwrap_or_default();
            piece.message.esm_class |= 0x40;
            piece.message.text = [header, octets].concat();
        }
        Long::Sar | Long::Payload => {
            piece.message.text = octets;
            piece.tlvs.push(Tlv::pair(tlv::SAR_REFERENCE, reference));
            piece.tlvs.push(Tlv::octet(tlv::SAR_TOTAL, total));
            piece.tlvs.push(Tlv::octet(tlv::SAR_PART, part));
        }
    }
}

fn write(profile: &Profile, text: &str) -> Result<Written, TooManyParts> {
    let folded = fold(text);
    let (whole, width) = match profile.long {
        Long::Header(width) => (false, width),
        // The message centre may make a 16-bit header of it.
        Long::Sar => (false, RefWidth::Sixteen),
        Long::Payload => (true, RefWidth::Eight),
    };
    let one = one_alphabet(profile, &folded);
    if whole {
        let (coding, octets) =
            one.unwrap_or_else(|| (CODING_UCS2, crate::links::ucs2::encode(text)));
        let parts = vec![octets];
        return Ok(Written { coding, parts });
    }
    match one {
        // GSM-7 has pairs that must not be cut.
        Some((CODING_DEFAULT, _)) if profile.centre == Centre::Gsm7 => Ok(Written {
            coding: CODING_DEFAULT,
            parts: octets_of(parts::split(&folded, width)?),
        }),
        Some((coding, octets)) => Ok(Written {
            coding,
            parts: cut(octets, width)?,
        }),
        None => Ok(Written {
            coding: CODING_UCS2,
            parts: octets_of(parts::split_ucs2(text, width)?),
        }),
    }
}

/// The text in the alphabet that the profile prefers; none where it needs UCS-2.
fn one_alphabet(profile: &Profile, text: &str) -> Option<(u8, Vec<u8>)> {
    let within = |last: u32| {
        let octets = text.chars().map(|c| u8::try_from(u32::from(c)).ok());
        octets
            .collect::<Option<Vec<u8>>>()
            .filter(|octets| octets.iter().all(|b| u32::from(*b) <= last))
    };
    match (profile.writing, profile.centre) {
        (Writing::Ucs2, _) => None,
        (Writing::Latin1, _) => Some((CODING_LATIN1, within(0xFF)?)),
        (Writing::Default, Centre::Latin1) => Some((CODING_DEFAULT, within(0xFF)?)),
        (Writing::Default, Centre::Ascii) => Some((CODING_DEFAULT, within(0x7F)?)),
        (Writing::Default, Centre::Gsm7) => Some((CODING_DEFAULT, gsm7::encode(text).ok()?)),
    }
}

/// Octets of one character each into parts.
fn cut(octets: Vec<u8>, width: RefWidth) -> Result<Vec<Vec<u8>>, TooManyParts> {
    if octets.len() <= parts::USER_DATA_OCTETS {
        return Ok(vec![octets]);
    }
    let room = width.room(parts::Alphabet::Octets);
    let parts: Vec<_> = octets.chunks(room).map(<[u8]>::to_vec).collect();
    if parts.len() > MOST_PARTS {
        return Err(TooManyParts { parts: parts.len() });
    }
    Ok(parts)
}

fn octets_of(bodies: Vec<Body>) -> Vec<Vec<u8>> {
    let octets = |body| match body {
        Body::Septets(octets, _) | Body::Octets(octets) => octets,
        Body::Units(units) => units.into_iter().flat_map(u16::to_be_bytes).collect(),
    };
    bodies.into_iter().map(octets).collect()
}

/// A relative time (SMPP 3.4 clause 7.1.1.2): years, months, days, hours, minutes, seconds, and `000R`.
fn relative(worth: TimeDelta) -> String {
    let seconds = worth
        .clamp(TimeDelta::minutes(1), TimeDelta::days(VALIDITY_DAYS_MOST))
        .num_seconds();
    format!(
        "0000{:02}{:02}{:02}{:02}000R",
        seconds / 86_400,
        seconds / 3_600 % 24,
        seconds / 60 % 60,
        seconds % 60
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `000002000000000R` is two days in SMPP 3.4 clause 7.1.1.2 (from memory).
    #[test]
    fn a_validity_is_relative_and_within_bounds() {
        assert_eq!(relative(TimeDelta::days(2)), "000002000000000R");
        assert_eq!(relative(TimeDelta::seconds(3_723)), "000000010203000R");
        assert_eq!(relative(TimeDelta::seconds(-5)), "000000000100000R");
        assert_eq!(relative(TimeDelta::days(400)), "000030000000000R");
    }
}
