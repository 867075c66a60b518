//! Which cages are meant, stocking, restocking, retiring, care.

use crate::village::*;
use clutchline::desk::reply::{Ask, Fragment, Refusal, SavedNote, SavedWhat, Stage};
use clutchline::domain::CareJob;
use clutchline::domain::message::Outcome;
use clutchline::domain::said::{Fact, Order, UnitSaid, Units};

#[test]
fn an_unnamed_weight_goes_to_the_only_laying_cage_or_is_asked_about() {
    let unsaid = || {
        fact(
            Units::Unsaid,
            Fact::Eggs {
                weight: weighed(500),
                add: false,
            },
        )
    };
    let mut village = Village::with(&[("C4", 14), ("C5", 1)]);
    assert_eq!(
        saved_eggs(&village.keeper(say(&[unsaid()]))),
        [("C4".into(), 500, SavedNote::New)]
    );
    let mut village = Village::with(&[("C4", 14), ("C5", 14)]);
    let asked = village.keeper(say(&[unsaid()]));
    assert!(
        matches!(&asks(&asked)[..], [Ask::WhichUnit { units, .. }] if units == &[code("C4"), code("C5")])
    );
    assert_eq!(village.keeper(order(Order::Yes)).outcome, Outcome::Asked);
    village.keeper(say(&[eggs("C5", 500)]));
    assert_eq!(village.farm().questions, []);
    assert_eq!(village.grams("C4", 0), None);
}

#[test]
fn all_means_running_cages_in_one_saying() {
    let mut village = Village::with(&[("C4", 14), ("C5", 14), ("C6", 14)]);
    village.keeper(say(&[retire("C6")]));
    let decision = village.keeper(say(&[fact(Units::All, Fact::Care(CareJob::Water))]));
    let saved = saved(&decision);
    assert_eq!(saved.len(), 1);
    assert_eq!(saved[0].note, SavedNote::With(vec![code("C5")]));
    assert_eq!(
        village
            .farm()
            .unit(code("C6"))
            .unwrap()
            .last_care(CareJob::Water),
        None
    );
}

#[test]
fn a_range_passes_over_cages_that_are_not_there() {
    let mut village = Village::with(&[("C1", 14), ("C3", 14)]);
    let unit = |name, inside_range| UnitSaid {
        code: code(name),
        checked: false,
        inside_range,
    };
    let units = Units::Named(vec![unit("C1", false), unit("C2", true), unit("C3", false)]);
    let decision = village.keeper(say(&[fact(units, Fact::Care(CareJob::Water))]));
    assert_eq!(decision.outcome, Outcome::Saved);
}

#[test]
fn several_jobs_of_a_cage_are_said_together() {
    let mut village = Village::with(&[("C4", 14)]);
    let line = say(&[care(&["C4"], CareJob::Bait), care(&["C4"], CareJob::Water)]);
    let first = village.keeper(line.clone());
    assert_eq!(
        saved(&first)[0].what,
        SavedWhat::Care(vec![CareJob::Bait, CareJob::Water])
    );
    let again = village.keeper(line);
    assert_eq!((again.outcome, again.changes.len()), (Outcome::Saved, 0));
}

#[test]
fn restocking_keeps_the_old_run_apart() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    village.keeper(say(&[stock("C4", 9000)]));
    village.keeper(order(Order::Yes));
    let farm = village.farm();
    let unit = farm.unit(code("C4")).unwrap();
    assert_eq!(unit.running.as_ref().unwrap().harvests, []);
    assert_eq!(unit.last.as_ref().unwrap().total(), grams(750));
    assert_eq!(unit.last.as_ref().unwrap().retired, Some(village.today()));
}

#[test]
fn a_cage_may_start_with_unknown_pupae_and_learn_them_the_same_day() {
    let mut village = Village::new();
    let unknown = fact(
        named(&["C9"]),
        Fact::Stock {
            amount: None,
            kind: None,
        },
    );
    assert_eq!(village.keeper(say(&[unknown])).outcome, Outcome::Saved);
    assert_eq!(
        saved(&village.keeper(say(&[stock("C9", 8000)])))[0].note,
        SavedNote::Corrected
    );
    let fixed = fact(
        named(&["C9"]),
        Fact::FixStock {
            amount: None,
            kind: Some(clutchline::domain::StockKind::Mixed),
        },
    );
    village.keeper(say(&[fixed]));
    let run = village
        .farm()
        .unit(code("C9"))
        .unwrap()
        .running
        .clone()
        .unwrap();
    assert_eq!(run.pupae.unwrap().count(), 8000);
    assert_eq!(run.kind, clutchline::domain::StockKind::Mixed);
}

