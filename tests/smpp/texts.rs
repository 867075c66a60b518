//! Texts out and in: alphabets, parts, addresses, by profile.

use crate::codec::{address, octets};
use chrono::TimeDelta;
use clutchline::config::Link;
use clutchline::domain::phone::PhoneNumber;
use clutchline::links::gsm7::Shift;
use clutchline::links::parts::{Body, join};
use clutchline::links::smpp::incoming::{Incoming, read};
use clutchline::links::smpp::outgoing::{Piece, pieces};
use clutchline::links::smpp::pdu::ShortMessage;
use clutchline::links::smpp::profile::Profile;
use clutchline::links::smpp::tlv::{self, Tlv};
use proptest::prelude::*;

/// A profile from settings, as an operator would write them.
pub(crate) fn profile(change: impl FnOnce(&mut Link)) -> Profile {
    let mut link = Link {
        kind: "smpp".to_owned(),
        country: "255".to_owned(),
        ..Link::default()
    };
    link.smpp.address = "127.0.0.1:2775".to_owned();
    link.smpp.system_id = "ziwani".to_owned();
    link.smpp.source = "40123".to_owned();
    change(&mut link);
    link.smpp.profile(&link).unwrap()
}

pub(crate) fn phone() -> PhoneNumber {
    PhoneNumber::new("+255700000101").unwrap()
}

fn written(profile: &Profile, text: &str) -> Vec<Piece> {
    pieces(profile, &phone(), text, 0x0117, TimeDelta::days(2)).unwrap()
}

fn came(message: ShortMessage, tlvs: &[Tlv]) -> Incoming {
    let message = ShortMessage {
        source: address(1, 1, "255700000101"),
        destination: address(0, 1, "40123"),
        ..message
    };
    read(&profile(|_| ()), &message, tlvs)
}

fn text_of(data_coding: u8, text: &[u8]) -> Incoming {
    let text = text.to_vec();
    came(
        ShortMessage {
            data_coding,
            text,
            ..ShortMessage::default()
        },
        &[],
    )
}

fn is_text(said: &str) -> Incoming {
    Incoming::Text {
        from: phone(),
        text: said.to_owned(),
    }
}

/// The octets are those that npm smpp 0.5.1 sends for this text with `data_coding` 0.
#[test]
fn the_default_alphabet_goes_unpacked() {
    let piece = written(&profile(|_| ()), "MAZIWA 12 [€]").remove(0);
    assert_eq!(
        piece.message.text,
        octets("4d415a495741203132201b3c1b651b3e")
    );
    assert_eq!((piece.message.data_coding, piece.message.esm_class), (0, 0));
    assert_eq!(piece.message.destination, address(1, 1, "255700000101"));
    assert_eq!(piece.message.validity, "000002000000000R");
    assert_eq!(piece.message.registered_delivery, 1);
    assert!(piece.tlvs.is_empty());
}

#[test]
fn a_text_beyond_the_alphabet_goes_as_ucs2_and_typography_does_not_force_it() {
    let amharic = written(&profile(|_| ()), "ወተት").remove(0);
    assert_eq!(
        (amharic.message.data_coding, amharic.message.text),
        (8, octets("12c812701275"))
    );
    let curly = written(&profile(|_| ()), "ng\u{2019}ombe").remove(0);
    assert_eq!(
        (curly.message.data_coding, curly.message.text.as_slice()),
        (0, b"ng'ombe".as_slice())
    );
    let latin = profile(|link| link.smpp.send_as = "latin1".to_owned());
    let accented = written(&latin, "été").remove(0);
    assert_eq!(
        (accented.message.data_coding, accented.message.text),
        (3, vec![0xE9, b't', 0xE9])
    );
    let always = profile(|link| link.smpp.send_as = "ucs2".to_owned());
    assert_eq!(
        written(&always, "C4").remove(0).message.text,
        [0, b'C', 0, b'4']
    );
}

