//! What a modem's messages mean, and how a text is written for it.

use crate::bench::at;
use crate::sim;
use chrono::{DateTime, TimeDelta};
use clutchline::config::Link;
use clutchline::domain::message::LinkName;
use clutchline::domain::phone::PhoneNumber;
use clutchline::links::keeping::Keeping;
use clutchline::links::modem::incoming::{Incoming, read, sent_id};
use clutchline::links::modem::outgoing::{Piece, pieces};
use clutchline::links::modem::profile::Profile;
use clutchline::links::parts::{Body, Concat, RefWidth};
use clutchline::links::pdu::validity::Validity;
use clutchline::links::pdu::{self, Reading, Tpdu};
use clutchline::store::delivery::DeliveryState;
use tempfile::tempdir;

fn profile(change: impl FnOnce(&mut Link)) -> Profile {
    let mut link = Link {
        kind: "modem".to_owned(),
        country: "255".to_owned(),
        ..Link::default()
    };
    link.modem.path = "/dev/ttyUSB0".to_owned();
    change(&mut link);
    link.modem.profile(&link).unwrap()
}

fn phone() -> PhoneNumber {
    PhoneNumber::new(&sim::number(101)).unwrap()
}

fn submit(piece: &Piece) -> pdu::submit::Submit {
    let octets = pdu::octets(&piece.hex).unwrap();
    assert_eq!(octets.len() - 1, piece.length, "no service centre in front");
    match pdu::decode(&octets, Reading::Strict).unwrap().value.tpdu {
        Tpdu::Submit(submit) => submit,
        other => panic!("a submission, not {other:?}"),
    }
}

/// 3GPP TS 23.040 clause 9.2.3.24.1 leaves 153 septets beside a header of 8-bit reference.
#[test]
fn a_text_is_written_in_as_many_parts_as_it_needs() {
    let worth = TimeDelta::hours(12);
    let profile = profile(|_| ());
    let one = pieces(&profile, &phone(), "C4: 12.5 g saved", 7, worth).unwrap();
    let [piece] = &one[..] else {
        panic!("one part")
    };
    let written = submit(piece);
    assert!(written.status_report && !piece.of_several);
    assert_eq!(written.to.shown(), phone().full());
    // Octet 143 is 12 hours (clause 9.2.3.12.1, from memory).
    assert_eq!(written.validity, Validity::Relative(143));
    let long = "a".repeat(161);
    let two = pieces(&profile, &phone(), &long, 7, worth).unwrap();
    let lengths: Vec<usize> = two
        .iter()
        .map(|piece| submit(piece).content.body.text().unwrap().len())
        .collect();
    assert_eq!(lengths, [153, 8]);
    assert!(two.iter().all(|piece| piece.of_several));
    let concat = submit(&two[1]).content.concatenation().unwrap();
    assert_eq!(
        (concat.reference(), concat.total(), concat.part()),
        (7, 2, 2)
    );
}

#[test]
fn what_the_settings_refuse_is_not_asked_for() {
    let profile = profile(|link| {
        link.modem.receipts = "no".to_owned();
        link.modem.validity = "no".to_owned();
    });
    let one = pieces(&profile, &phone(), "C4?", 7, TimeDelta::hours(1)).unwrap();
    let written = submit(&one[0]);
    assert!(!written.status_report);
    assert_eq!(written.validity, Validity::Absent);
}

/// Example C of the corpus in `tests/telecom`, agreed by three decoders: +27821234567, 2013-03-08 15:02:16 +02:00, "Test2".
#[test]
fn a_published_message_is_read_with_its_stamp() {
    let Incoming::Text {
        from, text, stamp, ..
    } = read("", sim::PUBLISHED, at(0))
    else {
        panic!("a text");
    };
    assert_eq!((from.full(), text.as_str()), ("+27821234567", "Test2"));
    let sent = DateTime::parse_from_rfc3339("2013-03-08T15:02:16+02:00").unwrap();
    assert_eq!(stamp, Some(sent.to_utc()));
}

#[test]
fn the_network_repeats_a_message_under_the_same_id_and_two_are_two() {
    let id = |hex: &str| match read("255", hex, at(0)) {
        Incoming::Text { id, .. } => id,
        other => panic!("a text, not {other:?}"),
    };
    let first = sim::text(101, "C4 12.5", at(0));
    // By another service centre, with more messages waiting.
    let again = first.replacen("07917283010010F5", "00", 1);
    let (smsc, rest) = again.split_at(2);
    let again = format!("{smsc}00{}", &rest[2..]);
    assert_ne!(first, again);
    assert_eq!(id(&first), id(&again));
    for other in [
        sim::text(101, "C4 12.5", at(1)),
        sim::text(102, "C4 12.5", at(0)),
        sim::text(101, "C4 12.6", at(0)),
    ] {
        assert_ne!(id(&first), id(&other));
    }
}

