//! The sums against published figures, identities and a reference library. The source stands beside each figure.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "biology/harvests.rs"]
mod harvests;
#[path = "biology/planning.rs"]
mod planning;

use clutchline::biology::chain::{Chain, HoldBack, Laying, pupae_in, weight_each};
use clutchline::biology::curve::{Curve, Timing};
use clutchline::biology::degree_days::{
    DayRange, clamped_average, meteorological, simple_average, single_sine, single_triangle,
};
use clutchline::biology::mixture::{Part, quantile};
use clutchline::biology::normal;
use clutchline::biology::shape::{self, Shape, ShapeWeights};
use clutchline::biology::stages::{Stage, egg_to_fly_days};
use clutchline::biology::tables::{Parameters, TABLE};
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
                    0..120,
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
    let tabled = normal::Tabled::ready();
    for pair in pairs(&all["normal_cdf"]) {
        near(normal::cdf(pair[0]) / pair[1], 1.0, 1e-11);
        near(normal::cdf_quick(pair[0]), pair[1], 1e-7);
        near(tabled.at(pair[0]).0, pair[1], 1e-8);
        near(tabled.at(pair[0]).1, normal::density(pair[0], 1.0), 2e-6);
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
    for (found, expected) in ours.daily(at, 0..40).zip(expected) {
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
        near(quantile(&parts, pair[0]) / pair[1], 1.0, 1e-6);
    }
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
