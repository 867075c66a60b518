//! What one account at one message centre wants: numbers, alphabets, long texts, receipts, USSD. The settings say it; nothing here is a carrier's own.
//!
//! Values only. Does not know settings files.

use crate::links::parts::RefWidth;
use crate::links::smpp::fields::Address;
use crate::links::smpp::pdu::Bind;
use crate::links::smpp::session::Limits;
use crate::links::smpp::ussd::UssdProfile;
use crate::links::ucs2::OctetOrder;

/// One session for both directions, or one for each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Binding {
    /// One.
    #[default]
    Transceiver,
    /// A transmitter and a receiver.
    Pair,
}

/// What `data_coding` 0 means at a message centre: SMPP leaves it open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Centre {
    /// GSM 7-bit, one septet in each octet.
    #[default]
    Gsm7,
    /// Latin-1.
    Latin1,
    /// ASCII.
    Ascii,
}

/// How a text goes out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Writing {
    /// In the message centre's own alphabet where it fits, else UCS-2.
    #[default]
    Default,
    /// Latin-1 (`data_coding` 3) where it fits, else UCS-2.
    Latin1,
    /// Always UCS-2.
    Ucs2,
}

/// How a text goes out that does not fit one message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Long {
    /// With a user data header.
    Header(RefWidth),
    /// With `sar` parameters.
    Sar,
    /// In one `message_payload`.
    Payload,
}

impl Default for Long {
    fn default() -> Self {
        Self::Header(RefWidth::Eight)
    }
}

/// How ids in answers and in receipts are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ids {
    /// The same in both.
    #[default]
    Same,
    /// Hexadecimal in answers, decimal in receipts.
    HexThenDecimal,
    /// Decimal in answers, hexadecimal in receipts.
    DecimalThenHex,
}

/// One account.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// `host:port`.
    pub address: String,
    /// One session or two.
    pub binding: Binding,
    /// Who binds.
    pub bind: Bind,
    /// Window and patience.
    pub limits: Limits,
    /// Texts a second.
    pub per_second: f64,
    /// The country of numbers written the national way; empty where none is set.
    pub country: String,
    /// Our own number, as sender.
    pub source: Address,
    /// Type of number of phones.
    pub destination_ton: u8,
    /// Numbering plan of phones.
    pub destination_npi: u8,
    /// `service_type` of texts.
    pub service_type: String,
    /// What `data_coding` 0 means.
    pub centre: Centre,
    /// How texts go out.
    pub writing: Writing,
    /// Which octet of a UCS-2 unit comes first, from the message centre.
    pub order: OctetOrder,
    /// How long texts go out.
    pub long: Long,
    /// 0 none, 1 every final receipt, 2 failures only.
    pub registered_delivery: u8,
    /// The text's own end of worth is told to the message centre.
    pub validity: bool,
    /// Our number of a text goes with it, so that a receipt can name a text whose answer was lost.
    pub reference: bool,
    /// How ids are written.
    pub ids: Ids,
    /// USSD dialogues.
    pub ussd: UssdProfile,
}
