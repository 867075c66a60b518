//! From the JSON of a short message to the message: the inverse of [`crate::cli::pdu::shown`].
//!
//! Where a field can be said in two ways, the octets win over words.

use crate::cli::pdu::fields::AddressField;
use crate::cli::pdu::fields::ShownElement;
use crate::cli::pdu::fields::ShownValidity;
use crate::cli::pdu::fields::StampField;
use crate::cli::pdu::shown::Shown;
use crate::links::gsm7;
use crate::links::gsm7::NotInAlphabet;
use crate::links::gsm7::fold::fold;
use crate::links::parts::Alphabet;
use crate::links::parts::Body;
use crate::links::parts::Concat;
use crate::links::parts::RefWidth;
use crate::links::pdu::Pdu;
use crate::links::pdu::PduError;
use crate::links::pdu::Tpdu;
use crate::links::pdu::address::Address;
use crate::links::pdu::address::TypeOfAddress;
use crate::links::pdu::content::Content;
use crate::links::pdu::dcs::Dcs;
use crate::links::pdu::deliver::Deliver;
use crate::links::pdu::header::Element;
use crate::links::pdu::header::Header;
use crate::links::pdu::octets;
use crate::links::pdu::report::Extra;
use crate::links::pdu::report::StatusReport;
use crate::links::pdu::stamp::Stamp;
use crate::links::pdu::status::Status;
use crate::links::pdu::submit::Submit;
use crate::links::pdu::validity::Validity;
use chrono::DateTime;
use chrono::TimeDelta;
use std::borrow::Cow;

