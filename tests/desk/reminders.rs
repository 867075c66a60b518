//! When a farm is woken, and what it is told then.

use crate::village::*;
use chrono::{DateTime, Utc};
use clutchline::desk::streams::StreamState;
use clutchline::desk::{next_wakeup, tick};
use clutchline::domain::event::{Event, FarmEvent, StreamId};
use clutchline::domain::question::Closing;
use clutchline::domain::said::Order;

fn wakeup(village: &Village) -> Option<DateTime<Utc>> {
    let StreamState::Member(member) = village.state(&StreamId::Member(KEEPER)) else {
        panic!("a member")
    };
    next_wakeup(&village.rules(), &member, &village.farm(), village.now)
}

fn at(text: &str) -> Option<DateTime<Utc>> {
    Some(text.parse().unwrap())
}

#[test]
fn a_farm_is_woken_at_its_own_hour() {
    // 08:10 local; six o'clock tomorrow is 03:00 UTC.
    let mut village = Village::with(&[("C4", 14)]);
    assert_eq!(wakeup(&village), at("2026-03-11T03:00:00Z"));
    village.keeper(order(Order::Hour(9)));
    assert_eq!(wakeup(&village), at("2026-03-10T06:00:00Z"));
    // One o'clock belongs to the night that ends the farm day.
    village.keeper(order(Order::Hour(1)));
    assert_eq!(wakeup(&village), at("2026-03-10T22:00:00Z"));
    village.keeper(order(Order::Hour(6)));
    village.keeper(order(Order::Away(5)));
    assert_eq!(wakeup(&village), at("2026-03-15T03:00:00Z"));
    village.keeper(order(Order::Back));
    assert_eq!(wakeup(&village), at("2026-03-11T03:00:00Z"));
    village.keeper(order(Order::Stop));
    assert_eq!(wakeup(&village), None);
    assert_eq!(wakeup(&Village::new()), None);
}

#[test]
fn an_open_question_wakes_the_farm_to_be_closed() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(order(Order::Stop));
    village.keeper(say(&[eggs("C4", 7500)]));
    assert_eq!(wakeup(&village), at("2026-03-11T05:10:00Z"));
    village.days_pass(1);
    let StreamState::Member(member) = village.state(&StreamId::Member(KEEPER)) else {
        panic!("a member")
    };
    let decision = tick(&village.rules(), &member, &village.farm(), village.now);
    assert!(decision.reply.is_none());
    let [(_, event)] = &decision.changes[..] else {
        panic!("one event")
    };
    let closed = FarmEvent::Closed {
        no: 1,
        how: Closing::Expired,
    };
    assert_eq!(*event, Event::Farm(closed));
    village.put(None, None, decision.changes);
    assert_eq!(wakeup(&village), None);
}
