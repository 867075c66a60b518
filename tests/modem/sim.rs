//! Messages as a service centre would write them, for the scripted modem's storage.

use chrono::{DateTime, Utc};
use clutchline::links::parts::{Body, Concat, RefWidth};
use clutchline::links::pdu::address::Address;
use clutchline::links::pdu::content::Content;
use clutchline::links::pdu::deliver::Deliver;
use clutchline::links::pdu::report::StatusReport;
use clutchline::links::pdu::stamp::Stamp;
use clutchline::links::pdu::status::Status;
use clutchline::links::pdu::{self, Pdu, Tpdu};

/// From a source of worked examples (example C of the corpus in `tests/telecom`): +27821234567, 2013-03-08 15:02:16 +02:00, "Test2".
pub(crate) const PUBLISHED: &str = "06917228195339040B917228214365F700003130805120618005D4F29C2E03";

fn whole(tpdu: Tpdu) -> String {
    let smsc = Some(Address::plain("+27381000015"));
    let (octets, _) = Pdu { smsc, tpdu }.encode().unwrap();
    pdu::hex(&octets)
}

fn stamp(at: DateTime<Utc>) -> Stamp {
    Stamp::of(at.fixed_offset()).unwrap()
}

/// The phone `+2557000NNNNN`.
pub(crate) fn number(phone: u32) -> String {
    format!("+2557{phone:08}")
}

/// A text from a phone, taken by the centre at a moment.
pub(crate) fn text(phone: u32, text: &str, at: DateTime<Utc>) -> String {
    let (dcs, content) = Content::of_text(text, None);
    from(&number(phone), dcs, content, at)
}

/// A text from any address.
pub(crate) fn text_from(sender: &str, text: &str, at: DateTime<Utc>) -> String {
    let (dcs, content) = Content::of_text(text, None);
    from(sender, dcs, content, at)
}

/// A part of a text.
pub(crate) fn part(phone: u32, text: &str, [total, part]: [u8; 2], at: DateTime<Utc>) -> String {
    part_of(phone, text, [9, total, part], at)
}

/// A part of the text of that reference.
pub(crate) fn part_of(
    phone: u32,
    text: &str,
    [reference, total, part]: [u8; 3],
    at: DateTime<Utc>,
) -> String {
    let concat = Concat::new(u16::from(reference), RefWidth::Eight, total, part);
    let body = Body::Units(text.encode_utf16().collect());
    let (dcs, content) = Content::of_body(body, concat, None);
    from(&number(phone), dcs, content, at)
}

fn from(sender: &str, dcs: pdu::dcs::Dcs, content: Content, at: DateTime<Utc>) -> String {
    whole(Tpdu::Deliver(Deliver {
        more_to_come: false,
        loop_prevention: false,
        reply_path: false,
        status_report: false,
        from: Address::plain(sender),
        pid: 0,
        dcs,
        stamp: stamp(at),
        content,
    }))
}

/// A report on the message of that reference.
pub(crate) fn report(reference: u8, to: &str, status: u8, at: DateTime<Utc>) -> String {
    whole(Tpdu::StatusReport(StatusReport {
        more_to_come: false,
        loop_prevention: false,
        of_command: false,
        reference,
        recipient: Address::plain(to),
        submitted: stamp(at),
        discharged: stamp(at),
        status: Status(status),
        extra: None,
    }))
}

/// What a submitted message says, and to whom.
pub(crate) fn submitted(hex: &str) -> (String, String) {
    let octets = pdu::octets(hex).unwrap();
    let read = pdu::decode(&octets, pdu::Reading::Strict).unwrap();
    let Tpdu::Submit(submit) = read.value.tpdu else {
        panic!("a submission, not {read:?}");
    };
    let text = submit.content.body.text().unwrap();
    (submit.to.shown(), text)
}
