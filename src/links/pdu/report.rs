//! SMS-STATUS-REPORT: what became of a submitted message (3GPP TS 23.040 clause 9.2.2.3).
//!
//! Does not know which message of ours the reference stands for.

use crate::links::pdu::Flaw;
use crate::links::pdu::PduError;
use crate::links::pdu::address::Address;
use crate::links::pdu::content::Content;
use crate::links::pdu::dcs::Dcs;
use crate::links::pdu::deliver::HEADER;
use crate::links::pdu::deliver::LOOP_PREVENTION;
use crate::links::pdu::deliver::NO_MORE;
use crate::links::pdu::deliver::REPORT;
use crate::links::pdu::deliver::bit;
use crate::links::pdu::deliver::read_stamp;
use crate::links::pdu::reader::Reader;
use crate::links::pdu::stamp::Stamp;
use crate::links::pdu::status::Status;

const HAS_PID: u8 = 0x01;
const HAS_DCS: u8 = 0x02;
const HAS_CONTENT: u8 = 0x04;
const EXTENDED: u8 = 0x80;

/// A status report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StatusReport {
    /// The service centre has more for this phone.
    pub more_to_come: bool,
    /// The message was forwarded and must not be again.
    pub loop_prevention: bool,
    /// It answers a command, not a submission.
    pub of_command: bool,
    /// The reference of the message that it reports on.
    pub reference: u8,
    /// Whom that message was for.
    pub recipient: Address,
    /// When the service centre took that message.
    pub submitted: Stamp,
    /// When it was delivered, or last tried.
    pub discharged: Stamp,
    /// What became of it.
    pub status: Status,
    /// The optional fields, as the parameter indicator announced them.
    pub extra: Option<Extra>,
}

/// Optional fields of a status report.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Extra {
    /// Protocol identifier.
    pub pid: Option<u8>,
    /// Data coding scheme.
    pub dcs: Option<Dcs>,
    /// A text from the service centre.
    pub content: Option<Content>,
}

impl StatusReport {
    /// Reads what follows the first octet.
    ///
    /// # Errors
    /// See [`PduError`].
    pub fn read(first: u8, reader: &mut Reader<'_>) -> Result<Self, PduError> {
        Ok(Self {
            more_to_come: first & NO_MORE == 0,
            loop_prevention: first & LOOP_PREVENTION != 0,
            of_command: first & REPORT != 0,
            reference: reader.octet("message reference")?,
            recipient: Address::read(reader, "recipient address")?,
            submitted: read_stamp(reader, "service centre time stamp")?,
            discharged: read_stamp(reader, "discharge time")?,
            status: Status(reader.octet("status")?),
            extra: read_extra(first, reader)?,
        })
    }

    /// The message's octets.
    ///
    /// # Errors
    /// A field that cannot be written.
    pub fn encode(&self) -> Result<Vec<u8>, PduError> {
        let content = self.extra.as_ref().and_then(|extra| extra.content.as_ref());
        let first = 0b10
            | bit(!self.more_to_come, NO_MORE)
            | bit(self.loop_prevention, LOOP_PREVENTION)
            | bit(self.of_command, REPORT)
            | bit(content.is_some_and(|c| c.header.is_some()), HEADER);
        let mut octets = vec![first, self.reference];
        octets.extend(self.recipient.write("recipient address")?);
        octets.extend(self.submitted.0);
        octets.extend(self.discharged.0);
        octets.push(self.status.0);
        if let Some(extra) = &self.extra {
            octets.push(
                bit(extra.pid.is_some(), HAS_PID)
                    | bit(extra.dcs.is_some(), HAS_DCS)
                    | bit(content.is_some(), HAS_CONTENT),
            );
            octets.extend(extra.pid);
            octets.extend(extra.dcs.map(|dcs| dcs.0));
            octets.extend(content.map(Content::write).transpose()?.unwrap_or_default());
        }
        Ok(octets)
    }
}

/// Fields that an indicator announces but that are not there are a flaw: some modems pad reports.
fn read_extra(first: u8, reader: &mut Reader<'_>) -> Result<Option<Extra>, PduError> {
    if reader.left() == 0 {
        return Ok(None);
    }
    let indicator = reader.octet("parameter indicator")?;
    let mut last = indicator;
    while last & EXTENDED != 0 && reader.left() > 0 {
        last = reader.octet("parameter indicator")?;
    }
    let wanted = usize::from(
        (indicator & (HAS_PID | HAS_DCS | HAS_CONTENT))
            .count_ones()
            .to_le_bytes()[0],
    );
    if reader.left() < wanted {
        reader.flaw(Flaw::Header(
            "the report announces fields that it does not have",
        ))?;
        reader.up_to(wanted);
        return Ok(Some(Extra::default()));
    }
    let pid = (indicator & HAS_PID != 0)
        .then(|| reader.octet("protocol identifier"))
        .transpose()?;
    let dcs = (indicator & HAS_DCS != 0)
        .then(|| reader.octet("data coding scheme").map(Dcs))
        .transpose()?;
    let content = (indicator & HAS_CONTENT != 0)
        .then(|| Content::read(dcs.unwrap_or_default(), first & HEADER != 0, reader))
        .transpose()?;
    Ok(Some(Extra { pid, dcs, content }))
}
