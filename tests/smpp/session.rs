//! The session as a machine: time is an argument, and the peer is octets.

use crate::codec::octets;
use chrono::{DateTime, TimeDelta, Utc};
use clutchline::links::smpp::pdu::{Bind, BindAs, Body, Pdu, ShortMessage};
use clutchline::links::smpp::session::{Ended, Event, Limits, Session, State, Wants};
use clutchline::links::smpp::status;

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_773_100_000 + second, 0).unwrap()
}

const LIMITS: Limits = Limits {
    window: 3,
    taking: 2,
    enquire_after: TimeDelta::seconds(30),
    answer_wait: TimeDelta::seconds(10),
    bind_wait: TimeDelta::seconds(5),
};

fn sent(session: &mut Session) -> Vec<Pdu> {
    let octets = session.take_octets();
    let (mut rest, mut pdus) = (octets.as_slice(), Vec::new());
    while let Some(head) = rest.first_chunk::<4>() {
        let (frame, after) = rest.split_at(u32::from_be_bytes(*head) as usize);
        pdus.push(Pdu::read(frame).unwrap().pdu);
        rest = after;
    }
    pdus
}

fn says(status: u32, sequence: u32, body: Body) -> Vec<u8> {
    let mut pdu = Pdu::new(sequence, body);
    pdu.status = status;
    pdu.write().unwrap()
}

fn events(session: &mut Session) -> Vec<Event> {
    std::iter::from_fn(|| session.next_event()).collect()
}

fn bound() -> Session {
    let mut session = Session::new(BindAs::Transceiver, Bind::default(), LIMITS, at(0));
    let bind = sent(&mut session).remove(0);
    assert_eq!(session.room(), 0, "nothing before the bind is answered");
    let answer = Body::BindResp(BindAs::Transceiver, "centre".to_owned());
    session.feed(&says(0, bind.sequence, answer), at(0));
    assert_eq!(events(&mut session), [Event::Bound("centre".to_owned())]);
    session
}

fn submit(session: &mut Session, token: u64, now: i64) -> bool {
    session
        .submit(token, ShortMessage::default(), Vec::new(), at(now))
        .unwrap()
}

#[test]
fn the_window_fills_and_each_answer_frees_a_place() {
    let mut session = bound();
    assert!((1..=3).all(|token| submit(&mut session, token, 1)));
    assert!(!submit(&mut session, 4, 1), "the window is full");
    let texts = sent(&mut session);
    assert_eq!(texts.len(), 3);
    let answer = Body::SubmitResp("a1".to_owned());
    session.feed(&says(0, texts[1].sequence, answer), at(2));
    let answered = Event::Answered {
        token: 2,
        status: 0,
        id: "a1".to_owned(),
    };
    assert_eq!(events(&mut session), [answered]);
    assert!(submit(&mut session, 4, 2));
    // A nack and a throttled answer without a body free places too.
    session.feed(&says(3, texts[0].sequence, Body::GenericNack), at(2));
    session.feed(
        &says(0x58, texts[2].sequence, Body::SubmitResp(String::new())),
        at(2),
    );
    let statuses: Vec<u32> = events(&mut session)
        .iter()
        .filter_map(|e| match e {
            Event::Answered { status, .. } => Some(*status),
            _ => None,
        })
        .collect();
    assert_eq!(statuses, [3, 0x58]);
    assert_eq!(session.room(), 2);
}

#[test]
fn an_answer_that_does_not_come_is_unknown_and_a_late_one_is_said_once() {
    let mut session = bound();
    submit(&mut session, 7, 1);
    let text = sent(&mut session).remove(0);
    assert_eq!(session.next_moment(), Some(at(11)));
    session.tick(at(10));
    assert!(events(&mut session).is_empty());
    session.tick(at(11));
    let unknown = events(&mut session);
    assert!(matches!(unknown[..], [Event::Unknown { token: 7, .. }]));
    session.feed(
        &says(0, text.sequence, Body::SubmitResp("late".to_owned())),
        at(12),
    );
    let answered = Event::Answered {
        token: 7,
        status: 0,
        id: "late".to_owned(),
    };
    assert_eq!(events(&mut session), [answered]);
    let again = Body::SubmitResp("late".to_owned());
    session.feed(&says(0, text.sequence, again), at(13));
    assert!(events(&mut session).is_empty());
}

