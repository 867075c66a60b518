//! Senders that do not tire: a stranger, a machine that answers every answer, one number that floods.

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::{OfficeRequest, TakeError};
use clutchline::counter::settings::Settings;
use clutchline::domain::message::{CoopId, Inbound, LinkName, Outcome, Receipt};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
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

/// `stop` and `start` in turn change something each time.
#[test]
fn a_stranger_who_stops_and_starts_costs_three_texts_a_day_too() {
    let counter = counter();
    let mut answered = 0;
    for no in 0..100 {
        counter.clock().advance(Duration::minutes(4));
        let text = ["stop", "start"][no % 2];
        let receipt = counter
            .take(CoopId(1), inbound(&counter, no, text))
            .unwrap();
        answered += receipt.replies.len();
    }
    assert!((1..=6).contains(&answered), "{answered} answers");
    let receipt = counter
        .take(CoopId(1), inbound(&counter, 100, "stop"))
        .unwrap();
    let silent = receipt.outcome == Outcome::Saved && receipt.replies.is_empty();
    assert!(silent, "a wish for silence is kept, answered or not");
}

/// A cooperative with one member, who has stocked a cage.
fn with_a_member() -> Counter {
    let counter = counter();
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let rules = Box::new(rules);
    let coop = CoopId(1);
    counter
        .office(OfficeRequest::Found { coop, rules })
        .unwrap();
    takes(&counter, 1_000, "join ZIWANI Asha");
    takes(&counter, 1_001, "C1 stock 8000");
    counter
}

/// What the member's next text gets, a minute after the last.
fn takes(counter: &Counter, no: usize, text: &str) -> Receipt {
    counter.clock().advance(Duration::minutes(1));
    counter.take(CoopId(1), inbound(counter, no, text)).unwrap()
}

/// A member's phone with a machine on it that says the same to everything.
#[test]
fn a_members_machine_that_answers_answers_falls_silent_and_its_keeper_is_still_heard() {
    let counter = with_a_member();
    let take = |no: usize, text: &str| takes(&counter, no, text);
    let said = "I am in a meeting and will call you back";
    let answered: usize = (0..300).map(|no| take(no, said).replies.len()).sum();
    assert!((1..=20).contains(&answered), "{answered} answers");
    let heard = take(1_002, "C1 water");
    assert!(!heard.replies.is_empty(), "{heard:?}");
}

/// A machine on a member's phone that gives back what it hears, whatever set it off. Each answer to it is an answer to the next.
#[test]
fn a_members_machine_that_gives_back_what_it_hears_falls_silent() {
    let firsts = [
        "I am in a meeting",
        "C9 12.5",
        "C1 12.5",
        "C1 4000",
        "tasks",
        "help",
        "undo",
        "for 2071 C1 9",
        "fix C1 9",
        "pin 4711",
        "my data",
        "forget me",
        "join ZIWANI Asha",
        "C1 stock 900000000",
        "C1 12.5 yesterday",
        "yes",
    ];
    for first in firsts {
        let (coop, counter) = (CoopId(1), with_a_member());
        let take = |no: usize, text: &str| takes(&counter, no, text);
        let mut said = first.to_owned();
        let mut outcomes: Vec<(Outcome, String)> = Vec::new();
        for no in 0..1_000 {
            let receipt = take(no, &said);
            let Some(reply) = receipt.replies.first() else {
                break;
            };
            outcomes.push((
                receipt.outcome,
                std::mem::replace(&mut said, reply.text.clone()),
            ));
        }
        let told = outcomes
            .iter()
            .filter(|(outcome, _)| *outcome != Outcome::Duplicate)
            .count();
        assert!(told <= 40, "{first}: {told}, {outcomes:?}");
        for farm in counter.farms(coop).unwrap() {
            counter
                .harvests_of(coop, farm, &mut |row| panic!("{first}: {row:?}"))
                .unwrap();
        }
        // Whoever sends a whole entry is heard: after `undo` there is no cage any more.
        take(1_002, "C1 stock 8000");
        let heard = take(1_003, "C1 water");
        assert!(!heard.replies.is_empty(), "{heard:?}");
    }
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
