//! The driver between a scripted message centre and a real counter: answered after the commit, resent never, bound again always.

use crate::centre::{COOP, Centre, Peer, Rig, receipt, text_from};
use clutchline::domain::message::Outcome;
use clutchline::links::board::Standing;
use clutchline::links::smpp::pdu::{BindAs, Body, ShortMessage};
use clutchline::links::smpp::status;
use clutchline::links::smpp::tlv::{self, Tlv};
use clutchline::store::delivery::DeliveryState;
use tempfile::tempdir;

/// Brings a text and takes its answer, whichever of the two PDUs the gateway writes first.
fn ask(peer: &mut Peer, phone: u32, text: &str) -> (u32, ShortMessage, Vec<Tlv>) {
    let sequence = peer.deliver(text_from(phone, text), Vec::new());
    assert_eq!(peer.delivered(), (sequence, status::OK));
    peer.submitted()
}

#[test]
fn a_text_is_answered_when_it_is_kept_and_its_reply_goes_out() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |link| {
        link.smpp.password = "geheim".to_owned();
    });
    let mut peer = centre.accept();
    assert_eq!(peer.bind(0), (BindAs::Transceiver, "geheim".to_owned()));
    let (sequence, reply, _) = ask(&mut peer, 101, "join ZIWANI Asha");
    assert_eq!(reply.destination.digits, "255700000101");
    assert_eq!(reply.source.digits, "40123");
    assert!(String::from_utf8(reply.text).unwrap().contains("Asha"));
    peer.answer(sequence, status::OK, "00A7");
    rig.until("the text is settled", |rig| rig.state().passed.sent == 1);
    rig.until("and on disk", |rig| {
        !rig.counter.sent(COOP, false, 9).unwrap().is_empty()
    });
    let sent = rig.counter.sent(COOP, false, 9).unwrap().remove(0);
    assert_eq!(sent.ids[0].id, "a7");
    let sequence = peer.deliver(receipt("00A7", "DELIVRD"), Vec::new());
    assert_eq!(peer.delivered(), (sequence, status::OK));
    assert_eq!(
        rig.counter.delivery(sent.row.id).unwrap(),
        Some(DeliveryState::Delivered)
    );
    let passed = rig.state().passed;
    assert_eq!(
        (passed.taken, passed.receipts, rig.state().standing),
        (1, 1, Standing::Up)
    );
    rig.close();
    assert_eq!(peer.next().body, Body::Unbind);
}

#[test]
fn a_receipt_before_its_answer_finds_the_text() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    let mut peer = centre.bound();
    let (sequence, _, _) = ask(&mut peer, 101, "help");
    let early = peer.deliver(receipt("5", "DELIVRD"), Vec::new());
    assert_eq!(peer.delivered(), (early, status::OK));
    peer.answer(sequence, status::OK, "5");
    rig.until("the receipt has found it", |rig| {
        let sent = rig.counter.sent(COOP, false, 9).unwrap();
        sent.first()
            .is_some_and(|sent| sent.state() == DeliveryState::Delivered)
    });
    rig.close();
}

