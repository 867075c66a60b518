//! USSD dialogues through the driver: a step in, a screen out, whatever the menu behind it is.

use crate::centre::{Centre, Rig, text_from};
use clutchline::links::smpp::pdu::{Body, ShortMessage};
use clutchline::links::smpp::status;
use clutchline::links::smpp::tlv::{self, Tlv};
use clutchline::links::smpp::ussd::{Menu, Screen, Stage, Step};
use std::sync::{Arc, Mutex};
use tempfile::tempdir;

fn step(op: u8, info: [u8; 2]) -> Vec<Tlv> {
    let info = Tlv {
        tag: tlv::ITS_SESSION_INFO,
        value: info.to_vec(),
    };
    vec![Tlv::octet(tlv::USSD_SERVICE_OP, op), info]
}

fn dialled(text: &str) -> ShortMessage {
    ShortMessage {
        service_type: "USSD".to_owned(),
        ..text_from(101, text)
    }
}

#[test]
fn a_dialogue_goes_from_the_code_to_the_last_screen() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let seen: Arc<Mutex<Vec<Step>>> = Arc::default();
    let noted = seen.clone();
    let menu: Menu = Arc::new(move |step| {
        let end = step.input == "12.5";
        noted.lock().unwrap().push(step);
        let text = if end {
            "Saved: C4 12.5 g."
        } else {
            "C4, grams?"
        }
        .to_owned();
        Box::pin(async move { Some(Screen { text, end }) })
    });
    let rig = Rig::with(dir.path(), &centre.address(), Some(menu), |_| ());
    let mut peer = centre.bound();
    let sequence = peer.deliver(dialled("*384#"), step(1, [42, 0]));
    assert_eq!(peer.delivered(), (sequence, status::OK));
    let (answered, asked, tlvs) = peer.submitted();
    assert_eq!(
        (asked.service_type.as_str(), asked.text.as_slice()),
        ("USSD", b"C4, grams?".as_slice())
    );
    assert_eq!(asked.destination.digits, "255700000101");
    assert_eq!(
        (asked.source.digits.as_str(), asked.registered_delivery),
        ("40123", 0)
    );
    assert_eq!(tlvs, step(2, [42, 2]));
    peer.answer(answered, status::OK, "u1");
    peer.deliver(dialled("12.5"), step(18, [42, 4]));
    peer.delivered();
    let (_, last, tlvs) = peer.submitted();
    assert_eq!(
        (last.text.as_slice(), tlvs),
        (b"Saved: C4 12.5 g.".as_slice(), step(17, [42, 7]))
    );
    // The phone hangs up: the menu is told, nothing is shown.
    peer.deliver(dialled(""), step(18, [42, 9]));
    peer.delivered();
    let steps = seen.lock().unwrap().clone();
    let stages: Vec<Stage> = steps.iter().map(|s| s.stage).collect();
    assert_eq!(stages, [Stage::Begin, Stage::Typed, Stage::Over]);
    assert!(
        steps
            .iter()
            .all(|s| s.session == "42" && s.from.full() == "+255700000101")
    );
    assert_eq!(
        (
            steps[0].code.as_str(),
            steps[1].input.as_str(),
            steps[1].unit
        ),
        ("*384#", "12.5", Some(4))
    );
    rig.close();
}

#[test]
fn a_step_that_was_not_kept_is_sent_again_and_without_a_menu_refused() {
    let failing: Menu = Arc::new(|_| Box::pin(async { None }));
    for (menu, expected) in [
        (Some(failing), status::RECEIVER_BUSY),
        (None, status::RECEIVER_REJECTS),
    ] {
        let dir = tempdir().unwrap();
        let centre = Centre::open();
        let rig = Rig::with(dir.path(), &centre.address(), menu, |_| ());
        let mut peer = centre.bound();
        let sequence = peer.deliver(dialled("*384#"), step(1, [1, 0]));
        assert_eq!(peer.delivered(), (sequence, expected));
        rig.close();
    }
}

#[test]
fn an_answer_that_is_due_to_a_session_that_is_over_goes_nowhere() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let (asked, was_asked) = std::sync::mpsc::channel();
    let (release, released) = tokio::sync::watch::channel(false);
    let (done, was_done) = std::sync::mpsc::channel();
    let menu: Menu = Arc::new(move |_| {
        asked.send(()).unwrap();
        let (mut released, done) = (released.clone(), done.clone());
        Box::pin(async move {
            released.wait_for(|free| *free).await.unwrap();
            done.send(()).unwrap();
            let text = String::new();
            Some(Screen { text, end: true })
        })
    });
    let rig = Rig::with(dir.path(), &centre.address(), Some(menu), |_| ());
    let mut peer = centre.bound();
    peer.deliver(dialled("*384#"), step(1, [1, 0]));
    was_asked.recv().unwrap();
    drop(peer);
    let mut peer = centre.bound();
    release.send(true).unwrap();
    was_done.recv().unwrap();
    peer.send(70, 0, Body::Deliver(text_from(101, "C4 12.5")), Vec::new());
    assert_eq!(peer.delivered(), (70, status::OK));
    rig.close();
}

/// The menu of the counter: whoever dials gets a screen, and what is typed moves on from it.
#[test]
fn the_counters_own_menu_answers_a_member() {
    let dir = tempdir().unwrap();
    let centre = Centre::open();
    let rig = Rig::with_own_menu(dir.path(), &centre.address());
    let mut peer = centre.bound();
    let joined = peer.deliver(text_from(101, "join ZIWANI Asha"), Vec::new());
    assert_eq!(peer.delivered(), (joined, status::OK));
    let (welcome, _, _) = peer.submitted();
    peer.answer(welcome, status::OK, "1");
    let mut shown = Vec::new();
    for (op, info, text) in [(1, [9, 0], "*384#"), (18, [9, 4], "9"), (18, [9, 8], "0")] {
        let sequence = peer.deliver(dialled(text), step(op, info));
        assert_eq!(peer.delivered(), (sequence, status::OK));
        let (sequence, screen, _) = peer.submitted();
        peer.answer(sequence, status::OK, "u");
        assert!((1..=160).contains(&screen.text.len()));
        shown.push(String::from_utf8(screen.text).unwrap());
    }
    assert!(shown[0].contains('1') && shown[0] != shown[1], "{shown:?}");
    assert_eq!(rig.state().passed.quarantined, 0);
    rig.close();
}
