//! The sums against published figures, identities and a reference library. The source stands beside each figure.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

use chrono::{Days, NaiveDate};
use clutchline::biology::chain::{Chain, HoldBack, Laying, pupae_in, weight_each};
use clutchline::biology::curve::{Curve, Timing};
use clutchline::biology::degree_days::{
    DayRange, clamped_average, meteorological, simple_average, single_sine, single_triangle,
};
use clutchline::biology::history::{CageHistory, Run, priors_by};
use clutchline::biology::limits;
use clutchline::biology::mixture::{Part, quantile};
use clutchline::biology::normal;
use clutchline::biology::plan::{PlanError, Wanted, plan};
use clutchline::biology::pooling::Priors;
use clutchline::biology::shape::{self, Shape, ShapeWeights};
use clutchline::biology::stages::{AirWarning, Stage, air_warning, egg_to_fly_days};
use clutchline::biology::tables::{Parameters, TABLE};
use clutchline::biology::warmth::{Known, Temperatures, Warmth};
use clutchline::domain::StockKind;
use clutchline::units::{Grams, Pupae};
use serde_json::Value;
use std::f64::consts::PI;

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected} within {tolerance}"
    );
}

fn day(min: f64, max: f64) -> DayRange {
    DayRange::new(min, max).unwrap()
}

fn table() -> Parameters {
    Parameters::default()
}

#[test]
fn degree_days_agree_with_worked_tables() {
    // UC IPM, citrus table: mean 64 F over 53 F.
    near(simple_average(day(60.0, 68.0), 53.0), 11.0, 1e-12);
    // Iowa State Agronomy 541, lesson 2b: 70/50 F over 50 F.
    near(simple_average(day(50.0, 70.0), 50.0), 10.0, 1e-12);
    // University extension tables, clamped to 50..86 F: 25.5, 11 and 6.5, together 43; and 83/61 F over 50 F.
    let clamped = [(65.0, 90.0), (46.0, 72.0), (42.0, 63.0)]
        .map(|(a, b)| clamped_average(day(a, b), 50.0, 86.0));
    assert_eq!(clamped, [25.5, 11.0, 6.5]);
    near(clamped.iter().sum(), 43.0, 1e-12);
    near(simple_average(day(61.0, 83.0), 50.0), 22.0, 1e-12);
    // The same, clamped to 50..88 F: 11 and 16 (low authority).
    near(clamped_average(day(48.0, 72.0), 50.0, 88.0), 11.0, 1e-12);
    near(clamped_average(day(52.0, 80.0), 50.0, 88.0), 16.0, 1e-12);
    // Met Eireann's form: quarter corrections.
    near(meteorological(day(7.0, 20.0), 12.0), 2.75, 1e-12);
    near(meteorological(day(7.0, 14.0), 12.0), 0.5, 1e-12);
}

#[test]
fn single_sine_agrees_with_published_values() {
    // TrenchR's published test values, thresholds 12 and 33 C (its 5 for 35-40 contradicts its own siblings and the formula: 21).
    for (low, high, expected) in [
        (7.0, 14.0, 0.4681),
        (7.0, 10.0, 0.0),
        (13.0, 14.0, 1.5),
        (13.0, 40.0, 12.9443),
        (7.0, 40.0, 10.9397),
        (7.0, 20.0, 2.8744),
        (35.0, 40.0, 21.0),
    ] {
        near(single_sine(day(low, high), 12.0, 33.0), expected, 1e-3);
    }
    near(single_triangle(day(7.0, 14.0), 12.0, 33.0), 0.2857, 1e-3);
    // Identities: where the mean is the threshold, a sine gives a/pi and a triangle a/4.
    near(single_sine(day(7.0, 17.0), 12.0, 35.0), 5.0 / PI, 1e-12);
    near(single_triangle(day(7.0, 17.0), 12.0, 35.0), 1.25, 1e-12);
    near(single_sine(day(14.0, 26.0), 12.3, 36.0), 7.7, 1e-12);
    // A day without a range divides by nothing.
    near(single_sine(day(25.0, 25.0), 12.0, 35.0), 13.0, 1e-12);
    assert_eq!(DayRange::new(31.0, 19.0), None);
    assert_eq!(DayRange::new(f64::NAN, 19.0), None);
}

