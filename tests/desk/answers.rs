//! Several questions, `undo`, expiry.

use crate::village::*;
use clutchline::desk::reply::{Answer, Ask, Refusal, SavedNote};
use clutchline::domain::CareJob;
use clutchline::domain::message::Outcome;
use clutchline::domain::said::{Order, Verb};

#[test]
fn yes_answers_the_question_shown_first_then_the_next_is_asked() {
    let mut village = Village::with(&[("C4", 14), ("C5", 14)]);
    let both = village.keeper(say(&[eggs("C4", 7500), eggs("C5", 8000)]));
    assert!(
        matches!(asks(&both)[..], [Ask::Implausible { unit: a, .. }, Ask::Implausible { unit: b, .. }] if a == code("C4") && b == code("C5"))
    );
    let first = village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C4", 0), Some(750));
    assert_eq!(village.grams("C5", 0), None);
    assert_eq!(answers(&first), [Answer::NextQuestion]);
    assert!(matches!(asks(&first)[..], [Ask::Implausible { unit, .. }] if unit == code("C5")));
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C5", 0), Some(800));
    assert_eq!(village.keeper(order(Order::Yes)).outcome, Outcome::Refused);
}

#[test]
fn questions_expire_after_a_day() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 7500)]));
    village.days_pass(1);
    let late = village.keeper(order(Order::Yes));
    assert_eq!(refusals(&late), [Refusal::NothingOpen(Verb::Yes)]);
    assert_eq!(village.farm().questions, []);
    assert_eq!(village.grams("C4", 1), None);
}

#[test]
fn undo_takes_back_the_whole_message_once() {
    let mut village = Village::with(&[("C4", 14)]);
    let before = village.farm();
    village.keeper(say(&[eggs("C4", 750), care(&["C4"], CareJob::Bait)]));
    let undone = village.keeper(order(Order::Undo));
    assert_eq!(undone.outcome, Outcome::Saved);
    assert!(
        saved(&undone)
            .iter()
            .all(|s| s.note == SavedNote::TakenBack)
            && saved(&undone).len() == 2
    );
    assert_eq!(village.farm().units, before.units);
    let again = village.keeper(order(Order::Undo));
    assert_eq!(refusals(&again), [Refusal::NothingOpen(Verb::Undo)]);
}

#[test]
fn undo_after_yes_takes_back_what_the_message_and_its_yes_saved() {
    let mut village = Village::with(&[("C4", 14), ("C5", 14)]);
    let before = village.farm();
    village.keeper(say(&[eggs("C4", 750), eggs("C5", 7500)]));
    village.keeper(order(Order::Yes));
    assert_eq!(village.grams("C5", 0), Some(750));
    village.keeper(order(Order::Undo));
    assert_eq!(village.farm().units, before.units);
}

#[test]
fn undo_of_a_correction_restores_the_weight_before() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    village.keeper(say(&[fix("C4", 700)]));
    village.keeper(order(Order::Undo));
    assert_eq!(village.grams("C4", 0), Some(750));
}

#[test]
fn undo_of_a_message_that_only_asked_drops_its_question_first() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    village.keeper(say(&[eggs("C4", 700)]));
    let dropped = village.keeper(order(Order::Undo));
    assert!(
        matches!(answers(&dropped)[..], [Answer::Kept { grams: Some(g), .. }] if g == grams(750))
    );
    assert_eq!(village.grams("C4", 0), Some(750));
    assert_eq!(village.farm().questions, []);
}

#[test]
fn undo_leaves_alone_what_somebody_else_changed_since() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    village.officer(for_member(KEEPER, say(&[fix("C4", 700)])));
    let undo = village.keeper(order(Order::Undo));
    assert_eq!(undo.outcome, Outcome::Refused);
    assert_eq!(village.grams("C4", 0), Some(700));
}

#[test]
fn undo_of_a_restocking_brings_the_old_run_back_whole() {
    let mut village = Village::with(&[("C4", 14)]);
    village.keeper(say(&[eggs("C4", 750)]));
    let before = village.farm();
    let asked = village.keeper(say(&[stock("C4", 9000)]));
    assert!(matches!(asks(&asked)[..], [Ask::Restock { .. }]));
    village.keeper(order(Order::Yes));
    assert_ne!(village.farm().units, before.units);
    village.keeper(order(Order::Undo));
    assert_eq!(village.farm().units, before.units);
}
