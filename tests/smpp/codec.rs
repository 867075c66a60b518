//! PDUs against octets that two unrelated programs read as stated (Wireshark 4.0 and npm smpp 0.5.1), and nonsense of every kind.

use chrono::{DateTime, TimeDelta};
use clutchline::links::smpp::fields::{Address, FieldError};
use clutchline::links::smpp::pdu::{
    Bind, BindAs, Body, DataMessage, Pdu, ReadPdu, ShortMessage, VERSION,
};
use clutchline::links::smpp::session::{Limits, Session};
use clutchline::links::smpp::tlv::{self, Tlv};
use proptest::prelude::*;

pub(crate) fn octets(hex: &str) -> Vec<u8> {
    let digits: Vec<char> = hex.chars().filter(|c| !c.is_whitespace()).collect();
    digits
        .chunks(2)
        .map(|pair| u8::from_str_radix(&pair.iter().collect::<String>(), 16).unwrap())
        .collect()
}

pub(crate) fn address(ton: u8, npi: u8, digits: &str) -> Address {
    Address {
        ton,
        npi,
        digits: digits.to_owned(),
    }
}

fn reads_and_writes(hex: &str) -> Pdu {
    let frame = octets(hex);
    let ReadPdu { pdu, broken_tail } = Pdu::read(&frame).unwrap();
    assert_eq!(broken_tail, None);
    assert_eq!(pdu.write().unwrap(), frame, "{pdu:?}");
    pdu
}

#[test]
fn a_bind_is_written_as_other_programs_read_it() {
    let pdu =
        reads_and_writes("0000002200000009000000000000000165736d653100736563726574000034000000");
    let bind = Bind {
        system_id: "esme1".to_owned(),
        password: "secret".to_owned(),
        version: VERSION,
        ..Bind::default()
    };
    assert_eq!(pdu.body, Body::Bind(BindAs::Transceiver, bind));
}

#[test]
fn a_step_of_a_dialogue_is_read_with_its_parameters() {
    let pdu = reads_and_writes(
        "000000440000000500000000000000015553534400010132353437303030303030303100000133383400000000000000000000052a333834230501000101138300022a00",
    );
    let Body::Deliver(message) = pdu.body else {
        panic!("a deliver_sm");
    };
    assert_eq!(message.service_type, "USSD");
    assert_eq!(message.source, address(1, 1, "254700000001"));
    assert_eq!(message.destination, address(0, 1, "384"));
    assert_eq!(message.text, b"*384#");
    assert_eq!(tlv::number(&pdu.tlvs, tlv::USSD_SERVICE_OP), Some(1));
    assert_eq!(
        tlv::find(&pdu.tlvs, tlv::ITS_SESSION_INFO),
        Some([0x2A, 0].as_slice())
    );
}

#[test]
fn parts_by_header_and_by_parameters_are_read() {
    let header = reads_and_writes(
        "0000003e0000000400000000000000020001013232333435000101323534373030303030303031004000000000010008000c05000317020112c812701275",
    );
    let Body::Submit(message) = header.body else {
        panic!("a submit_sm");
    };
    assert!(message.has_header() && message.data_coding == 8);
    assert_eq!(message.text, octets("05000317020112c812701275"));
    let sar = reads_and_writes(
        "000000430000000400000000000000030001013232333435000101323534373030303030303031000000000000010000000131020c00020007020e000102020f000101",
    );
    assert_eq!(tlv::number(&sar.tlvs, tlv::SAR_REFERENCE), Some(7));
    assert_eq!(tlv::number(&sar.tlvs, tlv::SAR_TOTAL), Some(2));
    assert_eq!(tlv::number(&sar.tlvs, tlv::SAR_PART), Some(1));
}

#[test]
fn small_pdus_and_errors_without_a_body_are_read() {
    assert_eq!(
        reads_and_writes("00000010000000150000000000000007").body,
        Body::EnquireLink
    );
    let nack = reads_and_writes("00000010800000000000000300000009");
    assert_eq!(
        (nack.body, nack.status, nack.sequence),
        (Body::GenericNack, 3, 9)
    );
    // Seen from npm smpp: a throttled answer of sixteen octets.
    let throttled = reads_and_writes("00000010800000040000005800000005");
    assert_eq!(
        (throttled.body, throttled.status),
        (Body::SubmitResp(String::new()), 0x58)
    );
}

#[test]
fn what_a_field_has_no_room_for_is_refused_before_it_is_sent() {
    let refused = |bind: Bind| {
        Pdu::new(1, Body::Bind(BindAs::Receiver, bind))
            .write()
            .unwrap_err()
    };
    let long = Bind {
        password: "ninechars".to_owned(),
        ..Bind::default()
    };
    assert_eq!(refused(long), FieldError::Long("password"));
    let accented = Bind {
        system_id: "ziwání".to_owned(),
        ..Bind::default()
    };
    assert_eq!(refused(accented), FieldError::Character("system_id"));
    let text = ShortMessage {
        text: vec![b'x'; 255],
        ..ShortMessage::default()
    };
    let refused = Pdu::new(1, Body::Submit(text)).write();
    assert_eq!(refused, Err(FieldError::Long("short_message")));
}

