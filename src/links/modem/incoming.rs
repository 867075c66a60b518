//! What a message in a modem's storage is: a text, a part of one, a report on one of ours, a copy of ours, or nothing that can be used.
//!
//! Also under which name a report finds its text: the modem's reference is eight bits and comes round again, so the receiver and the time stand
//! beside it. Does not know who is a member, or what a text means.

use crate::domain::phone::PhoneNumber;
use crate::links::address::{Country, Party};
use crate::links::http::number::read_number;
use crate::links::parts::{Body, Concat};
use crate::links::pdu::address::Address;
use crate::links::pdu::deliver::Deliver;
use crate::links::pdu::report::StatusReport;
use crate::links::pdu::stamp::Stamp;
use crate::links::pdu::status::Fate;
use crate::links::pdu::{self, Flaw, Reading, Tpdu};
use crate::store::delivery::DeliveryState;
use chrono::{DateTime, TimeDelta, Utc};
use sha2::{Digest, Sha256};

/// A report is looked for among the texts of its half day, and of those before and after: service centres' clocks are off by hours at the worst.
const SPAN_S: i64 = 12 * 3_600;
/// Digits that tell a receiver whatever form the number is written in: the shortest subscriber numbers with their area (from memory).
const DIGITS_TOLD: usize = 8;

/// What came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Incoming {
    /// A whole text.
    Text {
        /// The same whenever the network delivers it again.
        id: String,
        /// Whose phone.
        from: PhoneNumber,
        /// Its text.
        text: String,
        /// When the service centre took it, where it says so.
        stamp: Option<DateTime<Utc>>,
    },
    /// A part of a text.
    Part {
        /// Whose phone.
        from: PhoneNumber,
        /// Which part.
        concat: Concat,
        /// What it carries.
        body: Body,
        /// When the service centre took it, where it says so.
        stamp: Option<DateTime<Utc>>,
    },
    /// A report on a text of ours.
    Report {
        /// The names under which its text may be known, likeliest first.
        ids: Vec<String>,
        /// What became of it.
        state: DeliveryState,
        /// When that was, where it says so.
        at: Option<DateTime<Utc>>,
    },
    /// Not for us, or not readable: to be kept raw.
    Unusable {
        /// Its octets, as far as they are.
        octets: Vec<u8>,
        /// Why.
        why: String,
    },
}

/// Reads one message in hexadecimal, with the service centre's address in front. `now` stands for a stamp that is no time.
#[must_use]
pub fn read(country: &str, hex: &str, now: DateTime<Utc>) -> Incoming {
    let octets = match pdu::octets(hex) {
        Ok(octets) => octets,
        Err(why) => {
            return Incoming::Unusable {
                octets: hex.as_bytes().to_vec(),
                why: why.to_string(),
            };
        }
    };
    let unusable = |why: String| Incoming::Unusable {
        octets: octets.clone(),
        why,
    };
    match pdu::decode(&octets, Reading::Lenient) {
        Err(why) => unusable(why.to_string()),
        Ok(read) => match read.value.tpdu {
            Tpdu::Deliver(_) if read.flaws.iter().any(Flaw::loses) => {
                let lost = read.flaws.iter().find(|flaw| flaw.loses());
                unusable(lost.map(ToString::to_string).unwrap_or_default())
            }
            Tpdu::Deliver(deliver) => {
                delivered(country, deliver, &octets).unwrap_or_else(|why| unusable(why.to_owned()))
            }
            Tpdu::StatusReport(report) => reported(&report, now),
            Tpdu::Submit(_) => unusable("a message that was written here, not received".to_owned()),
        },
    }
}

fn delivered(country: &str, deliver: Deliver, octets: &[u8]) -> Result<Incoming, &'static str> {
    let from =
        phone(country, &deliver.from).ok_or("the sender is no phone of this country's form")?;
    let stamp = moment(deliver.stamp);
    let concat = deliver.content.concatenation();
    let body = deliver.content.body;
    let text = body.text().ok_or("data without letters")?;
    Ok(match concat.filter(|concat| concat.total() > 1) {
        Some(concat) => Incoming::Part {
            from,
            concat,
            body,
            stamp,
        },
        None => Incoming::Text {
            id: id_of(octets),
            from,
            text,
            stamp,
        },
    })
}

/// Sender, stamp with zone, coding and content: what a service centre repeats when it delivers again. Its own address in front may change.
fn id_of(octets: &[u8]) -> String {
    let smsc = octets.first().map_or(0, |length| usize::from(*length) + 1);
    // The bits before the sender say whether more messages wait: they change.
    let rest = octets.get(smsc + 1..).unwrap_or_default();
    let hash = Sha256::digest(rest);
    let hash = hash.iter().take(16);
    hash.map(|octet| format!("{octet:02x}")).collect()
}

/// The phone of an address.
#[must_use]
pub fn phone(country: &str, address: &Address) -> Option<PhoneNumber> {
    let kind = address.kind;
    if kind.is_name() {
        return None;
    }
    if let Some(country) = Country::of_setting(country) {
        return match country.read(&address.value, kind.hint()) {
            Ok(Party::Phone(phone)) => Some(phone),
            Ok(Party::ShortCode(_) | Party::Name(_)) | Err(_) => None,
        };
    }
    // Eight digits or fewer are a short code, whatever type the service centre says.
    if kind.is_international() && address.value.len() > 8 {
        return PhoneNumber::new(&address.shown());
    }
    read_number(&address.value, country)
}

fn moment(stamp: Stamp) -> Option<DateTime<Utc>> {
    stamp.moment().map(|at| at.to_utc())
}

fn reported(report: &StatusReport, now: DateTime<Utc>) -> Incoming {
    let why = || format!("{} (0x{:02X})", report.status.meaning(), report.status.0);
    let state = match (report.status.fate(), report.status.0) {
        (_, 0x46) => DeliveryState::Expired,
        (Fate::Delivered, _) => DeliveryState::Delivered,
        (Fate::Forwarded, _) => DeliveryState::Unknown { why: why() },
        (Fate::Trying, _) => DeliveryState::OnItsWay,
        (Fate::Failed | Fate::GivenUp, _) => DeliveryState::Failed { why: why() },
    };
    let submitted = moment(report.submitted).unwrap_or(now);
    let name = |spans| {
        let at = submitted + TimeDelta::seconds(spans * SPAN_S);
        sent_id(report.reference, &report.recipient.value, at)
    };
    let ids = [0, -1, 1].map(name).to_vec();
    Incoming::Report {
        ids,
        state,
        at: moment(report.discharged),
    }
}

/// The name of a message that the network took at `at` under the modem's `reference`. The receiver stands in it as a checksum of the last digits.
#[must_use]
pub fn sent_id(reference: u8, to: &str, at: DateTime<Utc>) -> String {
    let digits: Vec<u8> = to.bytes().filter(u8::is_ascii_digit).collect();
    let from = digits.len().saturating_sub(DIGITS_TOLD);
    let told = crc32fast::hash(digits.get(from..).unwrap_or_default());
    let span = at.timestamp().div_euclid(SPAN_S);
    format!("{reference}-{told:08x}-{span}")
}