#[test]
fn a_stocking_ten_times_too_large_is_held() {
    let mut village = Village::new();
    let held = village.keeper(say(&[stock("C9", 80_000)]));
    assert!(
        matches!(asks(&held)[..], [Ask::StockSize { likely: Some(p), .. }] if p.count() == 8000)
    );
    assert_eq!(village.farm().units, []);
    village.keeper(order(Order::Yes));
    assert_eq!(
        village.farm().units[0]
            .running
            .as_ref()
            .unwrap()
            .pupae
            .unwrap()
            .count(),
        8000
    );
}

#[test]
fn retiring_needs_a_running_cage() {
    let mut village = Village::with(&[("C4", 14)]);
    assert_eq!(village.keeper(say(&[retire("C4")])).outcome, Outcome::Saved);
    assert_eq!(
        saved(&village.keeper(say(&[retire("C4")])))[0].note,
        SavedNote::Already
    );
    village.days_pass(1);
    assert_eq!(
        refusals(&village.keeper(say(&[retire("C4")]))),
        [Refusal::NotRunning(code("C4"))]
    );
}

#[test]
fn a_question_about_a_cage_is_answered_and_records_nothing() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    let state = village.keeper(say(&[fact(named(&["C4"]), Fact::State)]));
    assert_eq!(
        (state.outcome, state.changes.len(), state.covers_repeats),
        (Outcome::Answered, 0, false)
    );
    assert!(
        matches!(&fragments(&state)[..], [Fragment::State(s)] if s.last_week == grams(750) && s.stage == Stage::Laying { days: 14 })
    );
}

#[test]
fn a_part_that_is_not_understood_is_named_without_digits() {
    let mut village = Village::with(&[("C4", 14)]);
    let mut reading = say(&[eggs("C4", 750)]);
    for text in ["blahblahblahblah", "12.5", "www.example.org"] {
        reading.unread.push(clutchline::domain::said::Unread {
            text: text.to_owned(),
            at: 0,
            unit: None,
            expected: clutchline::domain::said::Expected::CageOrWord,
        });
    }
    let decision = village.keeper(reading);
    assert_eq!(decision.outcome, Outcome::Partly);
    let unread = fragments(&decision).into_iter().find_map(|f| match f {
        Fragment::Unread { words, example, .. } => Some((words, example)),
        _ => None,
    });
    assert_eq!(
        unread,
        Some((vec!["blahblahblah".to_owned()], "C4 12.5".to_owned()))
    );
}

#[test]
fn a_bare_code_after_which_cage_asks_again() {
    let mut village = Village::with(&[("C4", 14), ("C5", 14)]);
    let weight = weighed(500);
    village.keeper(say(&[fact(
        Units::Unsaid,
        Fact::Eggs { weight, add: false },
    )]));
    let again = village.keeper(say(&[fact(named(&["C4"]), Fact::State)]));
    assert_eq!(again.outcome, Outcome::Asked);
    assert!(matches!(asks(&again)[..], [Ask::WhichUnit { .. }]));
    assert_eq!(village.grams("C4", 0), None);
}

#[test]
fn a_cooperative_may_require_the_check_letter() {
    let mut village = Village::with(&[("C4", 14)]);
    let mut rules = village.rules();
    rules.check_letter_required = true;
    let changes = clutchline::desk::office::change_rules(&village.rules(), rules).unwrap();
    village.put(None, None, changes);
    let bare = village.keeper(say(&[eggs("C4", 500)]));
    assert_eq!(refusals(&bare), [Refusal::CheckLetterNeeded(code("C4"))]);
    let mut said = eggs("C4", 500);
    if let Units::Named(named) = &mut said.units {
        named[0].checked = true;
    }
    assert_eq!(village.keeper(say(&[said])).outcome, Outcome::Saved);
}
