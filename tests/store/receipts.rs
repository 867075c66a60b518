//! Texts on their way out: receipts early and late, what nobody knows, another link, the bill.

use crate::folder::village;
use crate::*;
use clutchline::store::delivery::{DeliveryState, Matched};
use clutchline::store::ledger::Month;
use clutchline::store::outbox::{OutboxRow, Settled, Urgency};
use std::fs;

fn send() -> LinkName {
    LinkName("send".to_owned())
}

/// The rows that answer `count` questions, leased.
fn rows(counter: &Counter, count: usize) -> Vec<OutboxRow> {
    for n in 0..count {
        let mut inbound = message(Some(&format!("q-{n}")), A, "tasks", None);
        inbound.link = send();
        counter.take(COOP, inbound).unwrap();
    }
    counter.lease_once(&send(), "one", count).unwrap()
}

fn sent(ids: &[&str]) -> Settled {
    Settled::Sent {
        ids: ids.iter().map(|id| (*id).to_owned()).collect(),
        parts: 2,
    }
}

fn hear(counter: &Counter, id: &str, state: DeliveryState) -> Matched {
    let at = counter.clock().now();
    counter
        .receipt(&send(), vec![id.to_owned()], state, at)
        .unwrap()
}

fn failed() -> DeliveryState {
    DeliveryState::Failed {
        why: "absent\nsubscriber".to_owned(),
    }
}

#[test]
fn a_text_is_delivered_when_every_part_is_and_failed_when_one_is() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    let rows = rows(&counter, 2);
    let state = |row: usize| counter.delivery(rows[row].id).unwrap().unwrap();
    counter.settle(rows[0].id, sent(&["a1", "a2"])).unwrap();
    counter.settle(rows[1].id, sent(&["b1", "b2"])).unwrap();
    assert_eq!(state(0), DeliveryState::OnItsWay);
    let matched = hear(&counter, "a1", DeliveryState::Delivered);
    assert_eq!(matched, Matched::Row(rows[0].id));
    assert_eq!(state(0), DeliveryState::OnItsWay, "half of it");
    hear(&counter, "a2", DeliveryState::Delivered);
    // What was final stays.
    hear(&counter, "a2", failed());
    assert_eq!(state(0), DeliveryState::Delivered);
    hear(&counter, "b2", failed());
    let why = "absent subscriber".to_owned();
    assert_eq!(state(1), DeliveryState::Failed { why });
    let listed = counter.sent(COOP, false, 10).unwrap();
    assert_eq!(listed.len(), 2);
    assert!(
        listed
            .iter()
            .all(|record| record.row.outbound.text.is_empty())
    );
    assert_eq!(counter.check().unwrap().faults, [""; 0]);
    // Another link's ids are other texts'.
    let at = counter.clock().now();
    let other = LinkName("north".to_owned());
    let matched = counter.receipt(&other, vec!["a1".to_owned()], failed(), at);
    assert_eq!(matched.unwrap(), Matched::Early);
    counter.close().unwrap();
}

#[test]
fn a_receipt_that_comes_first_waits_a_day_for_its_text() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let rows = rows(&counter, 2);
    let delivered = || DeliveryState::Delivered;
    assert_eq!(hear(&counter, "a1", delivered()), Matched::Early);
    // A later word that is not final does not hide the final one.
    assert_eq!(
        hear(&counter, "a1", DeliveryState::OnItsWay),
        Matched::Early
    );
    assert_eq!(hear(&counter, "b1", delivered()), Matched::Early);
    counter.settle(rows[0].id, sent(&["a1"])).unwrap();
    assert_eq!(counter.delivery(rows[0].id).unwrap(), Some(delivered()));
    clock.advance(Duration::hours(25));
    counter.tick().unwrap();
    counter.settle(rows[1].id, sent(&["b1"])).unwrap();
    let state = counter.delivery(rows[1].id).unwrap();
    assert_eq!(state, Some(DeliveryState::OnItsWay));
    // Nothing is kept for ever.
    clock.advance(Duration::days(15));
    counter.tick().unwrap();
    assert!(counter.sent(COOP, false, 10).unwrap().is_empty());
    assert_eq!(hear(&counter, "b1", delivered()), Matched::Early);
    clock.advance(Duration::days(2));
    counter.tick().unwrap();
    let report = counter.check().unwrap();
    let left = |shelf: &str| report.records[shelf];
    assert_eq!(
        ["sent", "marks", "early", "ages"].map(left),
        [0; 4],
        "{report:?}"
    );
    counter.close().unwrap();
}

