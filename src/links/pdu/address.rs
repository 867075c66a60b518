//! The address fields of a short message (3GPP TS 23.040 clause 9.1.2.5): swapped half octets with a type, or a name.
//!
//! Keeps the type as sent. Whether the digits are anybody's number, [`crate::links::address`] says.

use crate::links::address::NumberType;
use crate::links::gsm7;
use crate::links::gsm7::Shift;
use crate::links::gsm7::packing;
use crate::links::pdu::Flaw;
use crate::links::pdu::PduError;
use crate::links::pdu::reader::Reader;

/// Most half octets of an address (TS 23.040: 12 octets, two of them length and type).
pub const MOST_HALF_OCTETS: u8 = 20;

/// The digits that a half octet can mean; 15 fills up.
const DIGITS: [char; 15] = [
    '0', '1', '2', '3', '4', '5', '6', '7', '8', '9', '*', '#', 'a', 'b', 'c',
];

/// The type-of-address octet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TypeOfAddress(pub u8);

impl TypeOfAddress {
    /// International number, telephone numbering plan.
    pub const INTERNATIONAL: Self = Self(0x91);
    /// Nothing known of the number, telephone numbering plan: short codes.
    pub const UNKNOWN: Self = Self(0x81);
    /// A name in GSM 7-bit.
    pub const NAME: Self = Self(0xD0);

    /// The type of number.
    #[must_use]
    pub const fn number_type(self) -> &'static str {
        match self.0 >> 4 & 0b111 {
            0 => "unknown",
            1 => "international",
            2 => "national",
            3 => "network specific",
            4 => "subscriber",
            5 => "alphanumeric",
            6 => "abbreviated",
            _ => "reserved",
        }
    }

    /// The numbering plan.
    #[must_use]
    pub const fn plan(self) -> &'static str {
        match self.0 & 0b1111 {
            0 => "unknown",
            1 => "isdn",
            3 => "data",
            4 => "telex",
            5 | 6 => "service centre specific",
            8 => "national",
            9 => "private",
            10 => "ermes",
            _ => "reserved",
        }
    }

    /// The value holds a name.
    #[must_use]
    pub const fn is_name(self) -> bool {
        self.0 >> 4 & 0b111 == 5
    }

    /// The value holds a number with its calling code.
    #[must_use]
    pub const fn is_international(self) -> bool {
        self.0 >> 4 & 0b111 == 1
    }

    /// How [`crate::links::address::Country::read`] is to read the digits. A subscriber number may still be a whole
    /// international one: some centres send type 0xC8 for all.
    #[must_use]
    pub const fn hint(self) -> NumberType {
        match self.0 >> 4 & 0b111 {
            1 => NumberType::International,
            2 => NumberType::National,
            3 | 6 => NumberType::Network,
            5 => NumberType::Alphanumeric,
            _ => NumberType::Unknown,
        }
    }
}

/// An address as sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Address {
    /// Its type.
    pub kind: TypeOfAddress,
    /// Digits without a plus (`0-9 * # a b c`), or the name.
    pub value: String,
}

impl Address {
    /// From `+255700000101`, `+255 700 000-101`, `40123`, `*100#` or a name, with the type that fits.
    #[must_use]
    pub fn plain(text: &str) -> Self {
        let bare = text.replace([' ', '-', '(', ')', '.'], "");
        let dialled = |c: char| c.is_ascii_digit() || matches!(c, '*' | '#');
        let (kind, value) = match bare.strip_prefix('+') {
            Some(digits) => (TypeOfAddress::INTERNATIONAL, digits.to_owned()),
            None if bare.chars().all(dialled) => (TypeOfAddress::UNKNOWN, bare),
            None => (TypeOfAddress::NAME, text.trim().to_owned()),
        };
        Self { kind, value }
    }

    /// With a plus where the type is international.
    #[must_use]
    pub fn shown(&self) -> String {
        let plus = if self.kind.is_international() {
            "+"
        } else {
            ""
        };
        format!("{plus}{}", self.value)
    }

