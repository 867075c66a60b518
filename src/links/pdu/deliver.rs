//! SMS-DELIVER: a message from the service centre to the phone (3GPP TS 23.040 clause 9.2.2.1).
//!
//! Does not know who the sender is or what the text means.

use crate::links::pdu::Flaw;
use crate::links::pdu::PduError;
use crate::links::pdu::address::Address;
use crate::links::pdu::content::Content;
use crate::links::pdu::dcs::Dcs;
use crate::links::pdu::hex;
use crate::links::pdu::reader::Reader;
use crate::links::pdu::stamp::Stamp;

/// A delivered message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Deliver {
    /// The service centre has more for this phone. On the wire the bit says the contrary.
    pub more_to_come: bool,
    /// The message was forwarded and must not be again.
    pub loop_prevention: bool,
    /// The sender asked that the answer take the same service centre.
    pub reply_path: bool,
    /// The sender gets a status report.
    pub status_report: bool,
    /// The sender.
    pub from: Address,
    /// Protocol identifier.
    pub pid: u8,
    /// Data coding scheme.
    pub dcs: Dcs,
    /// When the service centre took the message.
    pub stamp: Stamp,
    /// The text or data.
    pub content: Content,
}

/// Bit 2, inverted, of deliveries and status reports: no more messages are waiting.
pub const NO_MORE: u8 = 0x04;
/// Bit 3 of deliveries and status reports.
pub const LOOP_PREVENTION: u8 = 0x08;
/// Bit 5: report asked for, given, or caused by a command.
pub const REPORT: u8 = 0x20;
/// Bit 6: the user data begin with a header.
pub const HEADER: u8 = 0x40;
/// Bit 7.
pub const REPLY_PATH: u8 = 0x80;

/// `bit` where `set`.
pub const fn bit(set: bool, bit: u8) -> u8 {
    if set { bit } else { 0 }
}

/// Reads a stamp; one that is no time is a flaw.
///
/// # Errors
/// The octets end; read strictly, no time.
pub fn read_stamp(reader: &mut Reader<'_>, field: &'static str) -> Result<Stamp, PduError> {
    let stamp = Stamp(reader.array(field)?);
    if stamp.moment().is_none() {
        reader.flaw(Flaw::NoTime(hex(&stamp.0)))?;
    }
    Ok(stamp)
}

impl Deliver {
    /// Reads what follows the first octet.
    ///
    /// # Errors
    /// See [`PduError`].
    pub fn read(first: u8, reader: &mut Reader<'_>) -> Result<Self, PduError> {
        let from = Address::read(reader, "originating address")?;
        let pid = reader.octet("protocol identifier")?;
        let dcs = Dcs(reader.octet("data coding scheme")?);
        let stamp = read_stamp(reader, "service centre time stamp")?;
        Ok(Self {
            more_to_come: first & NO_MORE == 0,
            loop_prevention: first & LOOP_PREVENTION != 0,
            reply_path: first & REPLY_PATH != 0,
            status_report: first & REPORT != 0,
            from,
            pid,
            dcs,
            stamp,
            content: Content::read(dcs, first & HEADER != 0, reader)?,
        })
    }

    /// The message's octets.
    ///
    /// # Errors
    /// A field that cannot be written.
    pub fn encode(&self) -> Result<Vec<u8>, PduError> {
        let first = bit(!self.more_to_come, NO_MORE)
            | bit(self.loop_prevention, LOOP_PREVENTION)
            | bit(self.status_report, REPORT)
            | bit(self.content.header.is_some(), HEADER)
            | bit(self.reply_path, REPLY_PATH);
        let from = self.from.write("originating address")?;
        let content = self.content.write()?;
        Ok([
            &[first],
            from.as_slice(),
            &[self.pid, self.dcs.0],
            &self.stamp.0,
            content.as_slice(),
        ]
        .concat())
    }
}
