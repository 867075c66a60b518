//! What the sums keep of a run: recorded beside the weights, the same on every replay, learned anew where the past changed.

use crate::village::*;
use chrono::Duration;
use clutchline::biology::prior::Prior;
use clutchline::desk::farm::Farm;
use clutchline::desk::streams::StreamState;
use clutchline::desk::ward::{Ward, hold, sum_of};
use clutchline::domain::event::{Event, FarmEvent, MemberEvent, ModelBytes, StreamId};
use clutchline::domain::said::{DaySaid, Fact, Order, StockAmount};
use clutchline::units::Pupae;

const GOOD: [u32; 14] = [
    60, 130, 210, 260, 290, 300, 270, 230, 180, 140, 100, 70, 50, 30,
];

fn belief(farm: &Farm, unit: &str) -> Option<ModelBytes> {
    let run = farm.unit(code(unit))?.running.as_ref()?;
    run.learned.clone()
}

fn laying() -> Village {
    let mut village = Village::with(&[("C4", 24)]);
    village.history("C4", &GOOD);
    village
}

#[test]
fn replaying_a_farm_s_events_gives_the_same_bits_every_time() {
    let mut village = laying();
    village.keeper(say(&[eggs("C4", 20)]));
    village.keeper(say(&[retire("C4")]));
    village.keeper(say(&[stock("C4", 8000)]));
    for (stream, recorded) in &village.events {
        let replay = || {
            let mut state = StreamState::empty(stream);
            for one in recorded {
                state.apply(one);
            }
            postcard::to_stdvec(&state).unwrap()
        };
        let (once, again) = (replay(), replay());
        assert_eq!(once, again);
        assert_eq!(once, postcard::to_stdvec(&village.streams[stream]).unwrap());
    }
}

#[test]
fn a_belief_is_recorded_with_its_weight_and_is_small() {
    let mut village = laying();
    let decision = village.keeper(say(&[eggs("C4", 20)]));
    let learned = decision.changes.iter().find_map(|(_, event)| match event {
        Event::Farm(FarmEvent::Learned { belief, .. }) => Some(belief.clone()),
        _ => None,
    });
    let learned = learned.expect("a weight is learned in its own message");
    assert_eq!(learned.through, 24);
    assert!(learned.bytes.len() <= 600, "{}", learned.bytes.len());
    assert_eq!(belief(&village.farm(), "C4"), Some(learned));
}

/// The same weights with a day sent last, one corrected, one taken back, end in the same belief.
#[test]
fn late_lines_corrections_and_undo_learn_the_run_anew() {
    let wanted = belief(&laying().farm(), "C4");
    assert!(wanted.is_some());

    let mut late = Village::with(&[("C4", 24)]);
    let now = late.now;
    let back = |at: usize| (GOOD.len() - at) as i64;
    for (at, weight) in GOOD.iter().enumerate().filter(|(at, _)| *at != 9) {
        late.now = now - Duration::days(back(at));
        late.keeper(say(&[eggs("C4", *weight)]));
    }
    late.now = now;
    assert_ne!(belief(&late.farm(), "C4"), wanted);
    let day = DaySaid::Back(u8::try_from(back(9)).unwrap());
    let decision = late.keeper(say(&[on(day, eggs("C4", GOOD[9]))]));
    assert_eq!(asks(&decision), []);
    assert_eq!(belief(&late.farm(), "C4"), wanted);

    let mut fixed = Village::with(&[("C4", 24)]);
    let mut slip = GOOD;
    slip[13] = 90;
    fixed.history("C4", &slip);
    assert_ne!(belief(&fixed.farm(), "C4"), wanted);
    fixed.keeper(say(&[on(DaySaid::Back(1), fix("C4", GOOD[13]))]));
    assert_eq!(belief(&fixed.farm(), "C4"), wanted);

    let mut undone = laying();
    undone.keeper(say(&[eggs("C4", 60)]));
    assert_ne!(belief(&undone.farm(), "C4"), wanted);
    undone.keeper(order(Order::Undo));
    assert_eq!(belief(&undone.farm(), "C4"), wanted);

    // More pupae than said: the same eggs are a poorer yield.
    let mut corrected = laying();
    let amount = Some(StockAmount::Count(Pupae::new(16_000).unwrap()));
    let fixed = Fact::FixStock { amount, kind: None };
    corrected.keeper(say(&[fact(named(&["C4"]), fixed)]));
    assert_ne!(belief(&corrected.farm(), "C4"), wanted);
    assert!(belief(&corrected.farm(), "C4").is_some());
}

fn ward_of(village: &Village, name: &str) -> Ward {
    match village.state(&StreamId::Ward(name.to_owned())) {
        StreamState::Ward(ward) => ward,
        _ => panic!("a ward's stream holds a ward"),
    }
}

#[test]
fn a_ward_s_finished_cages_speak_for_a_farm_that_has_none() {
    let mut village = laying();
    village.put(
        None,
        None,
        vec![(
            StreamId::Member(KEEPER),
            Event::Member(MemberEvent::WardSet(Some("Ufukwe".to_owned()))),
        )],
    );
    village.keeper(say(&[retire("C4")]));
    for ward in ["Ufukwe", ""] {
        let lessons = sum_of(&ward_of(&village, ward).lessons).unwrap();
        assert!((lessons.runs() - 1.0).abs() < 1e-6, "{ward:?}");
    }
    let scale = |home: Option<&Ward>| {
        let mut rules = village.rules();
        hold(&mut rules, &Ward::default(), home);
        let carried = rules.ward.priors?.0;
        Prior::from_numbers(&carried.numbers).map(|prior| prior.scale)
    };
    assert_eq!(scale(None), None);
    let learned = scale(Some(&ward_of(&village, "Ufukwe"))).unwrap();
    // One poor cage of one farm moves what is expected of a stranger's less than of its own, and leaves it unsure.
    assert!((-0.20..-0.02).contains(&learned.mean), "{}", learned.mean);
    assert!((0.3..0.5).contains(&learned.sd), "{}", learned.sd);
}

#[test]
fn taking_a_retirement_back_takes_its_lesson_back() {
    let mut village = laying();
    village.keeper(say(&[retire("C4")]));
    assert_eq!(village.farm().lessons.len(), 1);
    village.keeper(order(Order::Undo));
    assert_eq!(village.farm().lessons.len(), 0);
    assert!(belief(&village.farm(), "C4").is_some());
}