/// Limits of 3GPP TS 23.040 clause 9.2.3.24: 153 septets and 67 units beside an 8-bit reference, 152 and 66 beside one of 16 bits.
#[test]
fn long_texts_go_out_in_the_form_that_the_profile_names() {
    let text = "a".repeat(307);
    let by = |form: &str| written(&profile(|link| link.smpp.long_by = form.to_owned()), &text);
    let eight = by("udh8");
    let lengths: Vec<usize> = eight.iter().map(|p| p.message.text.len()).collect();
    assert_eq!(lengths, [159, 159, 7]);
    assert_eq!(eight[1].message.text[..6], octets("050003170302"));
    assert!(eight.iter().all(|p| p.message.esm_class == 0x40));
    let sixteen = by("udh16");
    assert_eq!(sixteen[0].message.text[..7], octets("06080401170301"));
    assert_eq!(sixteen[0].message.text.len(), 7 + 152);
    let sar = by("sar");
    assert!(
        sar.iter()
            .all(|p| p.message.esm_class == 0 && !p.message.text.is_empty())
    );
    let numbers = |p: &Piece, tag| tlv::number(&p.tlvs, tag);
    assert_eq!(numbers(&sar[2], tlv::SAR_REFERENCE), Some(0x0117));
    assert_eq!(
        (
            numbers(&sar[2], tlv::SAR_TOTAL),
            numbers(&sar[2], tlv::SAR_PART)
        ),
        (Some(3), Some(3))
    );
    let payload = by("payload");
    assert_eq!(payload.len(), 1);
    assert!(payload[0].message.text.is_empty());
    assert_eq!(
        tlv::find(&payload[0].tlvs, tlv::MESSAGE_PAYLOAD).map(<[u8]>::len),
        Some(307)
    );
}

#[test]
fn alphabets_are_read_as_the_data_coding_says() {
    assert_eq!(
        text_of(0, &octets("4d415a495741203132201b3c1b651b3e")),
        is_text("MAZIWA 12 [€]")
    );
    assert_eq!(
        text_of(0, &[0x00, 0x11]),
        is_text("@_"),
        "NUL is @ and no end"
    );
    assert_eq!(text_of(1, b"C4 12.5"), is_text("C4 12.5"));
    assert_eq!(text_of(3, &[0xE9]), is_text("é"));
    assert_eq!(text_of(8, &octets("12c812701275")), is_text("ወተት"));
    assert_eq!(
        text_of(8, &octets("fffe4300")),
        is_text("C"),
        "a mark says the order"
    );
    assert_eq!(text_of(0xF1, b"C4"), is_text("C4"), "a message class");
    assert!(
        matches!(text_of(4, b"C4"), Incoming::Unusable(_)),
        "octets are no letters"
    );
    assert!(
        matches!(text_of(0, &[0xE9]), Incoming::Unusable(_)),
        "the setting is wrong; nothing is guessed"
    );
}

#[test]
fn senders_that_are_no_phone_are_kept_aside() {
    let from = |ton, digits: &str| {
        let source = address(ton, 0, digits);
        let message = ShortMessage {
            source,
            text: b"C4".to_vec(),
            ..ShortMessage::default()
        };
        read(&profile(|_| ()), &message, &[])
    };
    for (ton, digits) in [
        (1, "255700000101"),
        (0, "+255700000101"),
        (2, "0700000101"),
        (0, "0700000101"),
        (1, "00255700000101"),
    ] {
        assert!(
            matches!(from(ton, digits), Incoming::Text { from, .. } if from == phone()),
            "{ton} {digits}"
        );
    }
    for (ton, digits) in [(5, "KILIMO"), (3, "40123"), (1, "40123"), (0, "")] {
        assert!(
            matches!(from(ton, digits), Incoming::Unusable(_)),
            "{ton} {digits}"
        );
    }
}

#[test]
fn acknowledgements_of_phones_are_neither_texts_nor_receipts() {
    let message = ShortMessage {
        esm_class: 0x08,
        text: b"ok".to_vec(),
        ..ShortMessage::default()
    };
    assert_eq!(came(message, &[]), Incoming::Acknowledgement);
}

#[test]
fn a_header_longer_than_its_message_is_unusable() {
    let message = ShortMessage {
        esm_class: 0x40,
        text: vec![9, 0, 3],
        ..ShortMessage::default()
    };
    assert!(matches!(came(message, &[]), Incoming::Unusable(_)));
}