/// What could not be read is a value, never a panic; each line of the corpus says what it is.
#[test]
fn the_corpus_of_broken_pdus_is_read_as_it_says() {
    for line in include_str!("corpus.tsv")
        .lines()
        .filter(|l| !l.starts_with('#'))
    {
        let cells: Vec<&str> = line.split('\t').collect();
        let [hex, expected, why] = cells.as_slice() else {
            panic!("three cells: {line}");
        };
        let said = match Pdu::read(&octets(hex)) {
            Ok(read) if read.broken_tail.is_some() => "broken tail".to_owned(),
            Ok(read) => format!("{:08x}", read.pdu.body.id()),
            Err(error) => error.to_string(),
        };
        assert_eq!(said, *expected, "{why}");
    }
}

fn field(most: usize) -> impl Strategy<Value = String> {
    proptest::collection::vec(0x20u8..0x7F, 0..most).prop_map(|b| String::from_utf8(b).unwrap())
}

prop_compose! {
    fn any_address()(ton in any::<u8>(), npi in any::<u8>(), digits in field(20)) -> Address {
        Address { ton, npi, digits }
    }
}

prop_compose! {
    fn any_message()(
        service_type in field(5),
        source in any_address(),
        destination in any_address(),
        octets in any::<[u8; 7]>(),
        schedule in field(16),
        validity in field(16),
        text in proptest::collection::vec(any::<u8>(), 0..=254),
    ) -> ShortMessage {
        let [esm_class, protocol_id, priority, registered_delivery, replace, data_coding, default_message] = octets;
        ShortMessage {
            service_type, source, destination, esm_class, protocol_id, priority, schedule, validity,
            registered_delivery, replace, data_coding, default_message, text,
        }
    }
}

fn any_body() -> impl Strategy<Value = Body> {
    let data = (field(5), any_address(), any_address(), any::<[u8; 3]>());
    prop_oneof![
        any_message().prop_map(Body::Submit),
        any_message().prop_map(Body::Deliver),
        data.prop_map(
            |(service_type, source, destination, [esm_class, registered_delivery, data_coding])| {
                Body::Data(DataMessage {
                    service_type,
                    source,
                    destination,
                    esm_class,
                    registered_delivery,
                    data_coding,
                })
            }
        ),
        field(64).prop_map(Body::SubmitResp),
        field(64).prop_map(Body::DataResp),
        field(15).prop_map(|id| Body::BindResp(BindAs::Transmitter, id)),
        (field(64), any_address()).prop_map(|(id, source)| Body::Query(id, source)),
        (field(64), field(16), any::<[u8; 2]>())
            .prop_map(|(id, date, [s, e])| Body::QueryResp(id, date, s, e)),
        Just(Body::Unbind),
        Just(Body::EnquireLinkResp),
    ]
}

fn any_tlvs() -> impl Strategy<Value = Vec<Tlv>> {
    let tlv = (any::<u16>(), proptest::collection::vec(any::<u8>(), 0..40));
    proptest::collection::vec(tlv.prop_map(|(tag, value)| Tlv { tag, value }), 0..5)
}

proptest! {
    #[test]
    fn what_is_written_is_read_again(body in any_body(), tlvs in any_tlvs(), sequence in 1u32..0x7FFF_FFFF) {
        let carries = !matches!(body, Body::Alert);
        let mut pdu = Pdu::new(sequence, body);
        pdu.tlvs = if carries { tlvs } else { Vec::new() };
        let read = Pdu::read(&pdu.write().unwrap()).unwrap();
        prop_assert_eq!(read.pdu, pdu);
        prop_assert_eq!(read.broken_tail, None);
    }

    #[test]
    fn nonsense_is_an_error_and_never_a_panic(frame in proptest::collection::vec(any::<u8>(), 0..200)) {
        let _ = Pdu::read(&frame);
    }

    #[test]
    fn a_good_pdu_with_octets_changed_or_cut_never_panics(
        body in any_body(),
        tlvs in any_tlvs(),
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        end in any::<prop::sample::Index>(),
    ) {
        let mut pdu = Pdu::new(9, body);
        pdu.tlvs = tlvs;
        let mut frame = pdu.write().unwrap();
        for (at, octet) in changes {
            let at = at.index(frame.len());
            frame[at] = octet;
        }
        frame.truncate(end.index(frame.len()) + 1);
        let _ = Pdu::read(&frame);
    }

    #[test]
    fn a_session_fed_nonsense_never_panics(pieces in proptest::collection::vec(proptest::collection::vec(any::<u8>(), 0..64), 0..20)) {
        let at = DateTime::from_timestamp(1_773_100_000, 0).unwrap();
        let second = TimeDelta::seconds(1);
        let limits = Limits { window: 4, taking: 4, enquire_after: second, answer_wait: second, bind_wait: second };
        let mut session = Session::new(BindAs::Transceiver, Bind::default(), limits, at);
        for piece in pieces {
            session.feed(&piece, at);
            session.tick(at);
            while session.next_event().is_some() {}
        }
    }
}
