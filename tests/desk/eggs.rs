//! Eggs: saved, held, already there, added, corrected.

use crate::village::*;
use clutchline::desk::reply::{Ask, Refusal, SavedNote};
use clutchline::domain::message::Outcome;
use clutchline::domain::said::Order;
use clutchline::units::Grams;

#[test]
fn a_clean_line_is_saved_for_each_cage() {
    let mut village = Village::with(&[("C4", 14), ("C5", 14)]);
    let decision = village.keeper(say(&[eggs("C4", 750), eggs("C5", 0)]));
    assert_eq!(decision.outcome, Outcome::Saved);
    assert!(decision.covers_repeats);
    assert_eq!(
        saved_eggs(&decision),
        [
            ("C4".into(), 750, SavedNote::New),
            ("C5".into(), 0, SavedNote::New)
        ]
    );
    assert_eq!(
        (village.grams("C4", 0), village.grams("C5", 0)),
        (Some(750), Some(0))
    );
}

#[test]
fn the_same_value_is_stored_once_and_another_is_a_question() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    let again = village.keeper(say(&[eggs("C4", 750)]));
    assert_eq!(again.outcome, Outcome::Saved);
    assert!(again.changes.is_empty() && !again.covers_repeats);
    assert_eq!(saved_eggs(&again), [("C4".into(), 750, SavedNote::Already)]);

    for (answer, stands, note) in [
        (Order::Yes, 700, Some(SavedNote::Replaced(grams(750)))),
        (Order::Add, 1450, Some(SavedNote::AddedTo(grams(1450)))),
        (Order::No, 750, None),
    ] {
        let mut village = Village::with(&[("C4", 14)]);
        village.keeper(say(&[eggs("C4", 750)]));
        let other = village.keeper(say(&[eggs("C4", 700)]));
        assert_eq!(other.outcome, Outcome::Asked);
        assert!(
            matches!(asks(&other)[..], [Ask::OtherWeight { old, new, .. }] if old == grams(750) && new == grams(700))
        );
        assert_eq!(village.grams("C4", 0), Some(750));
        let answered = village.keeper(order(answer));
        let expected = if note.is_some() {
            Outcome::Saved
        } else {
            Outcome::Answered
        };
        assert_eq!(answered.outcome, expected);
        assert!(!answered.covers_repeats);
        assert_eq!(saved_eggs(&answered).pop().map(|(_, _, n)| n), note);
        assert_eq!(village.grams("C4", 0), Some(stands));
        assert_eq!(village.farm().questions, []);
    }
}

#[test]
fn add_adds_and_the_same_add_again_asks() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 300)]));
    village.keeper(say(&[add("C4", 300)]));
    assert_eq!(village.grams("C4", 0), Some(600));
    let again = village.keeper(say(&[add("C4", 300)]));
    assert!(matches!(asks(&again)[..], [Ask::AddAgain { total, .. }] if total == grams(600)));
    assert_eq!(village.grams("C4", 0), Some(600));
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), Some(900));
}

#[test]
fn fix_corrects_or_records() {
    let mut village = Village::with(&[("C4", 14)]);
    let first = village.keeper(say(&[fix("C4", 260)]));
    assert_eq!(saved_eggs(&first), [("C4".into(), 260, SavedNote::New)]);
    let second = village.keeper(say(&[fix("C4", 300)]));
    assert_eq!(
        saved_eggs(&second),
        [("C4".into(), 300, SavedNote::Replaced(grams(260)))]
    );
    assert_eq!(village.grams("C4", 0), Some(300));
}

#[test]
fn a_lost_decimal_point_is_held_and_yes_saves_what_was_meant() {
    let mut village = Village::with(&[("C4", 14)]);
    let held = village.keeper(say(&[eggs("C4", 7500)]));
    assert_eq!(held.outcome, Outcome::Asked);
    assert!(
        matches!(asks(&held)[..], [Ask::Implausible { likely: Some(l), .. }] if l == grams(750))
    );
    assert_eq!(village.grams("C4", 0), None);
    let yes = village.keeper(order(Order::Yes));
    assert_eq!(yes.outcome, Outcome::Saved);
    assert_eq!(village.grams("C4", 0), Some(750));
}

#[test]
fn the_same_implausible_weight_again_is_asked_about_plainly() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 7500)]));
    let plainly = village.keeper(say(&[eggs("C4", 7500)]));
    assert!(matches!(
        asks(&plainly)[..],
        [Ask::Implausible { likely: None, .. }]
    ));
    assert_eq!(village.farm().questions.len(), 1);
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), Some(7500));
}

