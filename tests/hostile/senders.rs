//! Senders that do not tire: a stranger, a machine that answers every answer, one number that floods.

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::TakeError;
use clutchline::counter::settings::Settings;
use clutchline::domain::message::{CoopId, Inbound, LinkName};
use clutchline::domain::phone::PhoneNumber;
use clutchline::store::memory::MemoryDisk;

fn start() -> DateTime<Utc> {
    "2026-03-10T05:00:00Z".parse().unwrap()
}

fn counter() -> Counter {
    Counter::in_memory(
        &MemoryDisk::default(),
        Settings::default(),
        Clock::standing(start()),
    )
    .unwrap()
}

fn inbound(counter: &Counter, no: usize, text: &str) -> Inbound {
    let now = counter.clock().now();
    Inbound {
        link: LinkName("north".to_owned()),
        id: Some(format!("h-{no}")),
        from: PhoneNumber::new("+255700000199").unwrap(),
        to: None,
        text: text.to_owned(),
        sent_at: now,
        sent_at_known: true,
        received_at: now,
    }
}

#[test]
fn a_stranger_and_a_machine_that_answers_answers_cost_three_texts_a_day() {
    let counter = counter();
    let mut said = "is this the bank?".to_owned();
    let mut answered = 0;
    for no in 0..200 {
        counter.clock().advance(Duration::minutes(4));
        let receipt = counter
            .take(CoopId(1), inbound(&counter, no, &said))
            .unwrap();
        if let Some(reply) = receipt.replies.first() {
            answered += 1;
            said.clone_from(&reply.text);
        }
    }
    // 200 texts, four minutes apart: on two farm days at the most.
    assert!((1..=6).contains(&answered), "{answered} answers");
}

#[test]
fn one_number_is_held_back_and_told_when_to_come_again() {
    let counter = counter();
    let mut refused = 0;
    for no in 0..100 {
        if let Err(why) = counter.take(CoopId(1), inbound(&counter, no, &format!("text {no}"))) {
            assert!(
                matches!(
                    why,
                    TakeError::Flooded {
                        retry_after_s: 1..=600
                    }
                ),
                "{why}"
            );
            refused += 1;
        }
    }
    assert_eq!(refused, 40, "sixty in ten minutes go through");
    counter.clock().advance(Duration::minutes(10));
    assert!(
        counter
            .take(CoopId(1), inbound(&counter, 100, "text"))
            .is_ok()
    );
}