#[test]
fn stages_take_as_long_as_published() {
    let p = table();
    let days = |stage: Stage, celsius| stage.days_at(&p, celsius).unwrap();
    // Chia et al. 2018, PLoS ONE 13:e0206097: K and T0 of larvae on two diets.
    near(days(Stage::LarvaRich, 30.0), 14.12, 0.01);
    near(days(Stage::LarvaPlain, 30.0), 18.20, 0.01);
    // Chia et al. 2018, PeerJ: larvae took 16 to 21 days on twelve brewery diets (28 C from memory).
    near(days(Stage::LarvaRich, 28.0), 15.92, 0.01);
    near(days(Stage::LarvaPlain, 28.0), 20.43, 0.01);
    // The same: pupae 8.7 to 9.1 days, prepupae 8 to 11.
    assert!((8.7..=9.1).contains(&days(Stage::Pupa, 28.0)));
    assert!((8.0..=11.0).contains(&days(Stage::Prepupa, 28.0)));
    // Eggs: about 4 days at 27 C (process manual of a pilot plant); 102-105 h at 24 C (Booth & Sheppard 1984, from memory).
    near(days(Stage::Egg, 27.0), 4.0, 0.4);
    near(days(Stage::Egg, 24.0) * 24.0, 103.5, 8.0);
    // Holmes et al. 2016, from memory: 7.75 d at 19 C, none at 12 C.
    near(days(Stage::Egg, 19.0), 7.75, 0.2);
    assert_eq!(Stage::Egg.days_at(&p, 12.0), None);
    // Tomberlin, Sheppard & Joyce 2002: egg to adult 40-43 d at 27 C.
    assert!((40.0..=43.0).contains(&egg_to_fly_days(&p, Stage::LarvaRich, 27.0).unwrap()));
    // Above the cut-off the clock runs no faster.
    near(days(Stage::Pupa, 40.0), days(Stage::Pupa, 35.0), 1e-12);
    // Chia et al. 2018: r of 0.127 and 0.122 a day double in 5.5 and 5.7 days.
    near(2.0_f64.ln() / 0.127, 5.5, 0.05);
    near(2.0_f64.ln() / 0.122, 5.7, 0.05);
    // Tomberlin, Adler & Myers 2009: 0.1 % survive at 36 C.
    assert_eq!(air_warning(&p, day(36.0, 36.0)), Some(AirWarning::Heat));
    assert_eq!(air_warning(&p, day(12.0, 18.0)), Some(AirWarning::Cool));
    assert_eq!(air_warning(&p, day(22.0, 31.0)), None);
}

#[test]
fn the_chain_from_eggs_to_eggs_agrees_with_worked_flows() {
    let mut p = table();
    for (ug, eggs) in [(25.0, 40_000.0), (28.0, 35_714.0), (30.0, 33_333.0)] {
        p.egg_ug = ug;
        near(p.eggs_per_gram(), eggs, 1.0);
    }
    let p = table();
    // Worked from the defaults: 1 g of eggs.
    let chain = Chain::from_eggs(1.0, &p);
    near(chain.hatchlings, 28_000.0, 1e-6);
    near(chain.five_day_olds, 22_400.0, 1e-6);
    near(chain.crates, 2.24, 1e-9);
    near(chain.feed_kg, 33.6, 1e-9);
    near(chain.larvae, 19_040.0, 1e-6);
    near(chain.larvae_kg, 2.856, 1e-9);
    // A grower's 2.4 kg a gram (newspaper, low authority): within a quarter.
    assert!((chain.larvae_kg / 2.4 - 1.0).abs() < 0.25);
    // Dortmans et al. 2017, from memory: 15 kg a crate of 10,000 over 12 days is 125 mg a larva a day, inside Feedipedia's 25-500.
    near(
        p.feed_kg_per_thousand * 1e6 / 1000.0 / p.feed_days,
        125.0,
        1e-9,
    );
    // A tonne of waste a day: 66.67 crates, 666,667 five-day-olds, 29.76 g of eggs.
    let tonne = Chain::from_feed(1000.0, &p);
    near(tonne.crates, 66.67, 0.01);
    near(tonne.crates * p.feed_days, 800.0, 0.1);
    near(tonne.five_day_olds, 666_667.0, 1.0);
    near(tonne.eggs_g, 29.76, 0.01);
    // 20 % of 15 kg from 10,000 larvae is 300 mg each: above the heaviest larvae there are (Feedipedia, 220 mg).
    assert!(weight_each(15.0 * 0.20, 10_000.0, &p).is_err());
    near(
        weight_each(chain.larvae_kg, chain.larvae, &p).unwrap(),
        150.0,
        1e-9,
    );
    // 1,000 pupae by the defaults.
    let laying = Laying::of(1000.0, &p);
    near(laying.adults, 800.0, 1e-9);
    near(laying.females, 400.0, 1e-9);
    near(laying.clutches, 240.0, 1e-9);
    near(laying.grams, 3.6, 1e-9);
    // Pupae in a kilogram.
    for (mg, count) in [(150.0, 6667.0), (120.0, 8333.0), (200.0, 5000.0)] {
        near(
            pupae_in(
                1.0,
                &Parameters {
                    pupa_mg: mg,
                    ..table()
                },
            ),
            count,
            1.0,
        );
    }
    // 10 g of eggs a day: 2,778 pupae (0.417 kg), 3,845 five-day-olds, 1.72 % of those the eggs make.
    let back = HoldBack::of(10.0, 1.0, &p);
    near(back.pupae, 2778.0, 1.0);
    near(back.pupae * p.pupa_mg / 1e6, 0.417, 0.001);
    near(back.five_day_olds, 3845.0, 1.0);
    near(back.share, 0.0172, 1e-4);
    near(back.advised, 0.05, 1e-12);
    // Density study (Massey University): 50 pairs in 0.027 m3; Lemke et al. 2024: 180 flies in 0.93 m3.
    near(50.0 / 0.027, 1852.0, 1.0);
    near(180.0 / 0.93, 193.5, 0.1);
    assert!(p.adults_per_m3 <= 2.0 * 50.0 / 0.027);
}

