//! PDUs of SMPP 3.4 as values (clause 4): reading and writing, for a client in any of the three bindings.
//!
//! Unknown parameters are kept, and a broken tail of parameters does not take the message before it along. Does not know sessions or texts.

mod message;

use crate::links::smpp::fields::{Address, FieldError, Fields, longest, put};
use crate::links::smpp::frames::HEADER;
use crate::links::smpp::tlv::{self, Tlv};

pub use message::ShortMessage;

/// Version 3.4 in a bind.
pub const VERSION: u8 = 0x34;
/// Set in the id of every response.
const RESPONSE: u32 = 0x8000_0000;

/// In which direction a session carries texts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BindAs {
    /// Only from phones.
    Receiver,
    /// Only to phones.
    Transmitter,
    /// Both.
    Transceiver,
}

impl BindAs {
    const fn id(self) -> u32 {
        match self {
            Self::Receiver => 0x01,
            Self::Transmitter => 0x02,
            Self::Transceiver => 0x09,
        }
    }

    /// Its word for people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Receiver => "receiver",
            Self::Transmitter => "transmitter",
            Self::Transceiver => "transceiver",
        }
    }
}

/// Who binds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bind {
    /// The account.
    pub system_id: String,
    /// Its password, in clear on the wire.
    pub password: String,
    /// What kind of system; most message centres want it empty.
    pub system_type: String,
    /// The version.
    pub version: u8,
    /// Which numbers are served: type, plan and range.
    pub range: Address,
}

/// A `data_sm`: its text is in `message_payload`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DataMessage {
    /// `service_type`.
    pub service_type: String,
    /// From whom.
    pub source: Address,
    /// To whom.
    pub destination: Address,
    /// Kind of message and features.
    pub esm_class: u8,
    /// Which receipts are wanted.
    pub registered_delivery: u8,
    /// How the text is written.
    pub data_coding: u8,
}

/// What a PDU is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Body {
    /// A bind.
    Bind(BindAs, Bind),
    /// Its answer: the message centre's id.
    BindResp(BindAs, String),
    /// The message centre asks for a bind.
    Outbind(String),
    /// The end of a session.
    Unbind,
    /// Its answer.
    UnbindResp,
    /// Are you there?
    EnquireLink,
    /// Yes.
    EnquireLinkResp,
    /// What was sent is no PDU.
    GenericNack,
    /// A text to a phone.
    Submit(ShortMessage),
    /// The network's id of it.
    SubmitResp(String),
    /// A text from a phone, or a receipt.
    Deliver(ShortMessage),
    /// Its answer; the id is always empty.
    DeliverResp(String),
    /// Either, in the other form.
    Data(DataMessage),
    /// Its answer.
    DataResp(String),
    /// What became of a text?
    Query(String, Address),
    /// Id, final date, state, error.
    QueryResp(String, String, u8, u8),
    /// A phone is there again: nothing is to be answered.
    Alert,
    /// A command that this client does not know.
    Other(u32),
}

/// One PDU.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pdu {
    /// 0 in requests.
    pub status: u32,
    /// Pairs a response with its request.
    pub sequence: u32,
    /// What it is.
    pub body: Body,
    /// Optional parameters, in the order in which they came.
    pub tlvs: Vec<Tlv>,
}

/// The fixed part of a PDU.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// `command_id`.
    pub command: u32,
    /// `command_status`.
    pub status: u32,
    /// `sequence_number`.
    pub sequence: u32,
}

/// What was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadPdu {
    /// The PDU.
    pub pdu: Pdu,
    /// Octets at its end that are no parameters.
    pub broken_tail: Option<Vec<u8>>,
}

impl Head {
    /// The first sixteen octets; none where there are fewer.
    #[must_use]
    pub fn read(frame: &[u8]) -> Option<Self> {
        let (words, _) = frame.get(4..HEADER)?.as_chunks::<4>();
        let mut words = words.iter().map(|w| u32::from_be_bytes(*w));
        Some(Self {
            command: words.next()?,
            status: words.next()?,
            sequence: words.next()?,
        })
    }

