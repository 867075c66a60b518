//! Fields of SMPP bodies (SMPP 3.4 clause 3.1): C-octet strings with their longest lengths, octets, addresses.
//!
//! Does not know commands.

use crate::links::address::NumberType;

/// Longest strings that we write, with the closing NUL (SMPP 3.4 clause 5.2).
pub mod longest {
    /// `system_id`.
    pub const SYSTEM_ID: usize = 16;
    /// `password`.
    pub const PASSWORD: usize = 9;
    /// `system_type`.
    pub const SYSTEM_TYPE: usize = 13;
    /// `address_range`.
    pub const ADDRESS_RANGE: usize = 41;
    /// Addresses.
    pub const ADDRESS: usize = 21;
    /// Addresses of `data_sm`.
    pub const DATA_ADDRESS: usize = 65;
    /// `service_type`.
    pub const SERVICE_TYPE: usize = 6;
    /// `message_id`.
    pub const MESSAGE_ID: usize = 65;
    /// `schedule_delivery_time` and `validity_period`.
    pub const TIME: usize = 17;
    /// `short_message`, which has no NUL.
    pub const SHORT_MESSAGE: usize = 254;
}

/// Message centres write ids and addresses longer than the standard allows; up to here they are believed.
const READ_MOST: usize = 256;

/// A field that cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FieldError {
    /// The body ends inside it.
    #[error("the body ends inside {0}")]
    Short(&'static str),
    /// No NUL where one must be.
    #[error("{0} has no end")]
    Endless(&'static str),
    /// More than the field's own length allows.
    #[error("{0} is longer than SMPP 3.4 allows")]
    Long(&'static str),
    /// A NUL inside a C-octet string, or a letter that is not ASCII.
    #[error("{0} has a character that SMPP cannot carry; expected ASCII")]
    Character(&'static str),
}

/// Reads fields in order.
#[derive(Clone, Copy, Debug)]
pub struct Fields<'a>(pub &'a [u8]);

impl<'a> Fields<'a> {
    /// One octet.
    ///
    /// # Errors
    /// At the end of the body.
    pub fn octet(&mut self, name: &'static str) -> Result<u8, FieldError> {
        let (first, rest) = self.0.split_first().ok_or(FieldError::Short(name))?;
        self.0 = rest;
        Ok(*first)
    }

    /// So many octets.
    ///
    /// # Errors
    /// At the end of the body.
    pub fn octets(&mut self, name: &'static str, many: usize) -> Result<&'a [u8], FieldError> {
        let (taken, rest) = self
            .0
            .split_at_checked(many)
            .ok_or(FieldError::Short(name))?;
        self.0 = rest;
        Ok(taken)
    }

    /// A C-octet string. Octets beyond ASCII are read as Latin-1, so that nothing that came is lost.
    ///
    /// # Errors
    /// Without a NUL in reach.
    pub fn string(&mut self, name: &'static str) -> Result<String, FieldError> {
        let reach = self.0.get(..READ_MOST).unwrap_or(self.0);
        let end = reach
            .iter()
            .position(|b| *b == 0)
            .ok_or(FieldError::Endless(name))?;
        let taken = self.octets(name, end)?;
        self.octet(name)?;
        Ok(taken.iter().map(|b| char::from(*b)).collect())
    }

    /// A string that a short answer may leave out altogether.
    ///
    /// # Errors
    /// Where there is something, but no string.
    pub fn string_if_any(&mut self, name: &'static str) -> Result<String, FieldError> {
        if self.0.is_empty() {
            return Ok(String::new());
        }
        self.string(name)
    }
}

/// Writes a C-octet string of at most `most` octets, NUL included.
///
/// # Errors
/// Too long, or not ASCII.
pub fn put(
    out: &mut Vec<u8>,
    name: &'static str,
    text: &str,
    most: usize,
) -> Result<(), FieldError> {
    if !text.is_ascii() || text.contains('\0') {
        return Err(FieldError::Character(name));
    }
    if text.len() >= most {
        return Err(FieldError::Long(name));
    }
    out.extend(text.as_bytes());
    out.push(0);
    Ok(())
}

/// An address: type of number, numbering plan, digits or name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Address {
    /// Type of number (clause 5.2.5).
    pub ton: u8,
    /// Numbering plan (clause 5.2.6).
    pub npi: u8,
    /// As written.
    pub digits: String,
}

impl Address {
    /// How its digits are to be read.
    #[must_use]
    pub const fn kind(&self) -> NumberType {
        match self.ton {
            1 => NumberType::International,
            2 => NumberType::National,
            3 | 4 | 6 => NumberType::Network,
            5 => NumberType::Alphanumeric,
            _ => NumberType::Unknown,
        }
    }

    pub(crate) fn read(fields: &mut Fields<'_>, name: &'static str) -> Result<Self, FieldError> {
        Ok(Self {
            ton: fields.octet(name)?,
            npi: fields.octet(name)?,
            digits: fields.string(name)?,
        })
    }

    pub(crate) fn write(
        &self,
        out: &mut Vec<u8>,
        name: &'static str,
        most: usize,
    ) -> Result<(), FieldError> {
        out.extend([self.ton, self.npi]);
        put(out, name, &self.digits, most)
    }
}