#[test]
fn senders_that_are_no_phone_and_broken_messages_are_kept_raw() {
    let unusable = |hex: &str| match read("255", hex, at(0)) {
        Incoming::Unusable { why, .. } => why,
        other => panic!("nothing, not {other:?}"),
    };
    assert!(unusable(&sim::text_from("40123", "buy", at(0))).contains("no phone"));
    assert!(unusable(&sim::text_from("Operator", "buy", at(0))).contains("no phone"));
    assert!(unusable("07917283010010F504").contains("ends"));
    assert!(unusable("zz").contains("hexadecimal"));
    // Example B of the corpus: our own copy.
    assert!(unusable("0011000B916407281553F80000AA0AE8329BFD4697D9EC37").contains("written here"));
}

/// "C4 12.5" without its last octet reads as "C4 12." and the next one as "C4 12": a weight that was never sent.
#[test]
fn a_message_that_lost_octets_is_kept_raw_and_not_acted_upon() {
    let whole = sim::text(101, "C4 12.5", at(0));
    assert!(matches!(read("255", &whole, at(0)), Incoming::Text { .. }));
    let cut = whole.get(..whole.len() - 2).unwrap();
    let filler = whole.replacen("527500", "52F500", 1);
    // Its length says two letters less than there are.
    let short = whole.replacen("07431A", "05431A", 1);
    for (broken, said) in [
        (cut, "cut short"),
        (&filler, "filler"),
        (&short, "after the end"),
    ] {
        let Incoming::Unusable { why, .. } = read("255", broken, at(0)) else {
            panic!("{broken}");
        };
        assert!(why.contains(said), "{why}");
    }
    // Half of a pair is not lost: the next part of the text has the other.
    let half = "07917283010010F5440C9152750000101000086211529034422108050003170201D83D";
    assert!(matches!(read("255", half, at(0)), Incoming::Part { .. }));
}

/// Status octets of TS 23.040 clause 9.2.3.15 (from memory).
#[test]
fn a_report_says_what_became_of_which_text() {
    let report = |status| match read(
        "255",
        &sim::report(17, &sim::number(101), status, at(0)),
        at(9),
    ) {
        Incoming::Report { ids, state, at } => (ids, state, at),
        other => panic!("a report, not {other:?}"),
    };
    let failed = |why: &str| DeliveryState::Failed {
        why: why.to_owned(),
    };
    for (status, expected) in [
        (0x00, DeliveryState::Delivered),
        (0x20, DeliveryState::OnItsWay),
        (0x41, failed("incompatible destination (0x41)")),
        (0x46, DeliveryState::Expired),
        (0x62, failed("no answer from the phone (0x62)")),
        // Reserved: the standard has a phone read them as "service rejected" (from memory).
        (0x05, failed("reserved (0x05)")),
        (0x2A, failed("reserved (0x2A)")),
    ] {
        assert_eq!(report(status).1, expected, "{status:#x}");
    }
    assert!(matches!(report(0x01).1, DeliveryState::Unknown { .. }));
    let (ids, _, when) = report(0);
    assert_eq!(when, Some(at(0)));
    // The national form and a clock that is hours off lead to the same text; another phone or reference does not.
    for (number, offset) in [
        ("0700000101", 0),
        ("255700000101", 11),
        ("+255700000101", -11),
    ] {
        let id = sent_id(17, number, at(0) + TimeDelta::hours(offset));
        assert!(ids.contains(&id), "{number} {offset}");
    }
    assert!(!ids.contains(&sent_id(18, &sim::number(101), at(0))));
    assert!(!ids.contains(&sent_id(17, &sim::number(102), at(0))));
    assert!(!ids.contains(&sent_id(17, &sim::number(101), at(0) + TimeDelta::days(2))));
}

#[test]
fn parts_that_lay_on_the_sim_are_joined_by_their_stamps_and_date_their_text() {
    let dir = tempdir().unwrap();
    let link = LinkName("north".to_owned());
    let part = |number, text: &str| {
        let concat = Concat::new(9, RefWidth::Eight, 2, number).unwrap();
        (concat, Body::Units(text.encode_utf16().collect()))
    };
    let (mut keeping, _) = Keeping::open(dir.path(), &link, at(90_000)).unwrap();
    let mut take = |(number, text, stamp): (u8, &str, i64)| {
        let times = (at(90_000), Some(at(stamp)));
        keeping
            .take(&phone(), "", part(number, text), times)
            .unwrap()
    };
    // All are read at once, a day later. The reference came round again within the hour.
    assert_eq!(take((1, "C4 12.5 ", 0)), None);
    assert_eq!(take((2, "C9 1", 3_600)), None, "another text's");
    let whole = take((1, "C8 2 ", 3_602)).unwrap();
    assert_eq!(whole.inbound.text, "C8 2 C9 1");
    assert_eq!(whole.inbound.sent_at, at(3_600));
    assert!(whole.inbound.sent_at_known && whole.inbound.to.is_none());
    drop(keeping);
    let (_, again) = Keeping::open(dir.path(), &link, at(90_060)).unwrap();
    let stamped = again.iter().find(|whole| whole.inbound.text == "C8 2 C9 1");
    assert_eq!(
        stamped.unwrap().inbound.sent_at,
        at(3_600),
        "after a crash too"
    );
}