#[test]
fn sixty_four_texts_in_torn_pieces_are_each_answered_once_and_a_repeat_changes_nothing() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |link| link.smpp.window = 64);
    let mut peer = centre.bound();
    let mut stream = Vec::new();
    for phone in 0..64 {
        let mut pdu = clutchline::links::smpp::pdu::Pdu::new(
            phone + 1,
            Body::Deliver(text_from(phone, "join ZIWANI Asha")),
        );
        pdu.tlvs = vec![Tlv::octet(0x1999, 7)];
        stream.extend(pdu.write().unwrap());
    }
    for piece in stream.chunks(7) {
        peer.send_octets(piece);
    }
    let (mut answered, mut texts) = (Vec::new(), Vec::new());
    while answered.len() < 64 || texts.len() < 64 {
        let pdu = peer.next();
        match pdu.body {
            Body::DeliverResp(_) => {
                assert_eq!(pdu.status, status::OK);
                answered.push(pdu.sequence);
            }
            Body::Submit(message) => texts.push((pdu.sequence, message.destination.digits)),
            other => panic!("{other:?}"),
        }
    }
    answered.sort_unstable();
    assert_eq!(answered, (1..=64).collect::<Vec<u32>>());
    for (sequence, _) in &texts {
        peer.answer(*sequence, status::OK, &sequence.to_string());
    }
    rig.until("all are settled", |rig| rig.state().passed.sent == 64);
    // The same text under another number: the network did not see our answer.
    let before = rig.counter.counts();
    peer.send(
        500,
        0,
        Body::Deliver(text_from(3, "join ZIWANI Asha")),
        Vec::new(),
    );
    loop {
        let pdu = peer.next();
        match pdu.body {
            Body::DeliverResp(_) => {
                break assert_eq!((pdu.sequence, pdu.status), (500, status::OK));
            }
            // A repeat is answered the same.
            Body::Submit(_) => peer.answer(pdu.sequence, status::OK, "again"),
            other => panic!("{other:?}"),
        }
    }
    let duplicates = |counts: &clutchline::counter::answers::Counts| {
        counts
            .outcomes
            .get(Outcome::Duplicate.word())
            .copied()
            .unwrap_or_default()
    };
    assert_eq!(duplicates(&rig.counter.counts()), duplicates(&before) + 1);
    rig.close();
}

#[test]
fn what_was_on_its_way_when_the_line_broke_is_unknown_and_never_sent_again() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |link| {
        link.smpp.reference = "yes".to_owned();
    });
    let mut peer = centre.bound();
    let (_, _, tlvs) = ask(&mut peer, 101, "help");
    let reference = tlv::number(&tlvs, tlv::USER_MESSAGE_REFERENCE).unwrap();
    drop(peer);
    let mut peer = centre.bound();
    rig.until("it is in doubt", |rig| {
        rig.counter.sent(COOP, true, 9).unwrap().len() == 1
    });
    // Another text goes out; the one in doubt does not.
    let (sequence, reply, _) = ask(&mut peer, 102, "help");
    assert_eq!(reply.destination.digits, "255700000102");
    peer.answer(sequence, status::OK, "9");
    // The network had it after all: its receipt repeats our number.
    let tlvs = vec![Tlv::pair(tlv::USER_MESSAGE_REFERENCE, reference)];
    let receipt = peer.deliver(receipt("8", "DELIVRD"), tlvs);
    assert_eq!(peer.delivered(), (receipt, status::OK));
    assert!(
        rig.counter.sent(COOP, true, 9).unwrap().is_empty(),
        "resolved by its receipt"
    );
    rig.close();
}

#[test]
fn a_network_that_asks_for_less_gets_the_same_text_again() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    let mut peer = centre.bound();
    let (sequence, first, _) = ask(&mut peer, 101, "help");
    peer.answer(sequence, status::THROTTLED, "");
    let (again, second, _) = peer.submitted();
    assert!(again != sequence && second == first);
    peer.answer(again, status::OK, "1");
    rig.until("it is settled", |rig| rig.state().passed.sent == 1);
    assert_eq!(rig.state().passed.throttled, 1);
    rig.close();
}

#[test]
fn a_text_that_cannot_be_kept_is_refused_for_now() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    let mut peer = centre.bound();
    // The store is gone under the driver's feet.
    rig.counter.clone().close().unwrap();
    let sequence = peer.deliver(text_from(101, "C4 12.5"), Vec::new());
    assert_eq!(peer.delivered(), (sequence, status::RECEIVER_BUSY));
    let sequence = peer.deliver(receipt("1", "DELIVRD"), Vec::new());
    assert_eq!(peer.delivered(), (sequence, status::RECEIVER_BUSY));
    rig.close();
}

