//! Doubts: one possible reading is offered, several are listed, none is recorded.

use crate::village::*;
use clutchline::desk::reply::Ask;
use clutchline::domain::message::Outcome;
use clutchline::domain::said::{Order, Why};

#[test]
fn the_one_reading_that_is_possible_here_is_offered() {
    // `C412.5`: C4 exists, C41 does not.
    let mut village = Village::with(&[("C4", 14)]);
    let asked = village.keeper(doubt(
        Why::StuckNumber,
        &[eggs("C41", 250), eggs("C4", 1250)],
    ));
    assert_eq!(asked.outcome, Outcome::Asked);
    assert!(asked.covers_repeats);
    assert!(
        matches!(&asks(&asked)[..], [Ask::Doubt { likely: Some(s), options, .. }] if s.unit == Some(code("C4")) && options == &["12.5g"])
    );
    assert_eq!(village.grams("C4", 0), None);
    let yes = village.keeper(order(Order::Yes));
    assert_eq!(yes.outcome, Outcome::Saved);
    assert_eq!(village.grams("C4", 0), Some(1250));
}

#[test]
fn two_possible_readings_are_both_listed_and_yes_saves_neither() {
    let mut village = Village::with(&[("C4", 14)]);
    let asked = village.keeper(doubt(Why::TwoNumbers, &[eggs("C4", 200), eggs("C4", 300)]));
    assert!(
        matches!(&asks(&asked)[..], [Ask::Doubt { likely: None, options, .. }] if options == &["2g", "3g"])
    );
    let yes = village.keeper(order(Order::Yes));
    assert_eq!(yes.outcome, Outcome::Asked);
    assert_eq!(village.grams("C4", 0), None);
    // Said clearly, the question is moot.
    village.keeper(say(&[eggs("C4", 200)]));
    assert_eq!(village.farm().questions, []);
}

#[test]
fn a_comma_is_decided_by_what_the_cage_can_give_and_still_asked() {
    let mut village = Village::with(&[("C4", 14)]);
    let asked = village.keeper(doubt(Why::Comma, &[eggs("C4", 120), eggs("C4", 120_000)]));
    assert!(
        matches!(&asks(&asked)[..], [Ask::Doubt { likely: Some(_), options, .. }] if options == &["1.2g"])
    );
}

#[test]
fn a_yes_to_a_reading_is_judged_by_what_stands_there() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    village.keeper(doubt(Why::StuckLetter, &[eggs("C4", 500)]));
    let yes = village.keeper(order(Order::Yes));
    assert!(matches!(asks(&yes)[..], [Ask::OtherWeight { .. }]));
    assert_eq!(village.grams("C4", 0), Some(750));
}

#[test]
fn a_careless_yes_never_saves_what_was_negated() {
    let mut village = Village::with(&[("C4", 20)]);
    let decision = village.keeper(doubt(Why::Unsure, &[eggs("C4", 300)]));
    assert!(matches!(
        asks(&decision).as_slice(),
        [Ask::Doubt { likely: None, .. }]
    ));
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), None);
}

#[test]
fn kilograms_cut_to_two_decimals_are_not_offered() {
    let mut village = Village::with(&[("C4", 20)]);
    let decision = village.keeper(doubt(Why::TooFine, &[kilograms("C4", 1_000)]));
    assert!(matches!(
        asks(&decision).as_slice(),
        [Ask::Doubt { likely: None, options, .. }] if options.is_empty()
    ));
}

#[test]
fn a_careless_yes_never_passes_over_a_check_letter() {
    let mut village = Village::with(&[("C4", 20)]);
    village.keeper(doubt(Why::CheckLetter, &[eggs("C4", 300)]));
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), None);
}

#[test]
fn only_what_yes_can_answer_is_asked_next() {
    let mut village = Village::with(&[("C4", 20), ("C5", 20)]);
    village.keeper(doubt(Why::Unsure, &[eggs("C4", 300)]));
    village.keeper(say(&[eggs("C5", 9_000)]));
    let decision = village.keeper(order(Order::No));
    assert_eq!(asks(&decision), []);
}
