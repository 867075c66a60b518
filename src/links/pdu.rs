//! Short messages as a modem stores and sends them: SMS-DELIVER, SMS-SUBMIT and SMS-STATUS-REPORT (3GPP TS 23.040).
//!
//! Octets to values and back, without IO. Refuses nothing silently: what is wrong is an error, or, read leniently, a
//! [`Flaw`] beside what could be read. Does not know members, links or what a text means.

pub mod address;
pub mod content;
pub mod dcs;
pub mod deliver;
pub mod header;
pub mod reader;
pub mod report;
pub mod stamp;
pub mod status;
pub mod submit;
pub mod validity;

use crate::links::gsm7::NotInAlphabet;
use crate::links::pdu::address::Address;
use crate::links::pdu::deliver::Deliver;
use crate::links::pdu::reader::Reader;
use crate::links::pdu::report::StatusReport;
use crate::links::pdu::submit::Submit;

/// Most octets of one message with its service centre address: 12 + 164 and room for a wrong length. A modem's line is
/// never longer.
pub const MOST_OCTETS: usize = 255;

/// How to treat what the standard does not allow but a reader can get past.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// Every flaw is an error.
    Strict,
    /// Flaws are noted; only what leaves nothing to read is an error.
    Lenient,
}

/// Something that the standard does not allow.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Flaw {
    /// The user data is shorter than its length says.
    #[error("user data cut short: its length says {announced} octets, {present} are there")]
    UserDataCut {
        /// Octets that the length asks for.
        announced: usize,
        /// Octets that are there.
        present: usize,
    },
    /// The user data is longer than one message can carry.
    #[error("user data of {0} octets; one message carries at most 140")]
    UserDataTooLong(usize),
    /// Octets after the end.
    #[error("{0} octets after the end of the message")]
    Trailing(usize),
    /// A time stamp that is no time.
    #[error("time stamp {0} is no date and time with zone")]
    NoTime(String),
    /// A header that does not add up.
    #[error("user data header is not whole: {0}")]
    Header(&'static str),
    /// A concatenation element to be ignored.
    #[error("concatenation part {part} of {total} does not exist; read as a message of one part")]
    NoSuchPart {
        /// The part's number.
        part: u8,
        /// The number of parts.
        total: u8,
    },
    /// An odd number of octets of UCS-2.
    #[error("UCS-2 text ends in half a character")]
    HalfCharacter,
    /// A surrogate without its other half; the next part of a careless sender's text may have it.
    #[error("UCS-2 text has half of a surrogate pair, shown as U+FFFD")]
    HalfPair,
    /// A half octet that is no digit, left out.
    #[error("address has a filler in place of a digit")]
    Filler,
    /// An address of a type that no phone number has, or longer than 20.
    #[error("address {0}")]
    Address(&'static str),
    /// The message type is reserved; such a message is read as a delivery.
    #[error("message type is reserved (3); read as SMS-DELIVER, as the standard asks")]
    ReservedType,
    /// The alphabet is reserved; read as GSM 7-bit.
    #[error("data coding {0:#04x} is reserved; read as GSM 7-bit")]
    ReservedCoding(u8),
    /// A national language that has no table.
    #[error("national language {0} has no such table; read with the default one")]
    NoSuchLanguage(u8),
}

impl Flaw {
    /// What was read may be less than what was sent, or another sender's: good for a person's eyes, not to be acted upon. A weight that
    /// lost its last digit is still a weight.
    #[must_use]
    pub const fn loses(&self) -> bool {
        matches!(
            self,
            Self::UserDataCut { .. }
                | Self::Trailing(_)
                | Self::Header(_)
                | Self::HalfCharacter
                | Self::Filler
        )
    }
}

/// Why octets are no message that this codec reads or writes.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PduError {
    /// Not hexadecimal.
    #[error(
        "not hexadecimal: character {position} is {found:?}; expected pairs of 0-9 and A-F, such as 07917283010010F5"
    )]
    NotHex {
        /// The character, from 1.
        position: usize,
        /// What stands there.
        found: char,
    },
    /// Half an octet at the end.
    #[error("{0} hexadecimal digits make no whole octets; one is missing or too many")]
    OddHex(usize),
    /// More than any message has.
    #[error("{0} octets; a message has at most {MOST_OCTETS}")]
    TooLong(usize),
    /// The octets end inside a field.
    #[error("ends inside the {field} at octet {at}: {wanted} octets wanted, {left} left")]
    Ends {
        /// The field.
        field: &'static str,
        /// Where it begins.
        at: usize,
        /// What it needs.
        wanted: usize,
        /// What is left.
        left: usize,
    },
    /// A kind of message that only travels between phone and network.
    #[error(
        "message type {0} in this direction is no SMS-DELIVER, SMS-SUBMIT or SMS-STATUS-REPORT"
    )]
    OtherType(u8),
    /// A flaw, read strictly.
    #[error("{0}")]
    Flawed(#[from] Flaw),
    /// A field whose value cannot be written.
    #[error("{field}: {why}")]
    Field {
        /// The field.
        field: &'static str,
        /// What is wrong and what was expected.
        why: String,
    },
    /// A text that does not fit beside its header.
    #[error(
        "the text takes {wanted} {unit}; one message has room for {room} here: send it in parts"
    )]
    TextTooLong {
        /// What it needs.
        wanted: usize,
        /// What there is.
        room: usize,
        /// `septets` or `octets`.
        unit: &'static str,
    },
    /// A character that the named alphabet lacks.
    #[error(transparent)]
    NotInAlphabet(#[from] NotInAlphabet),
}