#[test]
fn what_a_network_may_have_is_never_sent_again_by_itself() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let rows = rows(&counter, 3);
    let unknown = |ids: &[&str]| Settled::Unknown {
        why: "no answer".to_owned(),
        ids: ids.iter().map(|id| (*id).to_owned()).collect(),
        parts: 2,
    };
    counter.settle(rows[0].id, unknown(&["a1"])).unwrap();
    counter.settle(rows[1].id, unknown(&[])).unwrap();
    // The third row's driver dies.
    clock.advance(Duration::hours(1));
    assert!(counter.lease_once(&send(), "two", 10).unwrap().is_empty());
    assert_eq!(counter.sent(COOP, true, 10).unwrap().len(), 3);
    assert_eq!(counter.counts().unknown, 3);
    let north = LinkName("north".to_owned());
    assert_eq!(counter.divert(&send(), &north, 0).unwrap(), 0);
    // One part's receipt does not speak for the other part.
    hear(&counter, "a1", DeliveryState::Delivered);
    let state = counter.delivery(rows[0].id).unwrap().unwrap();
    assert_eq!(state.word(), "unknown");
    // A receipt that names our own reference ends the doubt, and the text is on the bill.
    let march = Month::read("2026-03");
    assert_eq!(counter.ledger(COOP, march).unwrap(), []);
    hear(&counter, &rows[1].id.reference(), DeliveryState::Delivered);
    let state = counter.delivery(rows[1].id).unwrap();
    assert_eq!(state, Some(DeliveryState::Delivered));
    assert_eq!(counter.ledger(COOP, march).unwrap()[0].sent.parts, 2);
    // A person ends the others.
    let again = Some(clock.now() + Duration::hours(2));
    assert!(counter.resolve(rows[0].id, again).unwrap());
    assert!(
        !counter.resolve(rows[1].id, again).unwrap(),
        "it has arrived"
    );
    assert!(counter.resolve(rows[2].id, None).unwrap());
    let leased = counter.lease_once(&send(), "two", 10).unwrap();
    assert_eq!(leased.len(), 1);
    assert_eq!(leased[0].outbound, rows[0].outbound);
    assert_eq!(counter.check().unwrap().faults, [""; 0]);
    counter.close().unwrap();
}

#[test]
fn an_answer_that_comes_late_ends_the_doubt_and_the_text_is_billed_once() {
    let dir = TempDir::new().unwrap();
    let counter = village(dir.path(), &Clock::standing(start()));
    let rows = rows(&counter, 2);
    let doubt = |ids: &[&str]| Settled::Unknown {
        why: "no answer".to_owned(),
        ids: ids.iter().map(|id| (*id).to_owned()).collect(),
        parts: 2,
    };
    counter.settle(rows[0].id, doubt(&["a1"])).unwrap();
    hear(&counter, "a1", DeliveryState::Delivered);
    for _ in 0..2 {
        counter.settle(rows[0].id, sent(&["a1", "a2"])).unwrap();
    }
    assert!(counter.sent(COOP, true, 10).unwrap().is_empty());
    // What a receipt said of the first part stands; the second's makes it whole.
    let state = || counter.delivery(rows[0].id).unwrap().unwrap();
    assert_eq!(state(), DeliveryState::OnItsWay);
    hear(&counter, "a2", DeliveryState::Delivered);
    assert_eq!(state(), DeliveryState::Delivered);
    let march = Month::read("2026-03");
    assert_eq!(counter.ledger(COOP, march).unwrap()[0].sent.parts, 2);
    // Nothing else ends a doubt: above all not a word to try again.
    counter.settle(rows[1].id, doubt(&[])).unwrap();
    let at = counter.clock().now();
    counter.settle(rows[1].id, Settled::Retry { at }).unwrap();
    assert_eq!(counter.sent(COOP, true, 10).unwrap().len(), 1);
    assert!(counter.lease_once(&send(), "one", 10).unwrap().is_empty());
    assert_eq!(counter.check().unwrap().faults, [""; 0]);
    counter.close().unwrap();
}

