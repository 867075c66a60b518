//! What becomes of texts on their way, answer by answer.

use crate::texts::{phone, profile};
use chrono::{DateTime, TimeDelta, Utc};
use clutchline::domain::message::{CoopId, LinkName, Outbound};
use clutchline::links::sending::{Reaction, Sending};
use clutchline::links::smpp::outgoing::{Piece, pieces};
use clutchline::links::smpp::profile::Ids;
use clutchline::links::smpp::receipt::answer_id;
use clutchline::links::smpp::status;
use clutchline::store::outbox::{OutboxId, OutboxRow, Settled, Urgency};

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_773_100_000 + second, 0).unwrap()
}

fn row(number: u64) -> OutboxRow {
    OutboxRow {
        id: OutboxId(number),
        coop: CoopId(1),
        link: LinkName("north".to_owned()),
        urgency: Urgency::Answer,
        outbound: Outbound {
            to: phone(),
            member: None,
            text: String::new(),
        },
        answers: None,
        due: at(0),
        expires: at(86_400),
        attempts: 0,
        owner: None,
    }
}

/// A book with one text of so many parts, all of them on their way.
fn going(parts: usize) -> (Sending<Piece>, Vec<u64>) {
    let mut sending = Sending::default();
    let text = "a".repeat(if parts == 1 { 10 } else { parts * 153 });
    let pieces = pieces(&profile(|_| ()), &phone(), &text, 1, TimeDelta::days(1)).unwrap();
    assert_eq!(pieces.len(), parts);
    sending.take(row(1), pieces, at(0));
    let tokens = std::iter::from_fn(|| sending.next_piece().map(|(token, _)| token)).collect();
    (sending, tokens)
}

fn answer(sending: &mut Sending<Piece>, token: u64, code: u32, id: &str) -> Reaction {
    let id = match id {
        "" => String::new(),
        id => answer_id(id, Ids::Same),
    };
    let meaning = status::meaning(code);
    sending.answered(token, meaning, &status::said(code), id, at(1))
}

fn fate(sending: &mut Sending<Piece>) -> Option<Settled> {
    let mut fates = sending.take_fates();
    assert!(fates.len() <= 1);
    fates.pop().map(|(_, fate)| fate)
}

#[test]
fn a_text_is_sent_when_every_part_is_taken() {
    let (mut sending, tokens) = going(3);
    answer(&mut sending, tokens[1], 0, "B");
    answer(&mut sending, tokens[0], 0, "0A");
    assert_eq!(fate(&mut sending), None);
    answer(&mut sending, tokens[2], 0, "c");
    let ids = ["b", "a", "c"].map(str::to_owned).to_vec();
    assert_eq!(fate(&mut sending), Some(Settled::Sent { ids, parts: 3 }));
    assert_eq!(sending.rows(), 0);
}

#[test]
fn the_same_message_again_where_the_network_asked_for_less() {
    for status in [0x58, 0x14] {
        let (mut sending, tokens) = going(1);
        assert_eq!(
            answer(&mut sending, tokens[0], status, ""),
            Reaction::SlowDown
        );
        let (again, _) = sending.next_piece().unwrap();
        assert_eq!(answer(&mut sending, again, 0, "x"), Reaction::Fine);
        assert!(matches!(fate(&mut sending), Some(Settled::Sent { .. })));
    }
}

#[test]
fn a_fault_is_met_three_times_and_then_later() {
    let (mut sending, tokens) = going(1);
    let mut token = tokens[0];
    for _ in 0..2 {
        answer(&mut sending, token, 0x08, "");
        token = sending.next_piece().unwrap().0;
    }
    answer(&mut sending, token, 0x08, "");
    assert!(sending.next_piece().is_none());
    assert!(matches!(fate(&mut sending), Some(Settled::Retry { at: due }) if due > at(1)));
}