/// One short message of any of the three kinds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Tpdu {
    /// Service centre to phone.
    Deliver(Deliver),
    /// Phone to service centre.
    Submit(Submit),
    /// What became of a submitted message.
    StatusReport(StatusReport),
}

/// A short message with the service centre's address in front, as modems exchange it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pdu {
    /// The service centre; `None` lets the SIM's own be used.
    pub smsc: Option<Address>,
    /// The message.
    pub tpdu: Tpdu,
}

/// A value and what was wrong with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Read<T> {
    /// What could be read.
    pub value: T,
    /// In the order of the octets; always empty when read strictly.
    pub flaws: Vec<Flaw>,
}

/// Reads hexadecimal digits, spaces and line ends between them allowed.
///
/// # Errors
/// Another character, half an octet, or more octets than a message has.
pub fn octets(hex: &str) -> Result<Vec<u8>, PduError> {
    let mut digits = Vec::new();
    for (i, found) in hex.chars().enumerate() {
        match found.to_digit(16) {
            Some(digit) => digits.push(digit.to_le_bytes()[0]),
            None if found.is_whitespace() => (),
            None => {
                return Err(PduError::NotHex {
                    position: i + 1,
                    found,
                });
            }
        }
        if digits.len() > MOST_OCTETS * 2 {
            return Err(PduError::TooLong(hex.len() / 2));
        }
    }
    let (pairs, []) = digits.as_chunks::<2>() else {
        return Err(PduError::OddHex(digits.len()));
    };
    Ok(pairs.iter().map(|[high, low]| high << 4 | low).collect())
}

/// Upper-case hexadecimal digits, as a modem takes them.
#[must_use]
pub fn hex(octets: &[u8]) -> String {
    octets.iter().map(|octet| format!("{octet:02X}")).collect()
}

/// Reads a message with the service centre's address in front.
///
/// # Errors
/// See [`PduError`].
pub fn decode(octets: &[u8], reading: Reading) -> Result<Read<Pdu>, PduError> {
    let mut reader = Reader::new(octets, reading)?;
    let smsc = Address::read_smsc(&mut reader)?;
    let tpdu = read_tpdu(&mut reader)?;
    reader.finish()?;
    Ok(Read {
        value: Pdu { smsc, tpdu },
        flaws: reader.flaws(),
    })
}

/// Reads a message without the service centre's address.
///
/// # Errors
/// See [`PduError`].
pub fn decode_tpdu(octets: &[u8], reading: Reading) -> Result<Read<Tpdu>, PduError> {
    let mut reader = Reader::new(octets, reading)?;
    let tpdu = read_tpdu(&mut reader)?;
    reader.finish()?;
    Ok(Read {
        value: tpdu,
        flaws: reader.flaws(),
    })
}

/// The message type is the low two bits of the first octet (TS 23.040 clause 9.2.3.1). In a phone's storage 0 is a delivery,
/// 1 a submission, 2 a status report.
fn read_tpdu(reader: &mut Reader<'_>) -> Result<Tpdu, PduError> {
    let first = reader.octet("first octet")?;
    match first & 0b11 {
        0b01 => Submit::read(first, reader).map(Tpdu::Submit),
        0b10 => StatusReport::read(first, reader).map(Tpdu::StatusReport),
        kind => {
            if kind == 0b11 {
                reader.flaw(Flaw::ReservedType)?;
            }
            Deliver::read(first, reader).map(Tpdu::Deliver)
        }
    }
}

impl Tpdu {
    /// The message's octets, without the service centre's address.
    ///
    /// # Errors
    /// A field that cannot be written, or a text that does not fit.
    pub fn encode(&self) -> Result<Vec<u8>, PduError> {
        match self {
            Self::Deliver(deliver) => deliver.encode(),
            Self::Submit(submit) => submit.encode(),
            Self::StatusReport(report) => report.encode(),
        }
    }
}

impl Pdu {
    /// The message's octets with the service centre's address in front, and the length that `AT+CMGS` asks for: octets
    /// without that address (3GPP TS 27.005 clause 4.3).
    ///
    /// # Errors
    /// As for [`Tpdu::encode`].
    pub fn encode(&self) -> Result<(Vec<u8>, usize), PduError> {
        let mut octets = Address::write_smsc(self.smsc.as_ref())?;
        let tpdu = self.tpdu.encode()?;
        octets.extend(&tpdu);
        Ok((octets, tpdu.len()))
    }
}