#[test]
fn a_long_text_comes_whole_from_every_kind_of_parts() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    let mut peer = centre.bound();
    let sar = |part| {
        vec![
            Tlv::pair(tlv::SAR_REFERENCE, 300),
            Tlv::octet(tlv::SAR_TOTAL, 2),
            Tlv::octet(tlv::SAR_PART, part),
        ]
    };
    let second = peer.deliver(text_from(101, "IWANI Asha"), sar(2));
    assert_eq!(peer.delivered(), (second, status::OK));
    let first = peer.deliver(text_from(101, "join Z"), sar(1));
    assert_eq!(peer.delivered(), (first, status::OK));
    let (sequence, welcome, _) = peer.submitted();
    assert!(String::from_utf8(welcome.text).unwrap().contains("Asha"));
    peer.answer(sequence, status::OK, "1");
    let payload = Tlv {
        tag: tlv::MESSAGE_PAYLOAD,
        value: b"help".to_vec(),
    };
    let whole = peer.deliver(text_from(101, ""), vec![payload]);
    assert_eq!(peer.delivered(), (whole, status::OK));
    let (sequence, _, _) = peer.submitted();
    peer.answer(sequence, status::OK, "2");
    rig.close();
}

#[test]
fn what_cannot_be_used_is_kept_raw_and_not_sent_for_ever() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    let mut peer = centre.bound();
    let binary = ShortMessage {
        data_coding: 4,
        ..text_from(101, "C4")
    };
    let sequence = peer.deliver(binary, Vec::new());
    assert_eq!(peer.delivered(), (sequence, status::OK));
    peer.send_octets(&crate::codec::octets(
        "0000001400000005000000000000000800010132",
    ));
    assert_eq!(peer.delivered(), (8, status::RECEIVER_REJECTS));
    assert_eq!(rig.state().passed.quarantined, 2);
    let kept = std::fs::read_to_string(dir.path().join("links/north.raw")).unwrap();
    assert!(
        kept.contains("0000001400000005000000000000000800010132"),
        "{kept}"
    );
    rig.close();
}

#[test]
fn a_pair_receives_by_one_session_and_sends_by_the_other() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |link| {
        link.smpp.bind = "pair".to_owned();
    });
    let mut peers = [centre.accept(), centre.accept()].map(|mut peer| (peer.bind(0).0, peer));
    peers.sort_by_key(|(how, _)| *how == BindAs::Transmitter);
    let [(receives, mut receiver), (sends, mut transmitter)] = peers;
    assert_eq!((receives, sends), (BindAs::Receiver, BindAs::Transmitter));
    rig.until("both are bound", |rig| rig.state().standing == Standing::Up);
    let sequence = receiver.deliver(text_from(101, "help"), Vec::new());
    assert_eq!(receiver.delivered(), (sequence, status::OK));
    let (sequence, _, _) = transmitter.submitted();
    transmitter.answer(sequence, status::OK, "1");
    rig.until("it is settled", |rig| rig.state().passed.sent == 1);
    rig.close();
}

#[test]
fn a_refused_account_needs_a_person_and_says_so() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    centre.accept().bind(status::BAD_PASSWORD);
    rig.until("it is stuck and says why", |rig| {
        rig.state().standing == Standing::Stuck && rig.state().last_error.is_some()
    });
    let (_, words) = rig.state().last_error.unwrap();
    assert!(words.contains("password refused"), "{words}");
    rig.close();
}

#[test]
fn a_gateway_that_stops_waits_for_its_texts_and_takes_leave() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::start(dir.path(), &centre.address(), |_| ());
    let mut peer = centre.bound();
    let (sequence, _, _) = ask(&mut peer, 101, "help");
    rig.stop();
    peer.answer(sequence, status::OK, "7");
    let unbind = peer.next();
    assert_eq!(unbind.body, Body::Unbind);
    peer.send(unbind.sequence, 0, Body::UnbindResp, Vec::new());
    assert!(peer.next_if_any().is_none());
    rig.until("its fate is on disk", |rig| {
        rig.counter.sent(COOP, false, 9).unwrap().len() == 1
    });
    rig.close();
}
