//! SMS-SUBMIT: a message from the phone to the service centre (3GPP TS 23.040 clause 9.2.2.2).
//!
//! Does not know when or whether it is sent.

use crate::links::pdu::Flaw;
use crate::links::pdu::PduError;
use crate::links::pdu::address::Address;
use crate::links::pdu::content::Content;
use crate::links::pdu::dcs::Dcs;
use crate::links::pdu::deliver::HEADER;
use crate::links::pdu::deliver::REPLY_PATH;
use crate::links::pdu::deliver::REPORT;
use crate::links::pdu::deliver::bit;
use crate::links::pdu::hex;
use crate::links::pdu::reader::Reader;
use crate::links::pdu::validity::Validity;

/// Bit 2: the service centre is to refuse a second message with the same reference and destination.
const REJECT_DUPLICATES: u8 = 0x04;

/// A submitted message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Submit {
    /// The service centre is to refuse a copy.
    pub reject_duplicates: bool,
    /// The answer is to take the same service centre.
    pub reply_path: bool,
    /// A status report is asked for.
    pub status_report: bool,
    /// Message reference; most modems put their own.
    pub reference: u8,
    /// The receiver.
    pub to: Address,
    /// Protocol identifier.
    pub pid: u8,
    /// Data coding scheme.
    pub dcs: Dcs,
    /// How long the service centre tries.
    pub validity: Validity,
    /// The text or data.
    pub content: Content,
}

impl Submit {
    /// Reads what follows the first octet.
    ///
    /// # Errors
    /// See [`PduError`].
    pub fn read(first: u8, reader: &mut Reader<'_>) -> Result<Self, PduError> {
        let reference = reader.octet("message reference")?;
        let to = Address::read(reader, "destination address")?;
        let pid = reader.octet("protocol identifier")?;
        let dcs = Dcs(reader.octet("data coding scheme")?);
        let validity = Validity::read(first, reader)?;
        if let Validity::Absolute(until) = validity
            && until.moment().is_none()
        {
            reader.flaw(Flaw::NoTime(hex(&until.0)))?;
        }
        Ok(Self {
            reject_duplicates: first & REJECT_DUPLICATES != 0,
            reply_path: first & REPLY_PATH != 0,
            status_report: first & REPORT != 0,
            reference,
            to,
            pid,
            dcs,
            validity,
            content: Content::read(dcs, first & HEADER != 0, reader)?,
        })
    }

    /// The message's octets.
    ///
    /// # Errors
    /// A field that cannot be written.
    pub fn encode(&self) -> Result<Vec<u8>, PduError> {
        let first = 0b01
            | bit(self.reject_duplicates, REJECT_DUPLICATES)
            | self.validity.format_bits()
            | bit(self.status_report, REPORT)
            | bit(self.content.header.is_some(), HEADER)
            | bit(self.reply_path, REPLY_PATH);
        let to = self.to.write("destination address")?;
        let content = self.content.write()?;
        let head = [first, self.reference];
        let coding = [self.pid, self.dcs.0];
        Ok([
            &head,
            to.as_slice(),
            &coding,
            self.validity.octets(),
            content.as_slice(),
        ]
        .concat())
    }
}
