//! What a cage can give: the published ceiling, ordinary curves without a question, slips with one.

use crate::village::*;
use chrono::{Duration, NaiveDate};
use clutchline::desk::plausible::{Verdict, judge, likely_stock, most_on, pupae_of};
use clutchline::desk::reply::Ask;
use clutchline::desk::unit::{DayHarvest, Run};
use clutchline::domain::StockKind;
use clutchline::units::{Grams, Pupae};

fn run(pupae: Option<u32>, harvests: &[(u16, u32)]) -> Run {
    Run {
        stocked: NaiveDate::from_ymd_opt(2026, 3, 1).unwrap(),
        retired: None,
        pupae: pupae.and_then(Pupae::new),
        weight: None,
        kind: StockKind::OneAge,
        prior: None,
        harvests: harvests
            .iter()
            .map(|(day, hundredths)| DayHarvest {
                day: *day,
                grams: grams(*hundredths),
                added: None,
            })
            .collect(),
        learned: None,
    }
}

fn day(run: &Run, age: i64) -> NaiveDate {
    run.stocked + Duration::days(age)
}

/// Ceiling of 10.8 g per 1,000 pupae: 400 females at 27.10 mg (Macavei et al. 2020, PLoS ONE 15:e0232144); the day's share is a modelling choice.
#[test]
fn the_ceiling_is_that_of_the_published_egg_mass() {
    assert_eq!((400.0_f64 * 27.10 / 1000.0 * 10.0).floor() / 10.0, 10.8);
    let fresh = run(Some(10_000), &[(10, 0)]);
    // 108 g over life, 37.8 g on the steepest day, 65 % in the three days that a trap keeps, and never more than is left.
    assert_eq!(most_on(&fresh, day(&fresh, 11)), grams(3780));
    assert_eq!(most_on(&fresh, day(&fresh, 12)), grams(5940));
    assert_eq!(most_on(&fresh, day(&fresh, 13)), grams(7020));
    assert_eq!(most_on(&fresh, day(&fresh, 20)), grams(7020));
    let spent = run(Some(1000), &[(10, 300), (11, 300), (12, 300)]);
    assert_eq!(most_on(&spent, day(&spent, 13)), grams(180));
}

#[test]
fn unknown_pupae_have_a_general_ceiling() {
    let unknown = run(None, &[]);
    assert_eq!(most_on(&unknown, day(&unknown, 10)), grams(20_000));
    let held = judge(&unknown, day(&unknown, 10), grams(125_000));
    assert!(matches!(held, Verdict::Held { likely: Some(l), .. } if l == grams(12_500)));
}

#[test]
fn an_ordinary_curve_passes_without_a_question() {
    let mut village = Village::with(&[("C4", 30), ("C5", 30)]);
    // Rise, peak, fall, a day of nothing, a dull day, a tail: 8,000 pupae.
    let curve = [
        10, 40, 180, 560, 690, 610, 480, 0, 520, 300, 60, 210, 150, 80, 90, 40, 0, 20, 10, 0,
    ];
    village.history("C4", &curve);
    // A weak cage that wakes up late, then a jump after bait was renewed.
    village.history("C5", &[5, 8, 10, 12, 90, 240, 130, 310, 30, 20, 25, 180]);
}

#[test]
fn missed_days_add_up() {
    let mut village = Village::with(&[("C4", 30)]);
    village.now -= Duration::days(6);
    village.history("C4", &[180, 560, 690, 610]);
    village.days_pass(3);
    let decision = village.keeper(say(&[eggs("C4", 1700)]));
    assert_eq!(asks(&decision), []);
}

#[test]
fn slips_by_ten_are_recognised_in_a_steady_record() {
    for (said, meant) in [(62, 620), (6200, 620), (6100, 610)] {
        let mut village = Village::with(&[("C4", 30)]);
        village.history("C4", &[560, 620, 600, 590]);
        let decision = village.keeper(say(&[eggs("C4", said)]));
        assert!(
            matches!(asks(&decision)[..], [Ask::Implausible { likely: Some(l), .. }] if l == grams(meant)),
            "{said} meant {meant}: {:?}",
            asks(&decision)
        );
    }
}

/// 1 kg of pupae at 150, 120 and 200 mg: the facts' worked values.
#[test]
fn pupae_of_a_kilogram() {
    let counts = [150, 120, 200].map(|mg| pupae_of(grams(100_000), mg).count());
    assert_eq!(counts, [6667, 8333, 5000]);
    assert_eq!(pupae_of(Grams::MAX, 1), Pupae::MAX);
}

#[test]
fn a_stocking_by_weight_said_in_grams_was_kilograms() {
    let likely = likely_stock(Pupae::new(8).unwrap(), Some(grams(120)), 150);
    assert_eq!(
        likely,
        Some((Pupae::new(8000).unwrap(), Some(grams(120_000))))
    );
}