    /// Whether it answers one of ours.
    #[must_use]
    pub const fn is_response(self) -> bool {
        self.command & RESPONSE != 0
    }
}

impl Body {
    /// Its `command_id`.
    #[must_use]
    pub const fn id(&self) -> u32 {
        match self {
            Self::Bind(how, _) => how.id(),
            Self::BindResp(how, _) => RESPONSE | how.id(),
            Self::Query(..) => 0x03,
            Self::QueryResp(..) => RESPONSE | 0x03,
            Self::Submit(_) => 0x04,
            Self::SubmitResp(_) => RESPONSE | 0x04,
            Self::Deliver(_) => 0x05,
            Self::DeliverResp(_) => RESPONSE | 0x05,
            Self::Unbind => 0x06,
            Self::UnbindResp => RESPONSE | 0x06,
            Self::Outbind(_) => 0x0B,
            Self::EnquireLink => 0x15,
            Self::EnquireLinkResp => RESPONSE | 0x15,
            Self::Alert => 0x102,
            Self::Data(_) => 0x103,
            Self::DataResp(_) => RESPONSE | 0x103,
            Self::GenericNack => RESPONSE,
            Self::Other(id) => *id,
        }
    }
}

impl Pdu {
    /// A request, or a response without an error.
    #[must_use]
    pub const fn new(sequence: u32, body: Body) -> Self {
        Self {
            status: 0,
            sequence,
            body,
            tlvs: Vec::new(),
        }
    }

    /// Reads one whole frame.
    ///
    /// # Errors
    /// Where a mandatory field cannot be read. An unknown command is [`Body::Other`].
    pub fn read(frame: &[u8]) -> Result<ReadPdu, FieldError> {
        let head = Head::read(frame).ok_or(FieldError::Short("the header"))?;
        let mut fields = Fields(frame.get(HEADER..).unwrap_or_default());
        let body = read_body(head, &mut fields)?;
        let carries_tlvs = !matches!(body, Body::Other(_) | Body::Alert);
        let (tlvs, broken_tail) = if carries_tlvs {
            tlv::read(fields.0)
        } else {
            (Vec::new(), None)
        };
        let pdu = Self {
            status: head.status,
            sequence: head.sequence,
            body,
            tlvs,
        };
        Ok(ReadPdu { pdu, broken_tail })
    }

    /// Writes it. A response with an error has no body, as most peers write it.
    ///
    /// # Errors
    /// Where a field is longer than the standard allows.
    pub fn write(&self) -> Result<Vec<u8>, FieldError> {
        let mut out = vec![0; 4];
        out.extend(self.body.id().to_be_bytes());
        out.extend(self.status.to_be_bytes());
        out.extend(self.sequence.to_be_bytes());
        let is_error = self.status != 0 && self.body.id() & RESPONSE != 0;
        if !is_error {
            write_body(&self.body, &mut out)?;
            for tlv in &self.tlvs {
                if tlv.value.len() > usize::from(u16::MAX) {
                    return Err(FieldError::Long("an optional parameter"));
                }
                tlv.write(&mut out);
            }
        }
        let length = u32::try_from(out.len()).map_err(|_| FieldError::Long("the PDU"))?;
        if let Some(head) = out.first_chunk_mut::<4>() {
            *head = length.to_be_bytes();
        }
        Ok(out)
    }
}