/// Each of these, read all the same, could be another weight than the one that was sent.
#[test]
fn octets_that_do_not_fit_their_alphabet_or_header_are_kept_raw() {
    let half: Vec<u8> = "C4 12.5"
        .encode_utf16()
        .flat_map(u16::to_be_bytes)
        .collect();
    assert!(matches!(text_of(8, &half), Incoming::Text { .. }));
    for (coding, broken) in [
        (8, &half[..13]),
        (0xE0, &half[..13]),
        (0xF1, &[0x43, 0xB4]),
        (0xD0, &[0xB1]),
    ] {
        assert!(
            matches!(text_of(coding, broken), Incoming::Unusable(_)),
            "{coding:#x}"
        );
    }
    // The element of a concatenation that is longer than its header.
    let message = ShortMessage {
        esm_class: 0x40,
        text: [octets("0400041702"), b"C4 12".to_vec()].concat(),
        ..ShortMessage::default()
    };
    assert!(matches!(came(message, &[]), Incoming::Unusable(_)));
}

fn echo(profile: &Profile, piece: &Piece) -> Incoming {
    let message = ShortMessage {
        source: address(1, 1, "255700000101"),
        ..piece.message.clone()
    };
    read(profile, &message, &piece.tlvs)
}

proptest! {
    /// Whatever form a profile sends in, the same profile reads the same text.
    #[test]
    fn what_goes_out_comes_in(
        text in "[A-Za-z0-9 .@€\\[ŋé😀]{1,500}",
        form in prop::sample::select(vec!["udh8", "udh16", "sar", "payload"]),
        alphabet in prop::sample::select(vec!["default", "latin1", "ucs2"]),
    ) {
        let profile = profile(|link| {
            link.smpp.long_by = form.to_owned();
            link.smpp.send_as = alphabet.to_owned();
        });
        let mut bodies: Vec<Body> = Vec::new();
        for piece in pieces(&profile, &phone(), &text, 77, TimeDelta::hours(1)).unwrap() {
            match echo(&profile, &piece) {
                Incoming::Text { text, .. } => bodies.push(Body::Units(text.encode_utf16().collect())),
                Incoming::Part { body, concat, .. } => {
                    prop_assert_eq!(usize::from(concat.part()), bodies.len() + 1);
                    bodies.push(body);
                }
                other => return Err(TestCaseError::fail(format!("{other:?}"))),
            }
        }
        prop_assert_eq!(join(&bodies), Some(text));
    }

    #[test]
    fn no_message_makes_reading_panic(
        esm_class in any::<u8>(), data_coding in any::<u8>(), text in proptest::collection::vec(any::<u8>(), 0..80),
        service in prop::sample::select(vec!["", "USSD"]), ton in 0u8..8, digits in "[0-9+A-Z]{0,14}",
        tlvs in proptest::collection::vec((prop::sample::select(vec![0x020C_u16, 0x020E, 0x020F, 0x0424, 0x001E, 0x0427, 0x0423, 0x0501, 0x1383]), proptest::collection::vec(any::<u8>(), 0..4)), 0..6),
    ) {
        let tlvs: Vec<Tlv> = tlvs.into_iter().map(|(tag, value)| Tlv { tag, value }).collect();
        let message = ShortMessage {
            service_type: service.to_owned(), source: address(ton, 1, &digits), esm_class, data_coding, text,
            ..ShortMessage::default()
        };
        let _ = read(&profile(|_| ()), &message, &tlvs);
    }
}

/// 3GPP TS 23.038: a text in national tables says so in its header; `Buenos d` and a Spanish `í` are a published example of PyPI gsmcodecs.
#[test]
fn national_tables_in_the_header_are_read() {
    let message = ShortMessage {
        esm_class: 0x40,
        text: [octets("03240102"), b"Buenos d\x1bias".to_vec()].concat(),
        ..ShortMessage::default()
    };
    assert_eq!(came(message, &[]), is_text("Buenos días"));
    assert_eq!(Shift::default().single, 0);
}