#[test]
fn laying_ages_and_a_cages_eggs_add_up() {
    let p = table();
    let kernel = shape::kernel(0);
    near(kernel.iter().sum(), 1.0, 1e-9);
    near(
        kernel
            .iter()
            .zip(0_u8..)
            .map(|(m, a)| m * f64::from(a))
            .sum(),
        5.10,
        1e-9,
    );
    assert_eq!(kernel.iter().position(|m| *m > 0.4), Some(4)); // Tomberlin & Sheppard 2002, Julita et al. 2020: day 4.
    // Conservation: whatever the shape, the width and the weather, a life's days add up to all of it.
    for emergence in 0..shape::EMERGENCES {
        for kernel in 0..shape::KERNELS {
            let mut weights = ShapeWeights::only(emergence, kernel);
            weights.correction[3] = 1.6;
            let shape = Shape::new(&weights);
            let days: Vec<f64> = (0..120)
                .map(|d| 13.0 + 3.0 * f64::from(d % 7 - 3))
                .collect();
            let curve = Curve::new(&shape, &days, &p);
            let laid: f64 = curve
                .daily(
                    Timing {
                        middle: 142.0,
                        spread: 30.0,
                    },
                    0,
                    120,
                )
                .sum();
            near(laid, 1.0, 1e-9);
            near(1000.0 * laid * p.grams_per_pupa(), 3.6, 0.005 * 3.6);
        }
    }
}

fn reference() -> Value {
    serde_json::from_str(include_str!("reference/expected.json")).unwrap()
}

fn pairs(value: &Value) -> Vec<Vec<f64>> {
    serde_json::from_value(value.clone()).unwrap()
}

#[test]
fn distributions_agree_with_the_reference_library() {
    let all = reference();
    assert!(all["scipy"].as_str().is_some_and(|it| !it.is_empty()));
    for pair in pairs(&all["normal_cdf"]) {
        near(normal::cdf(pair[0]) / pair[1], 1.0, 1e-11);
        near(normal::cdf_quick(pair[0]), pair[1], 1e-7);
    }
    for pair in pairs(&all["normal_quantile"]) {
        near(normal::quantile(pair[0]), pair[1], 1e-9);
    }
    for (which, name) in ["normal", "flat", "early", "late"].iter().enumerate() {
        let shape = Shape::new(&ShapeWeights::only(which, 0));
        for pair in pairs(&all["emergence"][*name]) {
            near(shape::emergence_cdf(which, pair[0]), pair[1], 1e-10);
            near(shape.emerged(pair[0]), pair[1], 4e-4); // A table with 16 knots a standard deviation.
        }
    }
    for row in pairs(&all["sine"]) {
        near(
            single_sine(day(row[0], row[1]), row[2], row[3]),
            row[4],
            1e-8,
        );
    }
    let fisher = pairs(&serde_json::json!([all["fisher"]["tails"]]));
    near(
        clutchline::biology::warning::together(&fisher[0], 0.0),
        all["fisher"]["together"].as_f64().unwrap(),
        1e-12,
    );
}

