//! User data: the header and what follows it, in any alphabet (3GPP TS 23.040 clause 9.2.3.24 and before).
//!
//! Counts septets or octets as the alphabet asks. Does not know which message it belongs to.

use crate::links::gsm7;
use crate::links::gsm7::packing;
use crate::links::parts::Alphabet;
use crate::links::parts::Body;
use crate::links::parts::Concat;
use crate::links::parts::USER_DATA_OCTETS;
use crate::links::pdu::Flaw;
use crate::links::pdu::PduError;
use crate::links::pdu::dcs::Dcs;
use crate::links::pdu::header::Header;
use crate::links::pdu::reader::Reader;
use crate::links::ucs2;
use crate::links::ucs2::OctetOrder;

/// A message's user data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Content {
    /// Its header, where it has one.
    pub header: Option<Header>,
    /// What follows the header. Compressed text is octets.
    pub body: Body,
}

impl Content {
    /// A text's content and coding in the alphabet it needs, GSM-7 if it can.
    #[must_use]
    pub fn of_text(text: &str, class: Option<u8>) -> (Dcs, Self) {
        let body = gsm7::encode(text).map_or_else(
            |_| Body::Units(text.encode_utf16().collect()),
            |septets| Body::Septets(septets, gsm7::Shift::default()),
        );
        Self::of_body(body, None, class)
    }

    /// One part's content and coding.
    #[must_use]
    pub fn of_body(body: Body, concat: Option<Concat>, class: Option<u8>) -> (Dcs, Self) {
        let dcs = Dcs::of(body.alphabet(), class);
        let header = concat.map(Header::concat);
        (dcs, Self { header, body })
    }

    /// Reads the length octet and the user data.
    ///
    /// # Errors
    /// No length octet; read strictly, any flaw.
    pub fn read(dcs: Dcs, has_header: bool, reader: &mut Reader<'_>) -> Result<Self, PduError> {
        let length = usize::from(reader.octet("user data length")?);
        if dcs.is_reserved() {
            reader.flaw(Flaw::ReservedCoding(dcs.0))?;
        }
        let in_septets = dcs.alphabet() == Alphabet::Gsm7 && !dcs.is_compressed();
        let announced = if in_septets {
            (length * 7).div_ceil(8)
        } else {
            length
        };
        if announced > USER_DATA_OCTETS {
            reader.flaw(Flaw::UserDataTooLong(announced))?;
        }
        let octets = reader.up_to(announced);
        if octets.len() < announced {
            reader.flaw(Flaw::UserDataCut {
                announced,
                present: octets.len(),
            })?;
        }
        let (header, header_octets) = if has_header {
            let (header, header_octets) = read_header(octets, reader)?;
            (Some(header), header_octets)
        } else {
            (None, 0)
        };
        let rest = octets.get(header_octets..).unwrap_or_default();
        let body = if dcs.is_compressed() {
            Body::Octets(rest.to_vec())
        } else {
            read_body(dcs, header.as_ref(), header_octets, length, rest, reader)?
        };
        Ok(Self { header, body })
    }

    /// The length octet and the user data.
    ///
    /// # Errors
    /// The content is longer than a message.
    pub fn write(&self) -> Result<Vec<u8>, PduError> {
        let header = self
            .header
            .as_ref()
            .map(Header::write)
            .transpose()?
            .unwrap_or_default();
        let left = USER_DATA_OCTETS.saturating_sub(header.len());
        let (length, body) = match &self.body {
            Body::Septets(septets, _) => {
                let before = (header.len() * 8).div_ceil(7);
                let length = before + septets.len();
                let room = (USER_DATA_OCTETS * 8 / 7).saturating_sub(before);
                fits(septets.len(), room, "septets")?;
                (
                    length,
                    packing::pack(septets, packing::fill_bits(header.len())),
                )
            }
            Body::Octets(octets) => {
                fits(octets.len(), left, "octets")?;
                (header.len() + octets.len(), octets.clone())
            }
            Body::Units(units) => {
                fits(units.len() * 2, left, "octets")?;
                let octets = units.iter().flat_map(|unit| unit.to_be_bytes()).collect();
                (header.len() + units.len() * 2, octets)
            }
        };
        let length = u8::try_from(length).unwrap_or(u8::MAX);
        Ok([&[length], header.as_slice(), body.as_slice()].concat())
    }

    /// Which part of which text it is; `None` too where the header names a part that cannot exist.
    #[must_use]
    pub fn concatenation(&self) -> Option<Concat> {
        self.header
            .as_ref()
            .and_then(|header| header.concatenation().ok().flatten())
    }
}

fn fits(wanted: usize, room: usize, unit: &'static str) -> Result<(), PduError> {
    if wanted > room {
        return Err(PduError::TextTooLong { wanted, room, unit });
    }
    Ok(())
}

/// The header and how many octets it takes, its length octet included.
fn read_header(octets: &[u8], reader: &mut Reader<'_>) -> Result<(Header, usize), PduError> {
    let Some((length, rest)) = octets.split_first() else {
        reader.flaw(Flaw::Header("announced, but there is no user data"))?;
        return Ok((Header::default(), 0));
    };
    let length = usize::from(*length);
    let inside = rest.get(..length).unwrap_or(rest);
    if inside.len() < length {
        reader.flaw(Flaw::Header("longer than the user data"))?;
    }
    let (header, flaw) = Header::read(inside);
    for flaw in [flaw, header.concatenation().err(), header.shift().1]
        .into_iter()
        .flatten()
    {
        reader.flaw(flaw)?;
    }
    Ok((header, length + 1))
}

fn read_body(
    dcs: Dcs,
    header: Option<&Header>,
    header_octets: usize,
    length: usize,
    rest: &[u8],
    reader: &mut Reader<'_>,
) -> Result<Body, PduError> {
    match dcs.alphabet() {
        Alphabet::Gsm7 => {
            let septets = length.saturating_sub((header_octets * 8).div_ceil(7));
            let septets = packing::unpack(rest, septets, packing::fill_bits(header_octets));
            let shift = header.map(|header| header.shift().0).unwrap_or_default();
            Ok(Body::Septets(septets, shift))
        }
        Alphabet::Octets => Ok(Body::Octets(rest.to_vec())),
        Alphabet::Ucs2 => {
            if !rest.len().is_multiple_of(2) {
                reader.flaw(Flaw::HalfCharacter)?;
            }
            let units = ucs2::units(rest, OctetOrder::Big);
            if char::decode_utf16(units.iter().copied()).any(|c| c.is_err()) {
                reader.flaw(Flaw::HalfPair)?;
            }
            Ok(Body::Units(units))
        }
    }
}
