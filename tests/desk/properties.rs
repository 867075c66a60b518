//! Whatever is said in whatever order: states are what their events make of them, and nothing is lost on the way to bytes.

use crate::village::*;
use clutchline::desk::streams::StreamState;
use clutchline::domain::CareJob;
use clutchline::domain::event::{Event, FarmEvent, PhoneEvent, StreamId};
use clutchline::domain::said::{DaySaid, Fact, Order, Reading, Said, Units, Why};
use proptest::prelude::*;

fn any_said() -> impl Strategy<Value = Said> {
    let unit = prop::sample::select(vec!["C1", "C2", "C3", "D1"]);
    let day = prop_oneof![
        4 => Just(DaySaid::Unsaid),
        2 => (0u8..20).prop_map(DaySaid::Back),
        1 => (1u8..32, 1u8..13).prop_map(|(day, month)| DaySaid::Date { day, month }),
    ];
    let job = prop::sample::select(CareJob::ALL.to_vec());
    (unit, day, 0u8..12, 0u32..3000, job).prop_map(|(unit, day, kind, number, job)| {
        let said = match kind {
            0..=2 => eggs(unit, number),
            3 => add(unit, number),
            4 => fix(unit, number),
            5 => kilograms(unit, number * 10),
            6 => stock(unit, number * 5),
            7 => retire(unit),
            8 => fact(named(&[unit]), Fact::Ants),
            9 => fact(Units::All, Fact::Care(job)),
            10 => fact(Units::Unsaid, Fact::Dead(Some(grams(number)))),
            _ => care(&[unit], job),
        };
        on(day, said)
    })
}

fn any_reading() -> impl Strategy<Value = Reading> {
    let orders = vec![
        Order::Yes,
        Order::No,
        Order::Add,
        Order::Undo,
        Order::Tasks,
        Order::Away(3),
    ];
    prop_oneof![
        5 => prop::collection::vec(any_said(), 1..4).prop_map(|said| say(&said)),
        3 => prop::sample::select(orders).prop_map(order),
        1 => prop::collection::vec(any_said(), 0..3).prop_map(|said| doubt(Why::StuckLetter, &said)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn states_are_their_events_and_survive_bytes(
        steps in prop::collection::vec((any_reading(), 0i64..3, any::<bool>()), 1..25)
    ) {
        let mut village = Village::with(&[("C1", 20), ("C2", 3)]);
        for (reading, days, officer) in steps {
            village.days_pass(days);
            if officer {
                village.officer(for_member(KEEPER, reading));
            } else {
                village.keeper(reading);
            }
        }
        for (stream, events) in &village.events {
            let mut replayed = StreamState::empty(stream);
            for recorded in events {
                let bytes = postcard::to_allocvec(recorded).unwrap();
                let read = postcard::from_bytes(&bytes).unwrap();
                prop_assert_eq!(recorded, &read);
                replayed.apply(&read);
            }
            prop_assert_eq!(&replayed, &village.streams[stream]);
            let bytes = postcard::to_allocvec(&replayed).unwrap();
            let read: StreamState = postcard::from_bytes(&bytes).unwrap();
            prop_assert_eq!(&read, &replayed);
            let text = serde_json::to_string(&replayed).unwrap();
            let read: StreamState = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(&read, &replayed);
        }
    }

    #[test]
    fn undo_restores_what_a_message_found(
        before in prop::collection::vec(any_reading(), 0..8),
        said in prop::collection::vec(any_said(), 1..4)
    ) {
        let mut village = Village::with(&[("C1", 20), ("C2", 3)]);
        for reading in before {
            village.keeper(reading);
        }
        let found = village.farm();
        let decision = village.keeper(say(&said));
        let facts = decision.changes.iter().any(|(_, event)| {
            matches!(event, Event::Farm(e) if !matches!(e, FarmEvent::Closed { .. }))
        });
        prop_assume!(facts);
        village.keeper(order(Order::Undo));
        let after = village.farm();
        prop_assert_eq!(&after.units, &found.units);
        prop_assert_eq!(&after.temperatures, &found.temperatures);
        prop_assert!(after.questions.len() <= found.questions.len());
    }

    #[test]
    fn nothing_of_a_doubt_is_recorded(said in prop::collection::vec(any_said(), 0..4)) {
        let mut village = Village::with(&[("C1", 20), ("C2", 3)]);
        let found = village.farm();
        let decision = village.keeper(doubt(Why::TwoNumbers, &said));
        prop_assert_eq!(decision.outcome, clutchline::domain::message::Outcome::Asked);
        prop_assert_eq!(village.farm().units, found.units);
        let farm = StreamId::Farm(KEEPER);
        for (stream, event) in &decision.changes {
            let asked = matches!(event, Event::Farm(FarmEvent::Asked { .. }));
            // The phone only counts its answers in vain.
            let counted = matches!(event, Event::Phone(PhoneEvent::TurnedAway(_)));
            prop_assert!(*stream == farm && asked || counted);
        }
    }
}

#[test]
fn a_farm_of_four_cages_is_small() {
    let mut village = Village::with(&[("C1", 30), ("C2", 30), ("C3", 30), ("C4", 30)]);
    for unit in ["C1", "C2", "C3", "C4"] {
        village.history(
            unit,
            &[210, 440, 700, 650, 420, 330, 250, 180, 120, 90, 60, 50],
        );
        for job in CareJob::ALL {
            village.keeper(say(&[care(&[unit], job)]));
        }
    }
    let bytes = postcard::to_allocvec(&village.streams[&StreamId::Farm(KEEPER)]).unwrap();
    assert!(bytes.len() <= 700, "{} bytes", bytes.len());
}
