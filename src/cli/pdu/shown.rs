//! A short message as JSON: what an operator reads, and enough to write the same octets again.
//!
//! Octet-valued fields are numbers; what they mean stands beside them and is not read back.

use crate::cli::pdu::EncodeArgs;
use crate::cli::pdu::Kind;
use crate::cli::pdu::fields::AddressField;
use crate::cli::pdu::fields::ShownAddress;
use crate::cli::pdu::fields::ShownConcat;
use crate::cli::pdu::fields::ShownElement;
use crate::cli::pdu::fields::ShownPorts;
use crate::cli::pdu::fields::ShownStamp;
use crate::cli::pdu::fields::ShownValidity;
use crate::cli::pdu::fields::StampField;
use crate::links::parts::Alphabet;
use crate::links::parts::Body;
use crate::links::parts::Concat;
use crate::links::parts::RefWidth;
use crate::links::pdu::Flaw;
use crate::links::pdu::Tpdu;
use crate::links::pdu::address::Address;
use crate::links::pdu::content::Content;
use crate::links::pdu::dcs::Dcs;
use crate::links::pdu::header::Header;
use crate::links::pdu::hex;
use crate::links::pdu::stamp::Stamp;
use crate::links::pdu::validity::Validity;
use serde::Deserialize;
use serde::Serialize;

/// A short message. Fields that a kind does not have are left out.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Shown {
    /// `SMS-DELIVER`, `SMS-SUBMIT` or `SMS-STATUS-REPORT`.
    pub kind: String,
    /// The service centre.
    pub smsc: Option<AddressField>,
    /// Sender of a delivery.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<AddressField>,
    /// Receiver of a submission.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<AddressField>,
    /// Whom a report's message was for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recipient: Option<AddressField>,
    /// Message reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<u8>,
    /// When the service centre took the message.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub timestamp: Option<StampField>,
    /// When it was delivered or last tried.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub discharged: Option<StampField>,
    /// Status octet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub status: Option<u8>,
    /// What it means.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub status_meaning: Option<String>,
    /// `delivered`, `forwarded`, `trying`, `failed` or `given up`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outcome: Option<String>,
    /// More messages wait at the service centre.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub more_to_come: Option<bool>,
    /// Must not be forwarded again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loop_prevention: Option<bool>,
    /// The answer takes the same service centre.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reply_path: Option<bool>,
    /// A report is asked for, or will be given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub status_report: Option<bool>,
    /// A copy is refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reject_duplicates: Option<bool>,
    /// A report on a command.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of_command: Option<bool>,
    /// The report has an indicator of optional fields.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub has_extra: Option<bool>,
    /// Protocol identifier.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pid: Option<u8>,
    /// What it means.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pid_meaning: Option<String>,
    /// Data coding scheme.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dcs: Option<u8>,
    /// `gsm7`, `8bit` or `ucs2`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alphabet: Option<Alphabet>,
    /// Message class.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<u8>,
    /// The text is compressed and shown as data only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compressed: Option<bool>,
    /// What waits, where the message says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub message_waiting: Option<String>,
    /// Validity period.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub validity: Option<ShownValidity>,
    /// Header elements, in order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub udh: Option<Vec<ShownElement>>,
    /// Which part of which text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub concatenation: Option<ShownConcat>,
    /// Application ports.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ports: Option<ShownPorts>,
    /// The text; null for 8-bit or compressed data.
    pub text: Option<String>,
    /// The data after the header in hexadecimal, where there is no text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub data: Option<String>,
    /// What the standard does not allow.
    pub warnings: Vec<String>,
}

impl Shown {
    /// A message that was read.
    #[must_use]
    pub fn of(smsc: Option<&Address>, tpdu: &Tpdu, flaws: &[Flaw]) -> Self {
        let mut shown = Self {
            smsc: smsc.map(address),
            warnings: flaws.iter().map(ToString::to_string).collect(),
            ..Self::default()
        };
        match tpdu {
            Tpdu::Deliver(it) => {
                shown.kind = "SMS-DELIVER".to_owned();
                shown.from = Some(address(&it.from));
                shown.timestamp = Some(stamp(it.stamp));
                shown.more_to_come = Some(it.more_to_come);
                shown.loop_prevention = Some(it.loop_prevention);
                shown.reply_path = Some(it.reply_path);
                shown.status_report = Some(it.status_report);
                shown.coding(Some(it.pid), Some(it.dcs));
                shown.content(&it.content);
            }
            Tpdu::Submit(it) => {
                shown.kind = "SMS-SUBMIT".to_owned();
                shown.to = Some(address(&it.to));
                shown.reference = Some(it.reference);
                shown.reject_duplicates = Some(it.reject_duplicates);
                shown.reply_path = Some(it.reply_path);
                shown.status_report = Some(it.status_report);
                shown.validity = validity(it.validity);
                shown.coding(Some(it.pid), Some(it.dcs));
                shown.content(&it.content);
            }
            Tpdu::StatusReport(it) => {
                shown.kind = "SMS-STATUS-REPORT".to_owned();
                shown.recipient = Some(address(&it.recipient));
                shown.reference = Some(it.reference);
                shown.timestamp = Some(stamp(it.submitted));
                shown.discharged = Some(stamp(it.discharged));
                shown.status = Some(it.status.0);
                shown.status_meaning = Some(it.status.meaning().to_owned());
                shown.outcome = Some(it.status.fate().word().to_owned());
                shown.more_to_come = Some(it.more_to_come);
                shown.loop_prevention = Some(it.loop_prevention);
                shown.of_command = Some(it.of_command);
                if let Some(extra) = &it.extra {
                    shown.has_extra = Some(true);
                    shown.coding(extra.pid, extra.dcs);
                    extra.content.iter().for_each(|c| shown.content(c));
                }
            }
        }
        shown
    }

