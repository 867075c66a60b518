//! Receipts in every variation seen.

use crate::codec::address;
use crate::texts::profile;
use clutchline::links::smpp::incoming::{Incoming, read};
use clutchline::links::smpp::pdu::ShortMessage;
use clutchline::links::smpp::receipt::{Receipt, answer_id};
use clutchline::links::smpp::tlv::{self, Tlv};
use clutchline::store::delivery::DeliveryState;

fn receipt(esm_class: u8, data_coding: u8, text: &[u8], tlvs: &[Tlv]) -> Incoming {
    let message = ShortMessage {
        source: address(1, 1, "255700000101"),
        esm_class,
        data_coding,
        text: text.to_vec(),
        ..ShortMessage::default()
    };
    read(&profile(|_| ()), &message, tlvs)
}

fn by_text(text: &str) -> (Option<String>, DeliveryState) {
    match receipt(0x04, 0, text.as_bytes(), &[]) {
        Incoming::Receipt(Receipt { id, state, .. }) => (id, state),
        other => panic!("{text}: {other:?}"),
    }
}

/// Forms of SMPP 3.4 appendix B as seen in public questions and help pages: twelve digits, no text, other order, other case.
#[test]
fn texts_of_receipts_are_read_as_they_vary() {
    let failed = |why: &str| DeliveryState::Failed {
        why: why.to_owned(),
    };
    let cases = [
        (
            "id:40072910491427628 sub:001 dlvrd:001 submit date:1007291049 done date:1007291049 stat:DELIVRD err:000",
            "40072910491427628",
            DeliveryState::Delivered,
        ),
        (
            "id:0911897980 sub:001 dlvrd:000 submit date:091118103012 done date:091118103512 stat:UNDELIV err:075 text:-PROFILE",
            "911897980",
            failed("UNDELIV, error 075"),
        ),
        (
            "STAT:expired ERR:000 ID:ab-12-CD TEXT:none",
            "ab-12-cd",
            DeliveryState::Expired,
        ),
        ("id:7 stat:REJECTD err:0", "7", failed("REJECTD")),
        ("id:7 stat:DELETED", "7", failed("DELETED")),
        (
            "id:7 stat:ACCEPTD err:000 Text:stat:DELIVRD",
            "7",
            DeliveryState::OnItsWay,
        ),
        ("id:7 stat:ENROUTE", "7", DeliveryState::OnItsWay),
        (
            "id:7 stat:UNKNOWN",
            "7",
            DeliveryState::Unknown {
                why: "UNKNOWN".to_owned(),
            },
        ),
    ];
    for (text, id, state) in cases {
        assert_eq!(by_text(text), (Some(id.to_owned()), state), "{text}");
    }
    assert!(matches!(
        receipt(0x04, 0, b"all is well", &[]),
        Incoming::Unusable(_)
    ));
}

#[test]
fn only_the_bits_for_receipts_make_one() {
    let text = b"id:7 stat:DELIVRD";
    assert!(
        matches!(receipt(0x44, 0, text, &[]), Incoming::Receipt(_)),
        "with a header bit"
    );
    assert!(
        matches!(receipt(0x20, 0, text, &[]), Incoming::Receipt(_)),
        "on its way"
    );
    assert!(matches!(
        receipt(0x08, 0, text, &[]),
        Incoming::Acknowledgement
    ));
    assert!(
        matches!(receipt(0x00, 0, text, &[]), Incoming::Text { .. }),
        "somebody wrote it"
    );
    let units: Vec<u8> = "id:7 stat:DELIVRD"
        .encode_utf16()
        .flat_map(u16::to_be_bytes)
        .collect();
    assert!(
        matches!(receipt(0x04, 8, &units, &[]), Incoming::Receipt(_)),
        "in UCS-2"
    );
}

/// A reply to a receipt brings the next receipt, and so on: whole receipts are told even where the bits do not say so.
#[test]
fn a_receipt_that_is_not_marked_is_not_answered_as_a_text() {
    let text = "id:7 sub:001 dlvrd:001 submit date:1007291049 done date:1007291049 stat:DELIVRD err:000 text:";
    assert!(matches!(
        receipt(0x00, 0, text.as_bytes(), &[]),
        Incoming::Receipt(_)
    ));
    let tlvs = [
        Tlv {
            tag: tlv::RECEIPTED_MESSAGE_ID,
            value: b"77\0".to_vec(),
        },
        Tlv::octet(tlv::MESSAGE_STATE, 2),
    ];
    assert!(matches!(receipt(0x00, 0, b"", &tlvs), Incoming::Receipt(_)));
}

/// Message centres write receipts in ASCII: in the GSM 7-bit alphabet 0x5F is `§` and 0x40 `¡` (3GPP TS 23.038).
#[test]
fn an_id_of_any_ascii_signs_stays_as_it_is() {
    let (id, state) = by_text("id:a_1@b$2-[x] stat:DELIVRD err:000");
    assert_eq!(id.as_deref(), Some("a_1@b$2-[x]"));
    assert_eq!(state, DeliveryState::Delivered);
    let headed = [b"\x05\0\x03\x17\x01\x01".as_slice(), b"id:7 stat:DELIVRD"].concat();
    assert!(matches!(
        receipt(0x44, 0, &headed, &[]),
        Incoming::Receipt(Receipt { id: Some(id), .. }) if id == "7"
    ));
}

#[test]
fn a_receipt_by_parameters_alone_is_enough() {
    let tlvs = [
        Tlv {
            tag: tlv::RECEIPTED_MESSAGE_ID,
            value: b"77\0".to_vec(),
        },
        Tlv::octet(tlv::MESSAGE_STATE, 2),
    ];
    let expected = Receipt {
        id: Some("77".to_owned()),
        reference: None,
        state: DeliveryState::Delivered,
    };
    assert_eq!(receipt(0x04, 0, b"", &tlvs), Incoming::Receipt(expected));
}

#[test]
fn ids_written_in_two_ways_meet() {
    let profile = profile(|link| link.smpp.ids = "hex-decimal".to_owned());
    assert_eq!(answer_id("0000BEEF", profile.ids), "48879");
    let message = ShortMessage {
        esm_class: 0x04,
        text: b"id:0000048879 stat:DELIVRD".to_vec(),
        ..ShortMessage::default()
    };
    let Incoming::Receipt(said) = read(&profile, &message, &[]) else {
        panic!("a receipt")
    };
    assert_eq!(said.id.as_deref(), Some("48879"));
}