    /// Reads an originating, destination or recipient address: its length counts half octets.
    ///
    /// # Errors
    /// The octets end, or, read strictly, more than 20 half octets or a filler amid the digits.
    pub fn read(reader: &mut Reader<'_>, field: &'static str) -> Result<Self, PduError> {
        let half_octets = reader.octet(field)?;
        if half_octets > MOST_HALF_OCTETS {
            reader.flaw(Flaw::Address("is longer than 20 half octets"))?;
        }
        let kind = TypeOfAddress(reader.octet(field)?);
        let octets = reader.take(usize::from(half_octets).div_ceil(2), field)?;
        if kind.0 & 0x80 == 0 {
            reader.flaw(Flaw::Address("type lacks its highest bit"))?;
        }
        if kind.is_name() {
            let septets = packing::unpack(octets, usize::from(half_octets) * 4 / 7, 0);
            let value = gsm7::decode(&septets, Shift::default());
            return Ok(Self { kind, value });
        }
        let value = read_digits(octets, usize::from(half_octets), reader)?;
        Ok(Self { kind, value })
    }

    /// Reads the service centre's address: its length counts octets, the type included; 0 is none.
    ///
    /// # Errors
    /// As for [`Address::read`].
    pub fn read_smsc(reader: &mut Reader<'_>) -> Result<Option<Self>, PduError> {
        const FIELD: &str = "service centre address";
        let Some(digits) = usize::from(reader.octet(FIELD)?).checked_sub(1) else {
            return Ok(None);
        };
        let kind = TypeOfAddress(reader.octet(FIELD)?);
        let octets = reader.take(digits, FIELD)?;
        let filled = octets.last().is_some_and(|last| last >> 4 == 0xF);
        let value = read_digits(octets, digits * 2 - usize::from(filled), reader)?;
        Ok(Some(Self { kind, value }))
    }

    /// The field's octets, length in half octets first.
    ///
    /// # Errors
    /// A character that is no digit, a name outside GSM-7, or more than 20 half octets.
    pub fn write(&self, field: &'static str) -> Result<Vec<u8>, PduError> {
        let (half_octets, value) = if self.kind.is_name() {
            let septets = gsm7::encode(&self.value)?;
            ((septets.len() * 7).div_ceil(4), packing::pack(&septets, 0))
        } else {
            (
                self.value.chars().count(),
                write_digits(&self.value, field)?,
            )
        };
        let length = u8::try_from(half_octets)
            .ok()
            .filter(|n| *n <= MOST_HALF_OCTETS);
        let length = length.ok_or_else(|| PduError::Field {
            field,
            why: "too long: at most 20 digits or 11 characters of a name".to_owned(),
        })?;
        Ok([&[length, self.kind.0], value.as_slice()].concat())
    }

    /// The service centre field's octets.
    ///
    /// # Errors
    /// As for [`Address::write`].
    pub fn write_smsc(smsc: Option<&Self>) -> Result<Vec<u8>, PduError> {
        const FIELD: &str = "service centre address";
        let Some(smsc) = smsc else {
            return Ok(vec![0]);
        };
        let value = write_digits(&smsc.value, FIELD)?;
        let length = u8::try_from(value.len() + 1)
            .ok()
            .filter(|n| *n <= 1 + MOST_HALF_OCTETS / 2);
        let length = length.ok_or_else(|| PduError::Field {
            field: FIELD,
            why: "too long: at most 20 digits".to_owned(),
        })?;
        Ok([&[length, smsc.kind.0], value.as_slice()].concat())
    }
}

/// Digits from swapped half octets: the low half first.
///
/// # Errors
/// Read strictly, a filler where a digit should be.
fn read_digits(octets: &[u8], count: usize, reader: &mut Reader<'_>) -> Result<String, PduError> {
    let halves = octets.iter().flat_map(|octet| [octet & 0xF, octet >> 4]);
    let mut digits = String::with_capacity(count);
    for half in halves.take(count) {
        match DIGITS.get(usize::from(half)) {
            Some(digit) => digits.push(*digit),
            None => reader.flaw(Flaw::Filler)?,
        }
    }
    Ok(digits)
}

fn write_digits(digits: &str, field: &'static str) -> Result<Vec<u8>, PduError> {
    let mut halves = Vec::with_capacity(digits.len() + 1);
    for digit in digits.chars() {
        let half = DIGITS.iter().position(|d| *d == digit.to_ascii_lowercase());
        let half = half
            .and_then(|half| u8::try_from(half).ok())
            .ok_or_else(|| PduError::Field {
                field,
                why: format!(
                    "{digit:?} is no digit; expected 0-9, * # a b c, such as +255700000101"
                ),
            })?;
        halves.push(half);
    }
    if !halves.len().is_multiple_of(2) {
        halves.push(0xF);
    }
    let (pairs, _) = halves.as_chunks::<2>();
    Ok(pairs.iter().map(|[low, high]| high << 4 | low).collect())
}
