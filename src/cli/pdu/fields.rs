//! The parts of a short message's JSON: addresses, stamps, periods, header elements.
//!
//! Only their shape; [`crate::cli::pdu::shown`] fills them and [`mod@crate::cli::pdu::build`] reads them.

use serde::Deserialize;
use serde::Serialize;

/// An address: `number` carries a plus where its type is international.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ShownAddress {
    /// Number or name.
    pub number: String,
    /// Type-of-address octet; found from the number where it is missing.
    pub toa: Option<u8>,
    /// Type of number, in words.
    #[serde(rename = "type", default)]
    pub kind: String,
    /// Numbering plan, in words.
    #[serde(default)]
    pub plan: String,
}

/// An address as an object or, when writing, as its number alone.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(untagged)]
pub enum AddressField {
    /// As `decode` prints it.
    Whole(ShownAddress),
    /// A number, short code or name.
    Number(String),
}

/// A time stamp.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ShownStamp {
    /// With its zone, RFC 3339; null where the octets are no time.
    pub local: Option<String>,
    /// The same moment in UTC.
    pub utc: Option<String>,
    /// The zone, such as +03:00.
    pub zone: Option<String>,
    /// The seven octets; they win when writing.
    pub octets: Option<String>,
}

/// A time stamp as an object or, when writing, as RFC 3339.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(untagged)]
pub enum StampField {
    /// RFC 3339.
    Moment(String),
    /// As `decode` prints it.
    Whole(ShownStamp),
}

/// A validity period.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ShownValidity {
    /// `relative`, `enhanced` or `absolute`.
    pub format: String,
    /// Its octets; they win when writing.
    pub octets: Option<String>,
    /// The period, where it is one.
    pub minutes: Option<i64>,
    /// The same in seconds.
    pub seconds: Option<i64>,
    /// The moment, where it is one.
    pub until: Option<String>,
    /// One try only.
    pub single_shot: bool,
}

/// An information element.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ShownElement {
    /// Its identifier.
    pub iei: u8,
    /// What it is called.
    #[serde(default)]
    pub name: String,
    /// Its data in hexadecimal.
    pub hex: String,
}

/// Which part of which text.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct ShownConcat {
    /// What the parts share.
    pub reference: u16,
    /// How many there are.
    pub total: u8,
    /// Which one this is.
    pub part: u8,
    /// Width of the reference.
    #[serde(default = "eight")]
    pub bits: u8,
}

const fn eight() -> u8 {
    8
}

/// Application ports.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct ShownPorts {
    /// To.
    pub destination: u16,
    /// From.
    pub source: u16,
}
