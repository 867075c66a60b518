//! Short messages: published examples, other decoders' readings, faults.

use chrono::TimeDelta;
use clutchline::links::parts::{Alphabet, RefWidth};
use clutchline::links::pdu::address::{Address, TypeOfAddress};
use clutchline::links::pdu::content::Content;
use clutchline::links::pdu::dcs::Dcs;
use clutchline::links::pdu::status::Fate;
use clutchline::links::pdu::submit::Submit;
use clutchline::links::pdu::validity::Validity;
use clutchline::links::pdu::{Flaw, Pdu, PduError, Reading, Tpdu, decode, hex, octets};
use proptest::prelude::*;

fn strictly(digits: &str) -> Pdu {
    decode(&octets(digits).unwrap(), Reading::Strict)
        .unwrap()
        .value
}

fn example(id: &str) -> Pdu {
    let row = include_str!("../reference/pdus.tsv")
        .lines()
        .find(|l| l.split('\t').next() == Some(id))
        .unwrap();
    strictly(row.split('\t').nth(2).unwrap())
}

fn content(pdu: &Pdu) -> &Content {
    match &pdu.tpdu {
        Tpdu::Deliver(it) => &it.content,
        Tpdu::Submit(it) => &it.content,
        Tpdu::StatusReport(_) => panic!("a report has no text here"),
    }
}

/// Each row's source stands in the file.
#[test]
fn published_examples_read_as_published_and_write_back() {
    let mut read = 0;
    for row in include_str!("../reference/pdus.tsv").lines().skip(1) {
        let [id, kind, digits, text, _source] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("{row}");
        };
        let pdu = strictly(digits);
        match &pdu.tpdu {
            Tpdu::StatusReport(_) => assert_eq!(kind, "SMS-STATUS-REPORT"),
            Tpdu::Deliver(_) => assert_eq!(kind, "SMS-DELIVER"),
            Tpdu::Submit(_) => assert_eq!(kind, "SMS-SUBMIT"),
        }
        if kind != "SMS-STATUS-REPORT" {
            assert_eq!(content(&pdu).body.text().as_deref(), Some(text), "{id}");
        }
        assert_eq!(hex(&pdu.encode().unwrap().0), digits.to_uppercase(), "{id}");
        read += 1;
    }
    assert_eq!(read, 10);
}

/// Fields as up to four other decoders read them (python-gsmmodem-new 0.13.0, smspdudecoder 2.2.0, python-messaging 0.5.13,
/// tshark 4.0.17).
#[test]
fn deliveries_show_sender_stamp_and_part() {
    let deliver = |id| match example(id).tpdu {
        Tpdu::Deliver(it) => it,
        other => panic!("{other:?}"),
    };
    let a = example("A");
    assert_eq!(a.smsc.unwrap().shown(), "+27381000015");
    let a = deliver("A");
    assert_eq!(
        (a.from.value.as_str(), a.from.kind.0),
        ("27838890001", 0xC8)
    );
    assert_eq!(
        (a.from.kind.number_type(), a.from.kind.plan()),
        ("subscriber", "national")
    );
    assert_eq!(
        a.stamp.moment().unwrap().to_rfc3339(),
        "1999-03-29T15:16:59+02:00"
    );
    assert_eq!(deliver("C").from.shown(), "+27821234567");
    assert_eq!(
        deliver("C").stamp.moment().unwrap().to_rfc3339(),
        "2013-03-08T15:02:16+02:00"
    );
    let l = deliver("L");
    assert_eq!(
        (l.from.shown().as_str(), l.from.kind),
        ("FRANCOIS", TypeOfAddress::NAME)
    );
    assert_eq!(
        l.stamp.moment().unwrap().to_utc().to_rfc3339(),
        "2007-04-13T07:25:42+00:00"
    );
    let m = deliver("M");
    let concat = m.content.concatenation().unwrap();
    assert_eq!(
        (
            concat.reference(),
            concat.width(),
            concat.part(),
            concat.total()
        ),
        (384, RefWidth::Sixteen, 1, 2)
    );
    assert_eq!(
        m.stamp.moment().unwrap().to_utc().to_rfc3339(),
        "2026-11-25T06:43:24+00:00"
    );
    let concat = deliver("N").content.concatenation().unwrap();
    assert_eq!(
        (
            concat.reference(),
            concat.width(),
            concat.part(),
            concat.total()
        ),
        (23, RefWidth::Eight, 1, 3)
    );
}

