//! How far back, and never ahead.

use crate::village::*;
use clutchline::desk::reply::Refusal;
use clutchline::domain::message::Outcome;
use clutchline::domain::said::DaySaid;

#[test]
fn keepers_go_back_fourteen_days_officers_to_the_stocking() {
    let mut village = Village::with(&[("C4", 30)]);
    let back = |days| say(&[on(DaySaid::Back(days), eggs("C4", 500))]);
    assert_eq!(village.keeper(back(14)).outcome, Outcome::Saved);
    assert_eq!(
        refusals(&village.keeper(back(15))),
        [Refusal::TooFarBack { days: 14 }]
    );
    assert_eq!(
        village.officer(for_member(KEEPER, back(20))).outcome,
        Outcome::Saved
    );
    let before = village.officer(for_member(KEEPER, back(31)));
    assert!(matches!(
        refusals(&before)[..],
        [Refusal::BeforeStocking { .. }]
    ));
    assert_eq!(before.outcome, Outcome::Refused);
}

#[test]
fn a_coming_date_is_refused_and_so_is_none() {
    let mut village = Village::with(&[("C4", 30)]);
    let date = |day, month| say(&[on(DaySaid::Date { day, month }, eggs("C4", 500))]);
    assert_eq!(
        refusals(&village.keeper(date(11, 3))),
        [Refusal::FutureDay(code("C4"))]
    );
    assert_eq!(refusals(&village.keeper(date(11, 23))), [Refusal::DayMonth]);
    assert_eq!(village.keeper(date(9, 3)).outcome, Outcome::Saved);
    assert_eq!(village.grams("C4", 1), Some(500));
}

#[test]
fn stockings_go_back_sixty_days() {
    for (days, outcome) in [(60, Outcome::Saved), (61, Outcome::Refused)] {
        let mut village = Village::new();
        let said = on(DaySaid::Back(days), stock("C9", 8000));
        assert_eq!(village.keeper(say(&[said])).outcome, outcome);
    }
}

#[test]
fn a_line_after_midnight_belongs_to_the_evening_before() {
    let mut village = Village::with(&[("C4", 14)]);
    village.now = "2026-03-10T23:30:00Z".parse().unwrap();
    village.keeper(say(&[eggs("C4", 500)]));
    village.now = "2026-03-11T05:00:00Z".parse().unwrap();
    assert_eq!(
        (village.grams("C4", 1), village.grams("C4", 0)),
        (Some(500), None)
    );
}