fn read_body(head: Head, fields: &mut Fields<'_>) -> Result<Body, FieldError> {
    let bound = |low: u32| match low {
        0x01 => BindAs::Receiver,
        0x02 => BindAs::Transmitter,
        _ => BindAs::Transceiver,
    };
    Ok(match head.command {
        0x01 | 0x02 | 0x09 => Body::Bind(bound(head.command), read_bind(fields)?),
        0x8000_0001 | 0x8000_0002 | 0x8000_0009 => Body::BindResp(
            bound(head.command & !RESPONSE),
            fields.string_if_any("system_id")?,
        ),
        0x03 => Body::Query(
            fields.string("message_id")?,
            Address::read(fields, "source_addr")?,
        ),
        0x8000_0003 if fields.0.is_empty() => Body::QueryResp(String::new(), String::new(), 0, 0),
        0x8000_0003 => Body::QueryResp(
            fields.string("message_id")?,
            fields.string("final_date")?,
            fields.octet("message_state")?,
            fields.octet("error_code")?,
        ),
        0x04 => Body::Submit(ShortMessage::read(fields)?),
        0x8000_0004 => Body::SubmitResp(fields.string_if_any("message_id")?),
        0x05 => Body::Deliver(ShortMessage::read(fields)?),
        0x8000_0005 => Body::DeliverResp(fields.string_if_any("message_id")?),
        0x06 => Body::Unbind,
        0x8000_0006 => Body::UnbindResp,
        0x0B => Body::Outbind(fields.string("system_id")?),
        0x15 => Body::EnquireLink,
        0x8000_0015 => Body::EnquireLinkResp,
        0x102 => Body::Alert,
        0x103 => Body::Data(read_data(fields)?),
        0x8000_0103 => Body::DataResp(fields.string_if_any("message_id")?),
        0x8000_0000 => Body::GenericNack,
        other => Body::Other(other),
    })
}

fn read_bind(fields: &mut Fields<'_>) -> Result<Bind, FieldError> {
    Ok(Bind {
        system_id: fields.string("system_id")?,
        password: fields.string("password")?,
        system_type: fields.string("system_type")?,
        version: fields.octet("interface_version")?,
        range: Address::read(fields, "address_range")?,
    })
}

fn read_data(fields: &mut Fields<'_>) -> Result<DataMessage, FieldError> {
    Ok(DataMessage {
        service_type: fields.string("service_type")?,
        source: Address::read(fields, "source_addr")?,
        destination: Address::read(fields, "destination_addr")?,
        esm_class: fields.octet("esm_class")?,
        registered_delivery: fields.octet("registered_delivery")?,
        data_coding: fields.octet("data_coding")?,
    })
}

fn write_body(body: &Body, out: &mut Vec<u8>) -> Result<(), FieldError> {
    match body {
        Body::Bind(_, bind) => {
            put(out, "system_id", &bind.system_id, longest::SYSTEM_ID)?;
            put(out, "password", &bind.password, longest::PASSWORD)?;
            put(out, "system_type", &bind.system_type, longest::SYSTEM_TYPE)?;
            out.push(bind.version);
            bind.range
                .write(out, "address_range", longest::ADDRESS_RANGE)
        }
        Body::BindResp(_, id) => put(out, "system_id", id, longest::SYSTEM_ID),
        Body::Outbind(id) => {
            put(out, "system_id", id, longest::SYSTEM_ID)?;
            put(out, "password", "", longest::PASSWORD)
        }
        Body::Submit(message) | Body::Deliver(message) => message.write(out),
        Body::SubmitResp(id) | Body::DeliverResp(id) | Body::DataResp(id) => {
            put(out, "message_id", id, longest::MESSAGE_ID)
        }
        Body::Query(id, source) => {
            put(out, "message_id", id, longest::MESSAGE_ID)?;
            source.write(out, "source_addr", longest::ADDRESS)
        }
        Body::QueryResp(id, date, state, error) => {
            put(out, "message_id", id, longest::MESSAGE_ID)?;
            put(out, "final_date", date, longest::TIME)?;
            out.extend([*state, *error]);
            Ok(())
        }
        Body::Data(data) => {
            put(
                out,
                "service_type",
                &data.service_type,
                longest::SERVICE_TYPE,
            )?;
            data.source
                .write(out, "source_addr", longest::DATA_ADDRESS)?;
            data.destination
                .write(out, "destination_addr", longest::DATA_ADDRESS)?;
            out.extend([data.esm_class, data.registered_delivery, data.data_coding]);
            Ok(())
        }
        Body::Unbind
        | Body::UnbindResp
        | Body::EnquireLink
        | Body::EnquireLinkResp
        | Body::GenericNack
        | Body::Alert
        | Body::Other(_) => Ok(()),
    }
}