/// Why JSON or flags make no message.
#[derive(Debug, thiserror::Error)]
pub enum NotBuilt {
    /// A field that the kind needs.
    #[error("{kind} needs \"{field}\"; expected {example}")]
    Missing {
        /// The kind of message.
        kind: String,
        /// The field.
        field: &'static str,
        /// What it could be.
        example: &'static str,
    },
    /// An unknown kind.
    #[error("kind {0:?} is not known; expected SMS-SUBMIT, SMS-DELIVER or SMS-STATUS-REPORT")]
    Kind(String),
    /// A time that is none, or does not fit seven octets.
    #[error("{0:?} is no time; expected one such as 2026-11-25T09:43:24+03:00, from 1970 to 2069")]
    Time(String),
    /// Hexadecimal of the wrong length.
    #[error("\"{field}\" is {got} octets; expected {wanted}")]
    Length {
        /// The field.
        field: &'static str,
        /// What it has.
        got: usize,
        /// What it needs.
        wanted: usize,
    },
    /// An address of nothing.
    #[error("{0:?} is no number and no name; expected one such as +255700000101, 40123 or ZIWANI")]
    Address(String),
    /// A period that cannot be written so.
    #[error(
        "validity {0}; expected minutes or seconds from 0, {{\"format\":\"absolute\",\"until\":\"2026-11-25T09:43:24+03:00\"}}, or octets"
    )]
    Validity(&'static str),
    /// Content that the data coding scheme cannot carry.
    #[error(
        "data coding {dcs} is of {alphabet}, and cannot carry \"{field}\"; leave \"dcs\" out, or expected {example}"
    )]
    Coding {
        /// The data coding scheme.
        dcs: u8,
        /// Its alphabet in words.
        alphabet: &'static str,
        /// `text` or `data`.
        field: &'static str,
        /// One that would do.
        example: &'static str,
    },
    /// A concatenation that cannot exist.
    #[error("part {part} of {total} does not exist; parts count from 1 and at most to the total")]
    Concat {
        /// The part.
        part: u8,
        /// The total.
        total: u8,
    },
    /// Hexadecimal or a field that cannot be written.
    #[error(transparent)]
    Pdu(#[from] PduError),
    /// A character outside the alphabet that the coding asks for.
    #[error(transparent)]
    NotInAlphabet(#[from] NotInAlphabet),
}

/// The message that `shown` describes.
///
/// # Errors
/// See [`NotBuilt`].
pub fn build(shown: &Shown) -> Result<Pdu, NotBuilt> {
    let smsc = shown.smsc.as_ref().map(address).transpose()?;
    let kind: String = shown.kind.to_ascii_uppercase().replace(['_', ' '], "-");
    let tpdu = match kind.trim_start_matches("SMS-") {
        "" if shown.to.is_some() => Tpdu::Submit(submit(shown)?),
        "SUBMIT" => Tpdu::Submit(submit(shown)?),
        "DELIVER" => Tpdu::Deliver(deliver(shown)?),
        "STATUS-REPORT" => Tpdu::StatusReport(report(shown)?),
        _ => return Err(NotBuilt::Kind(shown.kind.clone())),
    };
    Ok(Pdu { smsc, tpdu })
}

fn submit(shown: &Shown) -> Result<Submit, NotBuilt> {
    let (dcs, content) = content(shown)?;
    Ok(Submit {
        reject_duplicates: shown.reject_duplicates.unwrap_or_default(),
        reply_path: shown.reply_path.unwrap_or_default(),
        status_report: shown.status_report.unwrap_or_default(),
        reference: shown.reference.unwrap_or_default(),
        to: required(shown, "to", shown.to.as_ref(), NUMBER).and_then(address)?,
        pid: shown.pid.unwrap_or_default(),
        dcs,
        validity: shown
            .validity
            .as_ref()
            .map_or(Ok(Validity::Absent), validity)?,
        content,
    })
}

fn deliver(shown: &Shown) -> Result<Deliver, NotBuilt> {
    let (dcs, content) = content(shown)?;
    Ok(Deliver {
        more_to_come: shown.more_to_come.unwrap_or_default(),
        loop_prevention: shown.loop_prevention.unwrap_or_default(),
        reply_path: shown.reply_path.unwrap_or_default(),
        status_report: shown.status_report.unwrap_or_default(),
        from: required(shown, "from", shown.from.as_ref(), NUMBER).and_then(address)?,
        pid: shown.pid.unwrap_or_default(),
        dcs,
        stamp: stamp(required(
            shown,
            "timestamp",
            shown.timestamp.as_ref(),
            TIME,
        )?)?,
        content,
    })
}

fn report(shown: &Shown) -> Result<StatusReport, NotBuilt> {
    let submitted = stamp(required(
        shown,
        "timestamp",
        shown.timestamp.as_ref(),
        TIME,
    )?)?;
    let has_content = shown.text.is_some() || shown.data.is_some() || shown.udh.is_some();
    let has_extra =
        shown.has_extra == Some(true) || shown.pid.is_some() || shown.dcs.is_some() || has_content;
    let extra = Extra {
        pid: shown.pid,
        dcs: shown.dcs.map(Dcs),
        content: has_content
            .then(|| content(shown))
            .transpose()?
            .map(|(_, content)| content),
    };
    Ok(StatusReport {
        more_to_come: shown.more_to_come.unwrap_or_default(),
        loop_prevention: shown.loop_prevention.unwrap_or_default(),
        of_command: shown.of_command.unwrap_or_default(),
        reference: shown.reference.unwrap_or_default(),
        recipient: required(shown, "recipient", shown.recipient.as_ref(), NUMBER)
            .and_then(address)?,
        submitted,
        discharged: shown.discharged.as_ref().map_or(Ok(submitted), stamp)?,
        status: Status(shown.status.unwrap_or_default()),
        extra: has_extra.then_some(extra),
    })
}

const NUMBER: &str = "a number such as \"+255700000101\"";
const TIME: &str = "a time such as \"2026-11-25T09:43:24+03:00\"";

fn required<'a, T>(
    shown: &Shown,
    field: &'static str,
    value: Option<&'a T>,
    example: &'static str,
) -> Result<&'a T, NotBuilt> {
    value.ok_or_else(|| NotBuilt::Missing {
        kind: shown.kind.clone(),
        field,
        example,
    })
}

fn address(field: &AddressField) -> Result<Address, NotBuilt> {
    let plain = |number: &str| {
        let address = Address::plain(number);
        if address.value.is_empty() {
            return Err(NotBuilt::Address(number.to_owned()));
        }
        Ok(address)
    };
    match field {
        AddressField::Number(number) => plain(number),
        AddressField::Whole(whole) => match whole.toa.map(TypeOfAddress) {
            None => plain(&whole.number),
            Some(kind) => {
                let international = kind.is_international();
                let value = whole.number.strip_prefix('+').filter(|_| international);
                Ok(Address {
                    kind,
                    value: value.unwrap_or(&whole.number).to_owned(),
                })
            }
        },
    }
}

fn exactly<const N: usize>(hex: &str, field: &'static str) -> Result<[u8; N], NotBuilt> {
    let found = octets(hex)?;
    let got = found.len();
    found.try_into().map_err(|_| NotBuilt::Length {
        field,
        got,
        wanted: N,
    })
}

fn stamp(field: &StampField) -> Result<Stamp, NotBuilt> {
    let moment = match field {
        StampField::Moment(moment) => moment.clone(),
        StampField::Whole(whole) => {
            match (&whole.octets, whole.local.as_ref().or(whole.utc.as_ref())) {
                (Some(octets), _) => return Ok(Stamp(exactly(octets, "octets")?)),
                (None, moment) => moment.cloned().unwrap_or_default(),
            }
        }
    };
    let parsed = DateTime::parse_from_rfc3339(&moment).ok();
    parsed
        .and_then(|m| Stamp::of(m).ok())
        .ok_or(NotBuilt::Time(moment))
}

