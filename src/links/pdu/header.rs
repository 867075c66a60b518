//! The user data header (3GPP TS 23.040 clause 9.2.3.24): information elements, kept whether known or not.
//!
//! Reads concatenation, ports and national languages out of them. Does not know the text that follows.

use crate::links::gsm7;
use crate::links::gsm7::Shift;
use crate::links::parts::Concat;
use crate::links::parts::RefWidth;
use crate::links::pdu::Flaw;
use crate::links::pdu::PduError;

/// Concatenation with an 8-bit reference.
pub const CONCAT_8: u8 = 0x00;
/// Concatenation with a 16-bit reference.
pub const CONCAT_16: u8 = 0x08;
/// Application ports of 8 bits.
pub const PORTS_8: u8 = 0x04;
/// Application ports of 16 bits.
pub const PORTS_16: u8 = 0x05;
/// National language of the single shift table.
pub const SINGLE_SHIFT: u8 = 0x24;
/// National language of the locking shift table.
pub const LOCKING_SHIFT: u8 = 0x25;

/// One information element.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Element {
    /// Its identifier.
    pub id: u8,
    /// Its data.
    pub data: Vec<u8>,
}

impl Element {
    /// Application ports of 16 bits.
    #[must_use]
    pub fn ports(destination: u16, source: u16) -> Self {
        let data = [destination.to_be_bytes(), source.to_be_bytes()].concat();
        Self { id: PORTS_16, data }
    }

    /// What the standard calls its identifier.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self.id {
            CONCAT_8 => "concatenation, 8-bit reference",
            0x01 => "special message indication",
            PORTS_8 => "application ports, 8 bits",
            PORTS_16 => "application ports, 16 bits",
            0x06 => "service centre control parameters",
            0x07 => "header source indicator",
            CONCAT_16 => "concatenation, 16-bit reference",
            0x09 => "wireless control message protocol",
            0x0A..=0x1F => "text formatting and enhanced messaging",
            0x20 => "email header",
            0x21 => "hyperlink",
            0x22 => "reply address",
            0x23 => "enhanced voice mail information",
            SINGLE_SHIFT => "national language single shift",
            LOCKING_SHIFT => "national language locking shift",
            0x70..=0x7F => "SIM toolkit security",
            0x80..=0x9F => "phone to phone",
            0xC0..=0xDF => "service centre specific",
            _ => "reserved",
        }
    }
}

/// The elements of a header, in order. Where one that must not repeat does, the last counts (clause 9.2.3.24).
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Header {
    /// All elements.
    pub elements: Vec<Element>,
}

impl Header {
    /// A header that says which part this is.
    #[must_use]
    pub fn concat(concat: Concat) -> Self {
        let [high, low] = concat.reference().to_be_bytes();
        let (id, data) = match concat.width() {
            RefWidth::Eight => (CONCAT_8, vec![low, concat.total(), concat.part()]),
            RefWidth::Sixteen => (CONCAT_16, vec![high, low, concat.total(), concat.part()]),
        };
        Self {
            elements: vec![Element { id, data }],
        }
    }

    /// Reads the octets after the header's length octet. What does not add up ends the header there.
    #[must_use]
    pub fn read(octets: &[u8]) -> (Self, Option<Flaw>) {
        let mut elements = Vec::new();
        let mut rest = octets;
        while let [id, length, after @ ..] = rest {
            let Some((data, next)) = after.split_at_checked(usize::from(*length)) else {
                return (
                    Self { elements },
                    Some(Flaw::Header("an element is longer than the header")),
                );
            };
            elements.push(Element {
                id: *id,
                data: data.to_vec(),
            });
            rest = next;
        }
        let flaw = (!rest.is_empty()).then_some(Flaw::Header("an element has no length"));
        (Self { elements }, flaw)
    }

    /// The header with its length octet.
    ///
    /// # Errors
    /// More than fits in front of a message, or an element longer than 255 octets.
    pub fn write(&self) -> Result<Vec<u8>, PduError> {
        let mut octets = vec![0];
        for element in &self.elements {
            let length = u8::try_from(element.data.len()).map_err(|_| too_long())?;
            octets.extend([element.id, length]);
            octets.extend(&element.data);
        }
        let length = u8::try_from(octets.len() - 1)
            .ok()
            .filter(|n| *n < 140)
            .ok_or_else(too_long)?;
        if let Some(first) = octets.first_mut() {
            *first = length;
        }
        Ok(octets)
    }

    /// Which part of which text the message is.
    ///
    /// # Errors
    /// A part that cannot exist; to be ignored, as if the element were not there.
    pub fn concatenation(&self) -> Result<Option<Concat>, Flaw> {
        let found = self
            .elements
            .iter()
            .rev()
            .find_map(|e| match (e.id, e.data.as_slice()) {
                (CONCAT_8, [reference, total, part]) => {
                    Some((u16::from(*reference), RefWidth::Eight, *total, *part))
                }
                (CONCAT_16, [high, low, total, part]) => Some((
                    u16::from_be_bytes([*high, *low]),
                    RefWidth::Sixteen,
                    *total,
                    *part,
                )),
                _ => None,
            });
        let Some((reference, width, total, part)) = found else {
            return Ok(None);
        };
        Concat::new(reference, width, total, part)
            .map(Some)
            .ok_or(Flaw::NoSuchPart { part, total })
    }

    /// Destination and source port.
    #[must_use]
    pub fn ports(&self) -> Option<(u16, u16)> {
        self.elements
            .iter()
            .rev()
            .find_map(|e| match (e.id, e.data.as_slice()) {
                (PORTS_8, [to, from]) => Some((u16::from(*to), u16::from(*from))),
                (PORTS_16, [a, b, c, d]) => {
                    Some((u16::from_be_bytes([*a, *b]), u16::from_be_bytes([*c, *d])))
                }
                _ => None,
            })
    }

    /// The national tables that the text is in, and an identifier that has none.
    #[must_use]
    pub fn shift(&self) -> (Shift, Option<Flaw>) {
        let language = |id| {
            self.elements
                .iter()
                .rev()
                .find(|e| e.id == id)
                .and_then(|e| e.data.first().copied())
        };
        let locking = language(LOCKING_SHIFT).unwrap_or_default();
        let single = language(SINGLE_SHIFT).unwrap_or_default();
        let known = |id: u8, has: fn(u8) -> bool| id == 0 || has(id);
        let flaw = if !known(locking, gsm7::has_locking) {
            Some(Flaw::NoSuchLanguage(locking))
        } else if !known(single, gsm7::has_single) {
            Some(Flaw::NoSuchLanguage(single))
        } else {
            None
        };
        (Shift { locking, single }, flaw)
    }
}

fn too_long() -> PduError {
    PduError::Field {
        field: "user data header",
        why: "longer than a message".to_owned(),
    }
}