#[test]
fn submissions_and_reports_show_validity_and_status() {
    let Tpdu::Submit(b) = example("B").tpdu else {
        panic!()
    };
    assert_eq!(
        (b.to.shown().as_str(), b.validity.period()),
        ("+46708251358", Some(TimeDelta::days(4)))
    );
    assert_eq!(
        example("B").encode().unwrap().1,
        23,
        "the length that AT+CMGS asks for"
    );
    let Tpdu::Submit(k) = example("K").tpdu else {
        panic!()
    };
    assert_eq!(k.content.body.text().unwrap().chars().count(), 153);
    let Tpdu::StatusReport(i) = example("I").tpdu else {
        panic!()
    };
    assert_eq!(
        (i.reference, i.recipient.shown().as_str(), i.status.0),
        (214, "+31628870634", 0)
    );
    assert_eq!(
        i.submitted.moment().unwrap().to_rfc3339(),
        "2011-01-11T17:59:15+01:00"
    );
    assert_eq!(i.status.fate(), Fate::Delivered);
}

/// The example that modem manuals print for AT+CMGS; from PyPI python-gsmmodem-new's tests.
#[test]
fn a_submission_is_written_as_published() {
    let (dcs, content) = Content::of_text("Hello World!", None);
    let submit = Submit {
        reject_duplicates: false,
        reply_path: false,
        status_report: false,
        reference: 0,
        to: Address::plain("+27820001111"),
        pid: 0,
        dcs,
        validity: Validity::Absent,
        content,
    };
    let (octets, length) = Pdu {
        smsc: None,
        tpdu: Tpdu::Submit(submit),
    }
    .encode()
    .unwrap();
    assert_eq!(
        (hex(&octets).as_str(), length),
        ("0001000B917228001011F100000CC8329BFD065DDF72363904", 24)
    );
}

/// 3GPP TS 23.038 clause 4, group by group.
#[test]
fn data_coding_schemes_name_alphabet_class_and_waiting() {
    use Alphabet::{Gsm7, Octets, Ucs2};
    for (octet, alphabet, class, compressed, waiting) in [
        (0x00, Gsm7, None, false, None),
        (0x04, Octets, None, false, None),
        (0x08, Ucs2, None, false, None),
        (0x10, Gsm7, Some(0), false, None),
        (0x18, Ucs2, Some(0), false, None),
        (0x15, Octets, Some(1), false, None),
        (0x20, Gsm7, None, true, None),
        (0x4A, Ucs2, None, false, None),
        (0x5A, Ucs2, Some(2), false, None),
        (0xC8, Gsm7, None, false, Some((true, "voicemail"))),
        (0xD1, Gsm7, None, false, Some((false, "fax"))),
        (0xEA, Ucs2, None, false, Some((true, "email"))),
        (0xF1, Gsm7, Some(1), false, None),
        (0xF5, Octets, Some(1), false, None),
        (0xF0, Gsm7, Some(0), false, None),
    ] {
        let dcs = Dcs(octet);
        let read = (
            dcs.alphabet(),
            dcs.class(),
            dcs.is_compressed(),
            dcs.waiting(),
        );
        assert_eq!(read, (alphabet, class, compressed, waiting), "{octet:#04x}");
    }
    assert!(
        [0x0C, 0x80, 0xB7, 0xF8]
            .into_iter()
            .all(|octet| Dcs(octet).is_reserved())
    );
}