#[test]
fn a_broken_connection_leaves_every_text_unknown() {
    let mut session = bound();
    (1..=3).for_each(|token| {
        submit(&mut session, token, 1);
    });
    session.lost();
    let said = events(&mut session);
    let unknown = said
        .iter()
        .filter(|e| matches!(e, Event::Unknown { .. }))
        .count();
    assert_eq!(
        (unknown, said.last()),
        (3, Some(&Event::Ended(Ended::Lost)))
    );
    assert_eq!(session.next_moment(), None);
}

#[test]
fn a_silent_peer_is_asked_twice_and_then_let_go() {
    let mut session = bound();
    session.tick(at(29));
    assert!(sent(&mut session).is_empty());
    session.tick(at(30));
    assert_eq!(sent(&mut session)[0].body, Body::EnquireLink);
    session.tick(at(40));
    assert_eq!(sent(&mut session)[0].body, Body::EnquireLink);
    session.tick(at(50));
    assert_eq!(events(&mut session), [Event::Ended(Ended::Silent)]);
    let mut session = bound();
    session.tick(at(30));
    let asked = sent(&mut session).remove(0);
    session.feed(&says(0, asked.sequence, Body::EnquireLinkResp), at(39));
    session.tick(at(68));
    assert!(
        sent(&mut session).is_empty(),
        "it answered: half a minute from then"
    );
}

#[test]
fn the_peers_question_is_answered_while_everything_waits() {
    let mut session = bound();
    let deliver = says(0, 5, Body::Deliver(ShortMessage::default()));
    session.feed(
        &[deliver, octets("00000010000000150000000000000007")].concat(),
        at(1),
    );
    let pdus = sent(&mut session);
    assert_eq!(pdus.len(), 1, "the text is not answered before it is kept");
    assert_eq!(
        (&pdus[0].body, pdus[0].sequence),
        (&Body::EnquireLinkResp, 7)
    );
    let came = events(&mut session);
    assert!(matches!(
        came[..],
        [Event::Came {
            sequence: 5,
            wants: Wants::DeliverResp,
            ..
        }]
    ));
    session.answer(5, Wants::DeliverResp, status::OK);
    let answer = sent(&mut session).remove(0);
    assert_eq!(
        (answer.body, answer.sequence, answer.status),
        (Body::DeliverResp(String::new()), 5, 0)
    );
}

#[test]
fn more_texts_than_can_be_kept_at_a_time_are_refused_for_now() {
    let mut session = bound();
    for sequence in 1..=3 {
        session.feed(
            &says(0, sequence, Body::Deliver(ShortMessage::default())),
            at(1),
        );
    }
    assert_eq!(events(&mut session).len(), 2);
    let refused = sent(&mut session).remove(0);
    assert_eq!(
        (refused.sequence, refused.status),
        (3, status::RECEIVER_BUSY)
    );
    session.answer(1, Wants::DeliverResp, status::OK);
    session.feed(&says(0, 4, Body::Deliver(ShortMessage::default())), at(1));
    assert_eq!(events(&mut session).len(), 1);
}

#[test]
fn a_refused_bind_and_an_unanswered_one_end_it() {
    let mut session = Session::new(BindAs::Receiver, Bind::default(), LIMITS, at(0));
    let answer = Body::BindResp(BindAs::Receiver, String::new());
    session.feed(&says(0x0E, 1, answer), at(1));
    assert_eq!(events(&mut session), [Event::Ended(Ended::Refused(0x0E))]);
    let mut session = Session::new(BindAs::Receiver, Bind::default(), LIMITS, at(0));
    session.tick(at(5));
    assert_eq!(events(&mut session), [Event::Ended(Ended::NoBind)]);
}

#[test]
fn we_take_leave_when_the_texts_on_their_way_are_answered() {
    let mut session = bound();
    submit(&mut session, 1, 1);
    let text = sent(&mut session).remove(0);
    session.leave(TimeDelta::seconds(3), at(1));
    assert!(sent(&mut session).is_empty() && session.room() == 0);
    session.feed(
        &says(0, text.sequence, Body::SubmitResp("a".to_owned())),
        at(2),
    );
    let unbind = sent(&mut session).remove(0);
    assert_eq!(unbind.body, Body::Unbind);
    session.feed(&says(0, unbind.sequence, Body::UnbindResp), at(2));
    let said = events(&mut session);
    assert_eq!(said.last(), Some(&Event::Ended(Ended::ByUs)));
    let mut session = bound();
    session.leave(TimeDelta::seconds(3), at(1));
    session.tick(at(4));
    assert_eq!(
        events(&mut session),
        [Event::Ended(Ended::ByUs)],
        "no answer to the unbind"
    );
}