#[test]
fn only_what_no_network_can_have_goes_by_another_link() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let north = LinkName("north".to_owned());
    let rows = rows(&counter, 4);
    let at = clock.now() + Duration::minutes(10);
    counter.settle(rows[0].id, Settled::Retry { at }).unwrap();
    counter
        .settle(rows[1].id, Settled::RetryHere { at })
        .unwrap();
    let why = "refused".to_owned();
    counter.settle(rows[2].id, Settled::Dead { why }).unwrap();
    // The fourth is leased still.
    assert_eq!(counter.divert(&send(), &north, 2).unwrap(), 0, "tried once");
    assert_eq!(counter.divert(&send(), &north, 1).unwrap(), 1);
    let moved = counter.lease(&north, "one", 10).unwrap();
    assert_eq!(moved.len(), 1);
    assert_eq!((moved[0].id, moved[0].attempts), (rows[0].id, 0));
    assert_eq!(counter.queued(&send(), 10).unwrap(), 2);
    // A try that was met with silence stays in doubt, whatever the next one meets.
    clock.advance(Duration::minutes(11));
    let again = counter.lease(&send(), "one", 10).unwrap();
    assert_eq!(again.len(), 2);
    let at = clock.now();
    counter.settle(rows[1].id, Settled::Retry { at }).unwrap();
    assert_eq!(counter.divert(&send(), &north, 0).unwrap(), 0);
    let dead = counter.dead(COOP, 10).unwrap();
    assert_eq!(dead[0].dead.as_deref(), Some("refused"));
    clock.advance(Duration::days(91));
    counter.tick().unwrap();
    assert!(counter.dead(COOP, 10).unwrap().is_empty());
    counter.close().unwrap();
}

#[test]
fn the_bill_counts_parts_by_member_and_month_and_goes_with_an_export() {
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = village(dir.path(), &clock);
    let rows = rows(&counter, 3);
    counter.settle(rows[0].id, sent(&["a1"])).unwrap();
    counter.settle(rows[1].id, Settled::sent()).unwrap();
    counter.settle(rows[1].id, Settled::sent()).unwrap();
    clock.advance(at("2026-04-01T00:00:00Z") - clock.now());
    counter.settle(rows[2].id, Settled::sent()).unwrap();
    hear(&counter, "x", DeliveryState::Expired);
    let bill: Vec<_> = counter
        .ledger(COOP, None)
        .unwrap()
        .into_iter()
        .map(|line| (line.month.to_string(), line.sent.texts, line.sent.parts))
        .collect();
    let expected = [("2026-03".to_owned(), 2, 3), ("2026-04".to_owned(), 1, 1)];
    assert_eq!(bill, expected);
    let [first, second] = ["a", "b"].map(|name| dir.path().join(name));
    counter.export_to(&first).unwrap();
    counter.close().unwrap();
    let copy = TempDir::new().unwrap();
    clutchline::counter::keeping::import(copy.path(), &first).unwrap();
    let counter = open(copy.path(), &clock);
    counter.export_to(&second).unwrap();
    assert_eq!(fs::read(first).unwrap(), fs::read(second).unwrap());
    counter.close().unwrap();
}

#[test]
fn stored_keys_hold_what_each_urgency_has_always_been() {
    assert_eq!(Urgency::ALL.map(|urgency| urgency as u8), [0, 1, 2, 3]);
}