/// Broken messages of the tests of PyPI python-gsmmodem-new 0.13.0, and cuts of our own.
#[test]
fn broken_messages_are_refused_strictly_and_read_with_a_warning_leniently() {
    let cut = octets("0041010C910661345542F60008A0050003000301306F3044").unwrap();
    let read = decode(&cut, Reading::Lenient).unwrap();
    assert_eq!(content(&read.value).body.text().as_deref(), Some("はい"));
    let filler = Flaw::Filler;
    let cut_short = Flaw::UserDataCut {
        announced: 160,
        present: 10,
    };
    assert_eq!(read.flaws, [filler, Flaw::UserDataTooLong(160), cut_short]);
    assert!(matches!(
        decode(&cut, Reading::Strict),
        Err(PduError::Flawed(_))
    ));

    let zte = octets("0297F1061C0F910B487228297020F5317062419272803170624192138000").unwrap();
    assert!(matches!(
        decode(&zte, Reading::Lenient).unwrap().value.tpdu,
        Tpdu::StatusReport(_)
    ));
    assert!(matches!(
        octets("07917G"),
        Err(PduError::NotHex {
            position: 6,
            found: 'G'
        })
    ));
    assert_eq!(octets("079"), Err(PduError::OddHex(3)));
    assert!(matches!(
        decode(&[], Reading::Lenient),
        Err(PduError::Ends { .. })
    ));
    assert!(matches!(
        decode(&[0; 300], Reading::Lenient),
        Err(PduError::TooLong(300))
    ));
}

#[test]
fn every_cut_of_every_example_is_an_error_or_a_warning() {
    for row in include_str!("../reference/pdus.tsv").lines().skip(1) {
        let whole = octets(row.split('\t').nth(2).unwrap()).unwrap();
        for end in 0..whole.len() {
            let cut = &whole[..end];
            assert!(decode(cut, Reading::Strict).is_err(), "{row} at {end}");
            if let Ok(read) = decode(cut, Reading::Lenient) {
                assert!(!read.flaws.is_empty(), "{row} at {end}");
            }
        }
        let longer = [whole.as_slice(), &[0xAA]].concat();
        assert!(decode(&longer, Reading::Strict).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn no_octets_panic(octets in proptest::collection::vec(any::<u8>(), 0..200)) {
        let strict = decode(&octets, Reading::Strict);
        let lenient = decode(&octets, Reading::Lenient);
        if let Ok(strict) = strict {
            prop_assert_eq!(&strict, lenient.as_ref().unwrap());
        }
        if let Ok(read) = lenient {
            let _ = read.value.encode();
        }
    }

    #[test]
    fn a_changed_example_never_panics(row in 0_usize..10, at in any::<proptest::sample::Index>(), value in any::<u8>()) {
        let line = include_str!("../reference/pdus.tsv").lines().nth(row + 1).unwrap();
        let mut changed = octets(line.split('\t').nth(2).unwrap()).unwrap();
        let at = at.index(changed.len());
        changed[at] = value;
        if let Ok(read) = decode(&changed, Reading::Lenient)
            && let Ok((written, _)) = read.value.encode() {
            // What can be written again reads the same, apart from what was noted as a flaw.
            if let Ok(again) = decode(&written, Reading::Strict) {
                prop_assert_eq!(again.value, read.value);
            }
        }
    }

    #[test]
    fn any_text_survives_a_submission(text in "\\PC{0,70}", class in proptest::option::of(0_u8..4), report in any::<bool>(),
        validity in prop_oneof![Just(Validity::Absent), any::<u8>().prop_map(Validity::Relative),
            any::<[u8; 7]>().prop_map(Validity::Enhanced)], digits in "[0-9]{1,20}") {
        let (dcs, content) = Content::of_text(&text, class);
        prop_assume!(content.write().is_ok());
        let submit = Submit { reject_duplicates: !report, reply_path: report, status_report: report, reference: 9,
            to: Address { kind: TypeOfAddress::INTERNATIONAL, value: digits }, pid: 0x41, dcs, validity, content };
        let pdu = Pdu { smsc: Some(Address::plain("+255700000199")), tpdu: Tpdu::Submit(submit) };
        let (written, _) = pdu.encode().unwrap();
        let read = decode(&written, Reading::Strict).unwrap().value;
        prop_assert_eq!(&read, &pdu);
        let shown = content_text(&read);
        prop_assert_eq!(shown, text);
    }
}

fn content_text(pdu: &Pdu) -> String {
    content(pdu).body.text().unwrap()
}
