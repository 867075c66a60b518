//! What harvests teach: replay, widths, missed days, trouble and finished cages.

use crate::day;
use crate::near;
use crate::table;
use chrono::{Days, NaiveDate};
use clutchline::biology::degree_days::DayRange;
use clutchline::biology::history::{CageHistory, Run, priors_by};
use clutchline::biology::limits;
use clutchline::biology::pooling::Priors;
use clutchline::biology::warmth::{Known, Temperatures, Warmth};
use clutchline::domain::StockKind;
use clutchline::units::{Grams, Pupae};

fn start() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap()
}

fn cage(harvests: &[(u64, f64)]) -> CageHistory {
    CageHistory {
        stocked_on: start(),
        pupae: Pupae::new(4000),
        kind: StockKind::OneAge,
        retired_on: None,
        harvests: harvests
            .iter()
            .map(|(day, grams)| (start() + Days::new(*day), Grams::from_f64(*grams).unwrap()))
            .collect(),
    }
}

/// Every day as the table's climate has it.
fn usual_days() -> Temperatures {
    let mut temperatures = Temperatures::default();
    for on in start().iter_days().take(60) {
        temperatures.farm.insert(on, day(21.0, 31.0));
    }
    temperatures
}

fn replay(harvests: &[(u64, f64)], until: u64) -> Run {
    let p = table();
    let prior = Priors::of_the_table(&p).one_age;
    Run::replay(
        &cage(harvests),
        &prior,
        &usual_days(),
        &p,
        start() + Days::new(until),
    )
    .unwrap()
    .0
}

/// A plausible one-age run: 14.4 g by the table.
const USUAL: [(u64, f64); 12] = [
    (8, 0.0),
    (9, 0.0),
    (10, 0.1),
    (11, 0.4),
    (12, 1.1),
    (13, 2.0),
    (14, 2.7),
    (15, 2.6),
    (16, 2.1),
    (17, 1.5),
    (18, 0.9),
    (19, 0.5),
];

#[test]
fn a_replay_gives_the_same_bits() {
    let (once, again) = (replay(&USUAL, 19), replay(&USUAL, 19));
    assert_eq!(once.belief, again.belief);
    let bytes = postcard::to_stdvec(&once.belief).unwrap();
    assert_eq!(bytes, postcard::to_stdvec(&again.belief).unwrap());
    assert!(bytes.len() < 2500, "{} bytes", bytes.len());
    let back: clutchline::biology::belief::Belief = postcard::from_bytes(&bytes).unwrap();
    assert_eq!(back, once.belief);
}

#[test]
fn harvests_move_and_narrow_what_is_expected() {
    let p = table();
    let width = |run: &Run| {
        let total = run.forecast(&p, 7, None).total;
        (total.high - total.low) / total.middle
    };
    let (blind, seen) = (replay(&[], 15), replay(&USUAL, 15));
    assert!(
        width(&seen) < 0.7 * width(&blind),
        "{} {}",
        width(&seen),
        width(&blind)
    );
    let half: Vec<(u64, f64)> = USUAL
        .iter()
        .map(|(day, grams)| (*day, grams / 2.0))
        .collect();
    let ratio = replay(&half, 17).forecast(&p, 7, None).total.middle
        / replay(&USUAL, 17).forecast(&p, 7, None).total.middle;
    assert!((0.35..0.7).contains(&ratio), "{ratio}");
    // Zeros count: a cage whose timing is known and that gives nothing is expected to give less.
    let mut prior = Priors::of_the_table(&p).one_age;
    prior.delay.sd = 8.0;
    let expected = |harvests: &[(u64, f64)]| {
        let (run, _) = Run::replay(
            &cage(harvests),
            &prior,
            &usual_days(),
            &p,
            start() + Days::new(16),
        )
        .unwrap();
        run.forecast(&p, 7, None).total.middle
    };
    let zeros: Vec<(u64, f64)> = (8..=16).map(|day| (day, 0.0)).collect();
    assert!(
        expected(&zeros) < 0.5 * expected(&[]),
        "{} {}",
        expected(&zeros),
        expected(&[])
    );
}

#[test]
fn missed_days_add_up_to_the_next_harvest() {
    let p = table();
    let mut missed = USUAL.to_vec();
    missed.retain(|(day, _)| *day != 13 && *day != 15);
    for (day, grams) in &mut missed {
        match day {
            14 => *grams = 2.0 + 2.7,
            16 => *grams = 2.6 + 2.1,
            _ => (),
        }
    }
    let ratio = replay(&missed, 17).forecast(&p, 7, None).total.middle
        / replay(&USUAL, 17).forecast(&p, 7, None).total.middle;
    near(ratio, 1.0, 0.15);
}