fn validity(shown: &ShownValidity) -> Result<Validity, NotBuilt> {
    if let Some(octets) = &shown.octets {
        return Ok(match shown.format.as_str() {
            "relative" => {
                Validity::Relative(u8::from_be_bytes(exactly(octets, "validity octets")?))
            }
            "enhanced" => Validity::Enhanced(exactly(octets, "validity octets")?),
            _ => Validity::Absolute(Stamp(exactly(octets, "validity octets")?)),
        });
    }
    if let Some(until) = &shown.until {
        return stamp(&StampField::Moment(until.clone())).map(Validity::Absolute);
    }
    let period = match (shown.minutes, shown.seconds) {
        (None, None) => return Err(NotBuilt::Validity("says no period and no moment")),
        (Some(minutes), None) => TimeDelta::try_minutes(minutes),
        (_, Some(seconds)) => TimeDelta::try_seconds(seconds),
    };
    let period = period
        .filter(|period| *period >= TimeDelta::zero())
        .ok_or(NotBuilt::Validity("is below nothing or beyond all time"))?;
    match shown.format.as_str() {
        "" | "relative" => Ok(Validity::at_least(period)),
        "enhanced" => Validity::enhanced(period, shown.single_shot)
            .ok_or(NotBuilt::Validity("is longer than 99:59:59")),
        _ => Err(NotBuilt::Validity("is of another format")),
    }
}

fn header(shown: &Shown) -> Result<Option<Header>, NotBuilt> {
    if let Some(udh) = &shown.udh {
        let read = |e: &ShownElement| octets(&e.hex).map(|data| Element { id: e.iei, data });
        let elements = udh.iter().map(read).collect::<Result<Vec<_>, _>>()?;
        return Ok(Some(Header { elements }));
    }
    let mut elements = Vec::new();
    if let Some(wanted) = shown.concatenation {
        let width = if wanted.bits == 16 {
            RefWidth::Sixteen
        } else {
            RefWidth::Eight
        };
        let (part, total) = (wanted.part, wanted.total);
        let concat = Concat::new(wanted.reference, width, total, part);
        let concat = concat.ok_or(NotBuilt::Concat { part, total })?;
        elements.extend(Header::concat(concat).elements);
    }
    if let Some(ports) = shown.ports {
        elements.push(Element::ports(ports.destination, ports.source));
    }
    Ok((!elements.is_empty()).then_some(Header { elements }))
}

/// Without a coding, the text's own alphabet decides, and typography does not cost it that.
fn content(shown: &Shown) -> Result<(Dcs, Content), NotBuilt> {
    let header = header(shown)?;
    let written = shown.text.as_deref().unwrap_or_default();
    let text = match (shown.dcs, shown.alphabet) {
        (None, None) => fold(written),
        _ => Cow::Borrowed(written),
    };
    let needed = match (&shown.data, shown.alphabet) {
        (Some(_), _) => Alphabet::Octets,
        (None, Some(alphabet)) => alphabet,
        (None, None) if gsm7::encode(&text).is_ok() => Alphabet::Gsm7,
        (None, None) => Alphabet::Ucs2,
    };
    let dcs = shown.dcs.map_or_else(|| Dcs::of(needed, shown.class), Dcs);
    let holds_octets = dcs.is_compressed() || dcs.alphabet() == Alphabet::Octets;
    let body = match &shown.data {
        Some(data) if holds_octets => Body::Octets(octets(data)?),
        Some(_) => return Err(refused(dcs, "data", "4")),
        None if dcs.is_compressed() && !text.is_empty() => {
            return Err(refused(dcs, "text", "0, or the octets as \"data\""));
        }
        None if holds_octets => Body::Octets(text.as_bytes().to_vec()),
        None if dcs.alphabet() == Alphabet::Gsm7 => {
            let shift = header.as_ref().map(|h| h.shift().0).unwrap_or_default();
            Body::Septets(gsm7::encode_with(&text, shift)?, shift)
        }
        None => Body::Units(text.encode_utf16().collect()),
    };
    Ok((dcs, Content { header, body }))
}

const fn refused(dcs: Dcs, field: &'static str, example: &'static str) -> NotBuilt {
    let alphabet = match dcs.alphabet() {
        _ if dcs.is_compressed() => "compressed text",
        Alphabet::Gsm7 => "GSM 7-bit text",
        Alphabet::Ucs2 => "UCS-2 text",
        Alphabet::Octets => "8-bit data",
    };
    NotBuilt::Coding {
        dcs: dcs.0,
        alphabet,
        field,
        example,
    }
}