    /// A message that flags ask for.
    #[must_use]
    pub fn of_flags(args: &EncodeArgs, body: Option<&Body>, concat: Option<Concat>) -> Self {
        let number = |text: &Option<String>| text.clone().map(AddressField::Number);
        let moment = |text: &Option<String>| text.clone().map(StampField::Moment);
        let mut shown = Self {
            smsc: number(&args.smsc),
            reference: Some(args.reference),
            status_report: Some(args.report),
            timestamp: moment(&args.time),
            text: body.and_then(Body::text).or_else(|| args.text.clone()),
            dcs: body.map(|body| Dcs::of(body.alphabet(), args.class).0),
            class: args.class,
            udh: concat.map(|concat| elements(&Header::concat(concat))),
            ..Self::default()
        };
        match args.kind {
            Kind::Submit => {
                shown.kind = "SMS-SUBMIT".to_owned();
                shown.to = number(&args.to);
                shown.validity = args.validity.map(|minutes| ShownValidity {
                    minutes: Some(i64::from(minutes)),
                    ..ShownValidity::default()
                });
            }
            Kind::Deliver => {
                shown.kind = "SMS-DELIVER".to_owned();
                shown.from = number(&args.from);
            }
            Kind::StatusReport => {
                shown.kind = "SMS-STATUS-REPORT".to_owned();
                shown.recipient = number(&args.to);
                shown.discharged = moment(&args.discharged).or_else(|| moment(&args.time));
                shown.status = Some(args.status);
                shown.text = None;
            }
        }
        shown
    }

    fn coding(&mut self, pid: Option<u8>, dcs: Option<Dcs>) {
        self.pid = pid;
        self.pid_meaning = pid.map(|pid| pid_meaning(pid).to_owned());
        if let Some(dcs) = dcs {
            self.dcs = Some(dcs.0);
            self.alphabet = Some(dcs.alphabet());
            self.class = dcs.class();
            self.compressed = Some(dcs.is_compressed());
            self.message_waiting = dcs.waiting().map(|(waits, what)| {
                let state = if waits { "waiting" } else { "none waiting" };
                format!("{what}: {state}")
            });
        }
    }

    fn content(&mut self, content: &Content) {
        self.udh = content.header.as_ref().map(elements);
        self.concatenation = content.concatenation().map(|concat| ShownConcat {
            reference: concat.reference(),
            total: concat.total(),
            part: concat.part(),
            bits: if concat.width() == RefWidth::Eight {
                8
            } else {
                16
            },
        });
        self.ports =
            content
                .header
                .as_ref()
                .and_then(Header::ports)
                .map(|(destination, source)| ShownPorts {
                    destination,
                    source,
                });
        self.text = content.body.text();
        if let Body::Octets(octets) = &content.body {
            self.data = Some(hex(octets));
        }
    }
}

fn elements(header: &Header) -> Vec<ShownElement> {
    let shown = header.elements.iter().map(|element| ShownElement {
        iei: element.id,
        name: element.name().to_owned(),
        hex: hex(&element.data),
    });
    shown.collect()
}

fn address(address: &Address) -> AddressField {
    AddressField::Whole(ShownAddress {
        number: address.shown(),
        toa: Some(address.kind.0),
        kind: address.kind.number_type().to_owned(),
        plan: address.kind.plan().to_owned(),
    })
}

fn stamp(stamp: Stamp) -> StampField {
    let moment = stamp.moment();
    StampField::Whole(ShownStamp {
        local: moment.map(|m| m.format("%Y-%m-%dT%H:%M:%S%:z").to_string()),
        utc: moment.map(|m| m.to_utc().format("%Y-%m-%dT%H:%M:%SZ").to_string()),
        zone: moment.map(|m| m.offset().to_string()),
        octets: Some(hex(&stamp.0)),
    })
}

fn validity(validity: Validity) -> Option<ShownValidity> {
    let format = match validity {
        Validity::Absent => return None,
        Validity::Relative(_) => "relative",
        Validity::Enhanced(_) => "enhanced",
        Validity::Absolute(_) => "absolute",
    };
    let until = match validity {
        Validity::Absolute(stamp) => stamp.moment().map(|m| m.to_rfc3339()),
        _ => None,
    };
    Some(ShownValidity {
        format: format.to_owned(),
        octets: Some(hex(validity.octets())),
        minutes: validity.period().map(|period| period.num_minutes()),
        seconds: validity.period().map(|period| period.num_seconds()),
        until,
        single_shot: validity.single_shot(),
    })
}

/// Protocol identifier (3GPP TS 23.040 clause 9.2.3.9).
const fn pid_meaning(pid: u8) -> &'static str {
    match pid {
        0x00 => "plain",
        0x01..=0x1F => "phone to phone",
        0x20..=0x3F => "telematic interworking",
        0x40 => "type 0: acknowledged, not shown",
        0x41..=0x47 => "replaces a message of the same type",
        0x48 => "device triggering",
        0x5F => "return call",
        0x7C => "ANSI-136 R-DATA",
        0x7D => "ME data download",
        0x7E => "ME depersonalisation",
        0x7F => "SIM data download",
        0xC0..=0xFF => "service centre specific",
        _ => "reserved",
    }
}