#[test]
fn a_spell_of_trouble_is_warned_of_and_does_not_drag_the_curve() {
    let p = table();
    let mut troubled = USUAL.to_vec();
    for (day, grams) in &mut troubled {
        if (13..=15).contains(day) {
            *grams = (*grams * 0.15 * 10.0).round() / 10.0;
        }
    }
    let prior = Priors::of_the_table(&p).one_age;
    let warned = |harvests: &[(u64, f64)]| {
        let (_, seen) = Run::replay(
            &cage(harvests),
            &prior,
            &usual_days(),
            &p,
            start() + Days::new(19),
        )
        .unwrap();
        clutchline::biology::warning::low_yield(&seen, 0.3, &p)
    };
    assert!(warned(&USUAL).is_empty());
    let spell = warned(&troubled);
    assert!(
        spell.iter().any(|it| it.day <= start() + Days::new(15)),
        "{spell:?}"
    );
    let after = |harvests: &[(u64, f64)]| replay(harvests, 17).forecast(&p, 5, None).total.middle;
    assert!(
        after(&troubled) > 0.6 * after(&USUAL),
        "{} {}",
        after(&troubled),
        after(&USUAL)
    );
}

#[test]
fn finished_cages_teach_the_next() {
    let p = table();
    let base = Priors::of_the_table(&p);
    let runs: Vec<CageHistory> = (0..5)
        .map(|_| {
            let half: Vec<(u64, f64)> = USUAL
                .iter()
                .map(|(day, grams)| (*day + 2, grams / 2.0))
                .collect();
            CageHistory {
                retired_on: Some(start() + Days::new(24)),
                ..cage(&half)
            }
        })
        .collect();
    let learned = priors_by(&base, &runs, &usual_days(), &p, start() + Days::new(30));
    let one_age = &learned.one_age;
    assert!(
        one_age.scale.mean < -0.4 && one_age.scale.sd < 0.7 * base.one_age.scale.sd,
        "{:?}",
        one_age.scale
    );
    assert!(one_age.delay.mean > 12.0, "{:?}", one_age.delay);
    assert_eq!(one_age.cages, 5);
    // The other kind of stock shares the farm's yield, less surely.
    assert!(learned.mixed.scale.mean < -0.2 && learned.mixed.scale.mean > one_age.scale.mean);
    // Nothing is learned from cages that still run.
    assert_eq!(
        priors_by(&base, &runs, &usual_days(), &p, start())
            .one_age
            .delay
            .mean,
        0.0
    );
}

#[test]
fn ceilings_and_traps() {
    let p = table();
    let pupae = Pupae::new(1000);
    // 400 females x 27.10 mg (Macavei et al. 2020) a thousand pupae; 35 % of it on one day, up to three days' worth.
    near(limits::ceiling(pupae, 1, &p).as_f64(), 3.78, 1e-9);
    near(limits::ceiling(pupae, 9, &p).as_f64(), 10.8, 1e-9);
    assert!(limits::before_laying(4, &p) && !limits::before_laying(5, &p));
    let mut temperatures = Temperatures::default();
    for day in start().iter_days().take(20) {
        temperatures
            .farm
            .insert(day, DayRange::new(30.0, 30.0).unwrap());
    }
    // 3.06 d at 30 C: hatching on the fourth day, so traps are emptied by the third.
    assert!(!limits::hatched_in_trap(
        start(),
        start() + Days::new(3),
        &temperatures,
        &p
    ));
    assert!(limits::hatched_in_trap(
        start(),
        start() + Days::new(4),
        &temperatures,
        &p
    ));
}

#[test]
fn missing_temperatures_are_filled_and_marked() {
    let p = table();
    let mut temperatures = Temperatures::default();
    assert_eq!(temperatures.on(start(), &p).1, Known::Assumed);
    temperatures.farm.insert(start(), day(18.0, 28.0));
    temperatures
        .farm
        .insert(start() + Days::new(2), day(20.0, 30.0));
    assert_eq!(
        temperatures.on(start() + Days::new(1), &p),
        (day(19.0, 29.0), Known::Filled)
    );
    assert_eq!(
        temperatures.on(start() + Days::new(90), &p).1,
        Known::Climate
    );
    let warmth = Warmth::from(start(), 3, &temperatures, &p);
    near(warmth.days[0], 11.0, 1e-12);
}
