//! The body that `submit_sm` and `deliver_sm` share (SMPP 3.4 clauses 4.4.1 and 4.6.1).
//!
//! Does not know alphabets.

use crate::links::smpp::fields::{Address, FieldError, Fields, longest, put};

/// The text begins with a user data header.
const HAS_HEADER: u8 = 0x40;
/// Bits 5 to 2 say what kind of message it is.
const KIND: u8 = 0x3C;

/// A text on its way, or a receipt.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ShortMessage {
    /// `service_type`, such as `USSD`.
    pub service_type: String,
    /// From whom.
    pub source: Address,
    /// To whom.
    pub destination: Address,
    /// Kind of message and features.
    pub esm_class: u8,
    /// Protocol identifier.
    pub protocol_id: u8,
    /// Priority.
    pub priority: u8,
    /// When it is to be sent; empty: at once.
    pub schedule: String,
    /// How long it is worth sending; empty: as long as the message centre likes.
    pub validity: String,
    /// Which receipts are wanted.
    pub registered_delivery: u8,
    /// Replace an earlier one.
    pub replace: u8,
    /// How the text is written.
    pub data_coding: u8,
    /// A text stored at the message centre.
    pub default_message: u8,
    /// The text's octets, at most 254.
    pub text: Vec<u8>,
}

impl ShortMessage {
    /// A delivery receipt: an acknowledgement of the phone's own (0x08, 0x10) is none, nor an intermediate notification (0x20), which says the
    /// same of a text that is still on its way.
    #[must_use]
    pub const fn is_receipt(&self) -> bool {
        self.esm_class & KIND == 0x04 || self.esm_class & KIND == 0x20
    }

    /// Neither a text nor a receipt: an acknowledgement that a phone gave by hand.
    #[must_use]
    pub const fn is_acknowledgement(&self) -> bool {
        matches!(self.esm_class & KIND, 0x08 | 0x10 | 0x18)
    }

    /// The text begins with a user data header.
    #[must_use]
    pub const fn has_header(&self) -> bool {
        self.esm_class & HAS_HEADER != 0
    }

    pub(crate) fn read(fields: &mut Fields<'_>) -> Result<Self, FieldError> {
        let mut message = Self {
            service_type: fields.string("service_type")?,
            source: Address::read(fields, "source_addr")?,
            destination: Address::read(fields, "destination_addr")?,
            esm_class: fields.octet("esm_class")?,
            protocol_id: fields.octet("protocol_id")?,
            priority: fields.octet("priority_flag")?,
            schedule: fields.string("schedule_delivery_time")?,
            validity: fields.string("validity_period")?,
            registered_delivery: fields.octet("registered_delivery")?,
            replace: fields.octet("replace_if_present_flag")?,
            data_coding: fields.octet("data_coding")?,
            default_message: fields.octet("sm_default_msg_id")?,
            text: Vec::new(),
        };
        let length = usize::from(fields.octet("sm_length")?);
        message.text = fields.octets("short_message", length)?.to_vec();
        Ok(message)
    }

    pub(crate) fn write(&self, out: &mut Vec<u8>) -> Result<(), FieldError> {
        put(
            out,
            "service_type",
            &self.service_type,
            longest::SERVICE_TYPE,
        )?;
        self.source.write(out, "source_addr", longest::ADDRESS)?;
        self.destination
            .write(out, "destination_addr", longest::ADDRESS)?;
        out.extend([self.esm_class, self.protocol_id, self.priority]);
        put(out, "schedule_delivery_time", &self.schedule, longest::TIME)?;
        put(out, "validity_period", &self.validity, longest::TIME)?;
        out.extend([
            self.registered_delivery,
            self.replace,
            self.data_coding,
            self.default_message,
        ]);
        if self.text.len() > longest::SHORT_MESSAGE {
            return Err(FieldError::Long("short_message"));
        }
        out.push(u8::try_from(self.text.len()).unwrap_or(u8::MAX));
        out.extend(&self.text);
        Ok(())
    }
}