#[test]
fn a_refusal_is_for_good_and_stops_the_other_parts() {
    let (mut sending, tokens) = going(1);
    assert_eq!(answer(&mut sending, tokens[0], 0x0B, ""), Reaction::Refused);
    let why = "receiver's address refused (0x0000000B)".to_owned();
    assert_eq!(fate(&mut sending), Some(Settled::Dead { why }));
    let (mut sending, tokens) = going(2);
    answer(&mut sending, tokens[0], 0x58, "");
    assert_eq!(sending.queued(), 1);
    answer(&mut sending, tokens[1], 0x0B, "");
    assert_eq!(sending.queued(), 0, "half a text is not sent");
    assert!(matches!(fate(&mut sending), Some(Settled::Dead { .. })));
}

#[test]
fn a_missing_answer_is_unknown_and_never_sent_again() {
    let (mut sending, tokens) = going(2);
    answer(&mut sending, tokens[0], 0, "a");
    sending.unknown(tokens[1], "no answer", at(40));
    assert!(sending.next_piece().is_none());
    let expected = Settled::Unknown {
        why: "no answer".to_owned(),
        ids: vec!["a".to_owned()],
        parts: 2,
    };
    assert_eq!(fate(&mut sending), Some(expected));
    sending.give_back(true, at(50), at(50));
    assert_eq!(fate(&mut sending), None);
    // A refusal of another part does not make it known.
    let (mut sending, tokens) = going(2);
    sending.unknown(tokens[0], "no answer", at(40));
    answer(&mut sending, tokens[1], 0x0B, "");
    assert!(matches!(fate(&mut sending), Some(Settled::Unknown { .. })));
}

#[test]
fn a_late_answer_makes_a_text_known_where_every_part_was_given() {
    let (mut sending, tokens) = going(2);
    answer(&mut sending, tokens[0], 0, "a");
    sending.unknown(tokens[1], "no answer", at(40));
    assert!(matches!(fate(&mut sending), Some(Settled::Unknown { .. })));
    assert_eq!(answer(&mut sending, tokens[1], 0, "b"), Reaction::NotOurs);
    sending.taken_late(tokens[1], "b".to_owned());
    let ids = ["a", "b"].map(str::to_owned).to_vec();
    assert_eq!(fate(&mut sending), Some(Settled::Sent { ids, parts: 2 }));
    sending.taken_late(tokens[1], "b".to_owned());
    assert_eq!(fate(&mut sending), None, "once");
    // A part was never given: the text is not whole, whatever comes.
    let (mut sending, tokens) = going(2);
    sending.put_back(tokens[1]);
    sending.unknown(tokens[0], "no answer", at(40));
    assert!(matches!(fate(&mut sending), Some(Settled::Unknown { .. })));
    sending.taken_late(tokens[0], "a".to_owned());
    assert_eq!(fate(&mut sending), None);
}

#[test]
fn what_was_not_begun_goes_back_and_what_was_waits_no_longer_than_its_lease() {
    let (mut sending, tokens) = going(1);
    sending.put_back(tokens[0]);
    sending.give_back(false, at(60), at(44));
    assert_eq!(fate(&mut sending), None);
    sending.give_back(false, at(60), at(45));
    assert_eq!(fate(&mut sending), Some(Settled::Retry { at: at(60) }));
    assert!(sending.next_piece().is_none());
    let (mut sending, tokens) = going(2);
    answer(&mut sending, tokens[0], 0, "a");
    sending.put_back(tokens[1]);
    sending.give_back(true, at(60), at(60));
    assert_eq!(
        fate(&mut sending),
        None,
        "its first part is there: the second may still go"
    );
    sending.give_back(false, at(60), at(111));
    assert!(matches!(fate(&mut sending), Some(Settled::Unknown { ids, .. }) if ids == ["a"]));
}

#[test]
fn a_text_that_is_worthless_is_not_sent() {
    let mut sending: Sending<Piece> = Sending::default();
    let late = OutboxRow {
        expires: at(0),
        ..row(4)
    };
    let pieces = pieces(&profile(|_| ()), &phone(), "C4?", 1, TimeDelta::zero()).unwrap();
    sending.take(late, pieces, at(0));
    assert!(sending.next_piece().is_none());
    assert_eq!(fate(&mut sending), Some(Settled::Expired));
}