#[test]
fn a_peer_that_takes_leave_still_answers_what_it_has() {
    let mut session = bound();
    submit(&mut session, 1, 1);
    let text = sent(&mut session).remove(0);
    session.feed(&says(0, 9, Body::Unbind), at(2));
    assert_eq!(sent(&mut session)[0].body, Body::UnbindResp);
    assert!(matches!(session.state(), State::Ending { .. }));
    session.feed(
        &says(0, text.sequence, Body::SubmitResp("a".to_owned())),
        at(3),
    );
    let said = events(&mut session);
    assert!(matches!(
        said[..],
        [
            Event::Answered { token: 1, .. },
            Event::Ended(Ended::ByPeer)
        ]
    ));
}

#[test]
fn sequence_numbers_come_round_and_skip_those_that_wait() {
    let mut session = Session::new(BindAs::Transceiver, Bind::default(), LIMITS, at(0))
        .numbered_from(0x7FFF_FFFE);
    let bind = sent(&mut session).remove(0);
    assert_eq!(bind.sequence, 1, "the bind was numbered before");
    session.feed(
        &says(0, 1, Body::BindResp(BindAs::Transceiver, String::new())),
        at(0),
    );
    for token in 1..=3 {
        submit(&mut session, token, 1);
    }
    let numbers: Vec<u32> = sent(&mut session).iter().map(|p| p.sequence).collect();
    assert_eq!(numbers, [0x7FFF_FFFF, 1, 2]);
    session.feed(&says(0, 2, Body::SubmitResp("x".to_owned())), at(1));
    let mut session = session.numbered_from(0x7FFF_FFFE);
    submit(&mut session, 4, 1);
    assert_eq!(
        sent(&mut session)[0].sequence,
        2,
        "the last and the first still wait"
    );
}

#[test]
fn what_cannot_be_read_is_handed_over_raw_and_answered_for_what_it_is() {
    let mut session = bound();
    // A deliver_sm that ends inside an address.
    session.feed(&octets("00000014000000050000000000000008 00010132"), at(1));
    let said = events(&mut session);
    let [Event::Unread { frame, owed, .. }] = &said[..] else {
        panic!("{said:?}");
    };
    assert_eq!((frame.len(), *owed), (20, Some((8, Wants::DeliverResp))));
    assert!(sent(&mut session).is_empty(), "answered when it is kept");
    // A command of nobody.
    session.feed(&octets("00000010000007770000000000000009"), at(1));
    let nack = sent(&mut session).remove(0);
    assert_eq!(
        (nack.body, nack.status, nack.sequence),
        (Body::GenericNack, 3, 9)
    );
    events(&mut session);
    // An answer to a text of ours that cannot be read: the network may have the text.
    submit(&mut session, 5, 1);
    let text = sent(&mut session).remove(0);
    let mut broken = octets("00000013800000040000000000000000 414243");
    broken[12..16].copy_from_slice(&text.sequence.to_be_bytes());
    session.feed(&broken, at(1));
    assert!(matches!(
        events(&mut session)[..],
        [
            Event::Unknown { token: 5, .. },
            Event::Unread { owed: None, .. }
        ]
    ));
    // A length that cannot be: the stream is lost.
    session.feed(&octets("00000003000000050000000000000008"), at(1));
    let said = events(&mut session);
    assert!(matches!(
        said[..],
        [Event::Unread { .. }, Event::Ended(Ended::OutOfStep)]
    ));
    assert_eq!(sent(&mut session)[0].status, status::BAD_COMMAND_LENGTH);
}

#[test]
fn a_broken_end_of_parameters_does_not_take_the_text_along() {
    let mut session = bound();
    let mut frame = says(
        0,
        3,
        Body::Deliver(ShortMessage {
            text: b"C4 12.5".to_vec(),
            ..ShortMessage::default()
        }),
    );
    frame.extend([0x02, 0x04, 0x00, 0x09, 0x01]);
    let length = u32::try_from(frame.len()).unwrap();
    frame[..4].copy_from_slice(&length.to_be_bytes());
    session.feed(&frame, at(1));
    let said = events(&mut session);
    let [
        Event::Came {
            message, flawed, ..
        },
    ] = &said[..]
    else {
        panic!("{said:?}");
    };
    assert_eq!(message.text, b"C4 12.5");
    assert_eq!(flawed.as_deref(), Some(frame.as_slice()));
}
