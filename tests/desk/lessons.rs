//! A new keeper's lessons: one a day with the reminder, each once, ended and brought back by text.

use crate::village::*;
use clutchline::desk::reply::Fragment;
use clutchline::desk::streams::StreamState;
use clutchline::desk::tick;
use clutchline::domain::event::{Event, FarmEvent, StreamId};
use clutchline::domain::said::Order;
use clutchline::domain::topic::Topic;

/// The day's reminder: its lesson, and whether anything was sent.
fn morning(village: &mut Village) -> (Option<Topic>, bool) {
    let StreamState::Member(member) = village.state(&StreamId::Member(KEEPER)) else {
        panic!("a member")
    };
    let decision = tick(&village.rules(), &member, &village.farm(), village.now);
    let fragments = fragments_of(&decision);
    let told = fragments.iter().find_map(|fragment| match fragment {
        Fragment::Lesson { topic, .. } => Some(*topic),
        _ => None,
    });
    let recorded: Vec<Topic> = decision
        .changes
        .iter()
        .filter_map(|(_, event)| match event {
            Event::Farm(FarmEvent::Explained(topic)) => Some(*topic),
            _ => None,
        })
        .collect();
    assert_eq!(recorded, Vec::from_iter(told), "what is told is kept");
    let sent = decision.reply.is_some();
    village.put(None, None, decision.changes);
    (told, sent)
}

fn fragments_of(decision: &clutchline::desk::Decision) -> Vec<Fragment> {
    decision
        .reply
        .as_ref()
        .map_or_else(Vec::new, |reply| reply.fragments.clone())
}

/// What is told on each of so many mornings.
fn mornings(village: &mut Village, days: usize) -> Vec<Option<Topic>> {
    (0..days)
        .map(|_| {
            let (told, _) = morning(village);
            village.days_pass(1);
            told
        })
        .collect()
}

#[test]
fn the_first_week_tells_one_thing_a_day_and_each_once() {
    let mut village = Village::with(&[("C4", 0)]);
    let week: Vec<Topic> = mornings(&mut village, 7).into_iter().flatten().collect();
    assert_eq!(week, Topic::WEEK);
    let mut all = week;
    all.extend(mornings(&mut village, 50).into_iter().flatten());
    let mut once = all.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), all.len(), "told twice: {all:?}");
}

#[test]
fn a_second_look_on_the_same_day_tells_nothing_more() {
    let mut village = Village::with(&[("C4", 0)]);
    assert_eq!(morning(&mut village), (Some(Topic::OneLine), true));
    assert_eq!(morning(&mut village), (None, false));
}

#[test]
fn a_stage_is_explained_when_its_work_falls_due() {
    let mut village = Village::with(&[("C4", 0)]);
    let told = mornings(&mut village, 40);
    let day = |topic| told.iter().position(|t| *t == Some(topic));
    // Nobody enters anything, so that from the day of first eggs on there are warnings, and no more lessons.
    assert!(day(Topic::Moats).is_some(), "{told:?}");
    assert!(day(Topic::Water).is_some(), "{told:?}");
    assert!(day(Topic::Water) < day(Topic::BaitAndTraps), "{told:?}");
    // No eggs were taken, so nothing is to be hatched.
    assert_eq!(day(Topic::Hatching), None, "{told:?}");
}

#[test]
fn lessons_end_by_text_and_come_back() {
    let mut village = Village::with(&[("C4", 0)]);
    assert_eq!(morning(&mut village).0, Some(Topic::OneLine));
    village.keeper(order(Order::Lessons(false)));
    village.days_pass(1);
    assert_eq!(morning(&mut village).0, None);
    village.keeper(order(Order::Lessons(true)));
    village.days_pass(1);
    assert_eq!(morning(&mut village).0, Some(Topic::Care));
}

#[test]
fn nobody_is_taught_after_the_first_season_nor_where_reminders_are_off() {
    let mut old = Village::with(&[("C4", 61)]);
    assert_eq!(mornings(&mut old, 3), [None, None, None]);
    let mut away = Village::with(&[("C4", 0)]);
    away.keeper(order(Order::Away(5)));
    assert_eq!(morning(&mut away), (None, false));
    let mut stopped = Village::with(&[("C4", 0)]);
    stopped.keeper(order(Order::Stop));
    assert_eq!(morning(&mut stopped), (None, false));
}
