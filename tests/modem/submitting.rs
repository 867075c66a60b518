//! The session as a machine: what becomes of a text, however the modem answers.

use crate::bench::{Bench, fates};
use crate::fake::{Fake, Slip};
use clutchline::links::modem::faults::Fault;
use clutchline::links::modem::session::{Ended, Event};

#[test]
fn each_answer_to_a_text_has_its_fate() {
    let mut bench = Bench::ready(Fake::default());
    let failed = |code| Event::Failed {
        token: 1,
        fault: Fault::Cms(code),
    };
    for (slip, fate) in [
        (Slip::Says("+CMS ERROR: 42"), Some(failed(42))),
        (Slip::Says("+CMS ERROR: 28"), Some(failed(28))),
        (Slip::ErrorForPrompt("+CMS ERROR: 331"), Some(failed(331))),
        (Slip::Says("+CMS ERROR: 332"), None),
        (Slip::Says("+CMS ERROR: 500"), None),
        (Slip::Says("+CMS ERROR: 777"), None),
        (Slip::Says("ERROR"), None),
    ] {
        bench.fake.slips.push_back(slip.clone());
        let events = bench.submit(1);
        match fate {
            Some(fate) => assert_eq!(fates(&events), [&fate], "{slip:?}"),
            None => assert!(
                matches!(fates(&events)[..], [Event::Unknown { token: 1, .. }]),
                "{slip:?}: {events:?}"
            ),
        }
        assert!(bench.session.has_room(), "{slip:?}");
    }
    bench.fake.slips.push_back(Slip::ErrorForPrompt("ERROR"));
    let events = bench.submit(1);
    assert!(matches!(
        fates(&events)[..],
        [Event::NotSent { token: 1, .. }]
    ));
}

#[test]
fn a_prompt_that_never_comes_is_left_with_escape_and_nothing_was_sent() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::NoPrompt);
    assert!(bench.submit(1).is_empty());
    assert!(!bench.session.has_room(), "one at a time");
    let events = bench.pass(9_500);
    assert!(fates(&events).is_empty());
    let events = bench.pass(1_500);
    assert!(matches!(
        fates(&events)[..],
        [Event::NotSent { token: 1, .. }]
    ));
    assert!(bench.fake.sent.is_empty());
    // The next one goes.
    let events = bench.submit(2);
    assert!(matches!(
        fates(&events)[..],
        [Event::Taken { token: 2, .. }]
    ));
}

#[test]
fn silence_after_the_message_is_unknown_until_a_late_word_and_nothing_is_sent_again() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::TakenInSilence);
    bench.submit(1);
    assert!(fates(&bench.pass(59_500)).is_empty());
    let events = bench.pass(1_000);
    assert!(matches!(
        fates(&events)[..],
        [Event::Unknown { token: 1, .. }]
    ));
    let late = bench.unsolicited("\r\n+CMGS: 214\r\n\r\nOK\r\n");
    let taken = Event::Taken {
        token: 1,
        reference: Some(214),
    };
    assert_eq!(fates(&late), [&taken]);
    let again = bench.unsolicited("\r\n+CMGS: 214\r\n\r\nOK\r\n");
    assert!(fates(&again).is_empty(), "once");
    bench.pass(1_000);
    // The late answer is not taken for the next text's.
    let events = bench.submit(2);
    let second = Event::Taken {
        token: 2,
        reference: Some(215),
    };
    assert_eq!(fates(&events), [&second]);
    assert_eq!(bench.fake.sent.len(), 2);
}

#[test]
fn a_reference_without_ok_is_taken() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::TakenWithoutOk);
    bench.submit(1);
    let events = bench.pass(61_000);
    let taken = Event::Taken {
        token: 1,
        reference: Some(214),
    };
    assert_eq!(fates(&events), [&taken]);
}

#[test]
fn a_lost_port_leaves_a_message_unknown_and_what_was_not_given_not_sent() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::Unplugged);
    bench.submit(1);
    bench.session.lost();
    let events: Vec<Event> = std::iter::from_fn(|| bench.session.next_event()).collect();
    assert!(matches!(
        events[..],
        [Event::Unknown { token: 1, .. }, Event::Ended(Ended::Lost)]
    ));
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::NoPrompt);
    bench.submit(1);
    bench.session.lost();
    let events: Vec<Event> = std::iter::from_fn(|| bench.session.next_event()).collect();
    assert!(matches!(events[0], Event::NotSent { token: 1, .. }));
}

#[test]
fn a_word_that_comes_behind_the_next_text_is_not_taken_for_it() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.slips.push_back(Slip::TakenInSilence);
    bench.submit(1);
    bench.pass(61_000);
    bench.pass(1_000);
    // The next one is refused; then the first one's reference comes.
    bench.fake.slips.push_back(Slip::Says("+CMS ERROR: 28"));
    let events = bench.submit(2);
    assert!(matches!(
        fates(&events)[..],
        [Event::Failed { token: 2, .. }]
    ));
    let late = bench.unsolicited("\r\n+CMGS: 214\r\n");
    assert!(fates(&late).is_empty());
}

#[test]
fn a_modem_that_fell_back_to_text_mode_unseen_is_set_to_pdu_mode_before_a_text() {
    let mut bench = Bench::ready(Fake::default());
    bench.fake.text_mode = true;
    let events = bench.submit(1);
    assert!(matches!(
        fates(&events)[..],
        [Event::Taken { token: 1, .. }]
    ));
}