#[test]
fn convolution_and_mixture_quantiles_agree_with_the_reference_library() {
    let all = reference();
    let curve = &all["curve"];
    let number = |name: &str| curve[name].as_f64().unwrap();
    let parameters = Parameters {
        laying_clock: 0.0,
        ..table()
    };
    let shape = Shape::new(&ShapeWeights::only(0, 0));
    let days = vec![number("warmth"); 40];
    let ours = Curve::new(&shape, &days, &parameters);
    let at = Timing {
        middle: number("middle"),
        spread: number("spread"),
    };
    let expected: Vec<f64> = serde_json::from_value(curve["daily"].clone()).unwrap();
    assert_eq!(expected.len(), 40);
    for (found, expected) in ours.daily(at, 0, 40).zip(expected) {
        near(found, expected, 5e-4);
    }
    let list =
        |name: &str| -> Vec<f64> { serde_json::from_value(all["mixture"][name].clone()).unwrap() };
    let parts: Vec<Part> = list("weights")
        .into_iter()
        .zip(list("means"))
        .zip(list("sds"))
        .map(|((weight, ln), sd)| Part { weight, ln, sd })
        .collect();
    for pair in pairs(&all["mixture"]["quantiles"]) {
        near(quantile(&parts, pair[0]) / pair[1], 1.0, 1e-5);
    }
}

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
    near(limits::life_ceiling(pupae, &p).as_f64(), 10.8, 1e-9);
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
    assert_eq!(
        limits::empty_trap_by(start(), &temperatures, &p),
        start() + Days::new(3)
    );
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

fn wanted(weekly_g: f64) -> Wanted {
    Wanted {
        weekly_g,
        cages: None,
        cage_m3: 1.02,
        weekly_pupae: None,
        kind: StockKind::OneAge,
        warmth: 14.0,
    }
}

#[test]
fn a_plan_gives_what_was_wanted_or_names_what_binds() {
    let p = table();
    let prior = Priors::of_the_table(&p).one_age;
    let steady = plan(&wanted(50.0), &prior, &p).unwrap();
    near(steady.weekly_g, 50.0, 0.1);
    assert!(steady.adults_per_m3 <= p.adults_per_m3 && steady.days_between <= 4);
    // 50 g a week at 3.6 g a thousand pupae, and a little more for the tail of a retired cage.
    let weekly =
        f64::from(steady.pupae_each * steady.cages_at_once) * 7.0 / f64::from(steady.days_between);
    assert!((13_889.0..16_000.0).contains(&weekly), "{weekly}");
    assert_eq!(
        steady.cages,
        steady.cages_at_once * steady.days_each.div_ceil(steady.days_between)
    );
    let few = plan(
        &Wanted {
            cages: Some(2),
            ..wanted(50.0)
        },
        &prior,
        &p,
    );
    assert!(
        matches!(few, Err(PlanError::Cages { there: 2, .. })),
        "{few:?}"
    );
    let scarce = plan(
        &Wanted {
            weekly_pupae: Some(5000.0),
            ..wanted(50.0)
        },
        &prior,
        &p,
    );
    assert!(matches!(scarce, Err(PlanError::Pupae { .. })), "{scarce:?}");
    let barren = Parameters {
        hatch_share: 0.05,
        ..table()
    };
    assert!(matches!(
        plan(&wanted(50.0), &prior, &barren),
        Err(PlanError::HoldBack { .. })
    ));
    assert_eq!(plan(&wanted(f64::NAN), &prior, &p), Err(PlanError::Amount));
    assert_eq!(
        plan(
            &Wanted {
                warmth: 0.0,
                ..wanted(50.0)
            },
            &prior,
            &p
        ),
        Err(PlanError::Place)
    );
}

#[test]
fn the_document_shows_every_parameter_as_it_is() {
    let document = include_str!("../docs/model.md");
    for row in TABLE {
        let line = format!(
            "| `{}` | {} | {} | {} to {} | {} |",
            row.name, row.default, row.unit, row.low, row.high, row.source
        );
        assert!(
            document.contains(&line),
            "docs/model.md lacks this line:\n{line}"
        );
    }
}