#[test]
fn a_new_weight_for_the_asked_cage_withdraws_the_question() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 7500)]));
    let new = village.keeper(say(&[eggs("C4", 740)]));
    assert_eq!(new.outcome, Outcome::Saved);
    assert_eq!(village.farm().questions, []);
    let yes = village.keeper(order(Order::Yes));
    assert_eq!(yes.outcome, Outcome::Refused);
    assert_eq!(village.grams("C4", 0), Some(740));
}

#[test]
fn kilograms_of_eggs_are_held_as_grams() {
    let mut village = Village::with(&[("C4", 14)]);
    let held = village.keeper(say(&[kilograms("C4", 750_000)]));
    assert!(
        matches!(asks(&held)[..], [Ask::Implausible { likely: Some(l), .. }] if l == grams(750))
    );
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), Some(750));

    // 0.0075 kg is 7.5 g indeed.
    let mut village = Village::with(&[("C4", 14)]);
    let held = village.keeper(say(&[kilograms("C4", 750)]));
    assert!(
        matches!(asks(&held)[..], [Ask::Implausible { likely: Some(l), .. }] if l == grams(750))
    );
    assert_eq!(village.grams("C4", 0), None);
}

#[test]
fn eggs_before_flies_can_have_laid_are_a_question() {
    for (days, outcome) in [
        (0, Outcome::Asked),
        (4, Outcome::Asked),
        (5, Outcome::Saved),
    ] {
        let mut village = Village::with(&[("C4", days)]);
        let decision = village.keeper(say(&[eggs("C4", 300)]));
        assert_eq!(decision.outcome, outcome, "day {days}");
        assert_eq!(village.grams("C4", 0).is_some(), outcome == Outcome::Saved);
    }
    let mut village = Village::with(&[("C4", 2)]);
    village.keeper(say(&[eggs("C4", 300)]));
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), Some(300));
    // Nothing is nothing on any day.
    let mut village = Village::with(&[("C4", 2)]);
    assert_eq!(
        village.keeper(say(&[eggs("C4", 0)])).outcome,
        Outcome::Saved
    );
}

#[test]
fn eggs_of_an_empty_cage_are_never_saved() {
    let mut village = Village::with(&[("C4", 20)]);
    village.days_pass(-2);
    village.keeper(say(&[retire("C4")]));
    village.days_pass(2);
    let decision = village.keeper(say(&[eggs("C4", 300)]));
    assert_eq!(decision.outcome, Outcome::Asked);
    assert!(matches!(asks(&decision)[..], [Ask::NotStocked { .. }]));
    let yes = village.keeper(order(Order::Yes));
    assert_eq!(yes.outcome, Outcome::Asked);
    assert_eq!(village.grams("C4", 0), None);
    let no = village.keeper(order(Order::No));
    assert_eq!(no.outcome, Outcome::Answered);
    assert_eq!(village.farm().questions, []);
}

#[test]
fn an_unknown_cage_is_refused_with_the_farms_own() {
    let mut village = Village::with(&[("C4", 14)]);
    let decision = village.keeper(say(&[eggs("C9", 300)]));
    assert_eq!(decision.outcome, Outcome::Refused);
    let have = vec![code("C4")];
    assert_eq!(
        refusals(&decision),
        [Refusal::UnknownUnit {
            unit: code("C9"),
            have
        }]
    );
    let part = village.keeper(say(&[eggs("C4", 300), eggs("C9", 300)]));
    assert_eq!(part.outcome, Outcome::Partly);
    assert_eq!(village.grams("C4", 0), Some(300));
}

#[test]
fn two_weights_for_one_cage_in_a_line_with_the_first_held_save_neither() {
    let mut village = Village::with(&[("C4", 14)]);
    let decision = village.keeper(say(&[eggs("C4", 9000), eggs("C4", 900)]));
    assert_eq!(decision.outcome, Outcome::Asked);
    assert_eq!(village.grams("C4", 0), None);
    assert!(
        matches!(&asks(&decision)[..], [Ask::Doubt { options, .. }] if options == &["90g", "9g"])
    );
}

#[test]
fn gross_and_tare_are_echoed() {
    let mut village = Village::with(&[("C4", 14)]);
    let mut said = eggs("C4", 750);
    if let clutchline::domain::said::Fact::Eggs { weight, .. } = &mut said.fact {
        weight.gross_tare = Some((grams(5750), grams(5000)));
    }
    let decision = village.keeper(say(&[said]));
    let what = &saved(&decision)[0].what;
    let pair: Option<(Grams, Grams)> = match what {
        clutchline::desk::reply::SavedWhat::Eggs { gross_tare, .. } => *gross_tare,
        _ => None,
    };
    assert_eq!(pair, Some((grams(5750), grams(5000))));
}
