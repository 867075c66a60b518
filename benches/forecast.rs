//! How long the sums take: one forecast, one harvest line, and 100,000 cages rolled up as a stream.
//!
//! `cargo bench --bench forecast`. Where `python3` with numpy and scipy is found (or named by CLUTCHLINE_PYTHON), the same roll-up is done there in
//! vectorised form in the same run and printed beside it.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a bench that cannot set up has nothing to measure"
)]

use chrono::{Days, NaiveDate};
use clutchline::biology::belief::Belief;
use clutchline::biology::curve::Curve;
use clutchline::biology::history::{CageHistory, Run};
use clutchline::biology::outlook::Ahead;
use clutchline::biology::pooling::Priors;
use clutchline::biology::shape::Shape;
use clutchline::biology::sums::Sum;
use clutchline::biology::tables::Parameters;
use clutchline::biology::warmth::Temperatures;
use clutchline::domain::StockKind;
use clutchline::units::{Grams, Pupae};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

const CAGES: usize = 100_000;
const THREADS: usize = 2;
/// Different cages that the stream repeats: enough that no cache flatters it.
const KINDS: usize = 200;

fn cage(index: usize) -> (CageHistory, NaiveDate) {
    let stocked_on = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    let age = 8 + index % 20;
    let size = 2000 + 30 * u32::try_from(index).unwrap();
    let grams =
        |day: usize| 0.0002 * f64::from(size) * (-0.5 * ((day as f64 - 15.0) / 2.5).powi(2)).exp();
    let harvests = (6..=age)
        .map(|day| {
            (
                stocked_on + Days::new(day as u64),
                Grams::from_f64((grams(day) * 10.0).round() / 10.0).unwrap(),
            )
        })
        .collect();
    let kind = if index.is_multiple_of(2) {
        StockKind::OneAge
    } else {
        StockKind::Mixed
    };
    (
        CageHistory {
            stocked_on,
            pupae: Pupae::new(size),
            kind,
            retired_on: None,
            harvests,
        },
        stocked_on + Days::new(age as u64),
    )
}

fn runs(parameters: &Parameters) -> Vec<Run> {
    let priors = Priors::of_the_table(parameters);
    (0..KINDS)
        .map(|index| {
            let (cage, today) = cage(index);
            Run::replay(
                &cage,
                priors.of(cage.kind),
                &Temperatures::default(),
                parameters,
                today,
            )
            .unwrap()
            .0
        })
        .collect()
}

/// What a farm's state keeps of a cage: belief bytes, warmth, stocking.
fn roll_up(parameters: &Parameters, runs: &[Run], kept: &[Vec<u8>], count: usize) -> Sum {
    let mut sum = Sum::default();
    for index in 0..count {
        let run = &runs[index % KINDS];
        let belief: Belief = postcard::from_bytes(&kept[index % KINDS]).unwrap();
        let shape = Shape::new(&run.stocking.prior.shape);
        let curve = Curve::new(&shape, &run.warmth.days, parameters);
        let ahead = Ahead::of(&run.stocking, &belief, &curve, parameters, run.today, 7);
        sum.add(
            &ahead.moments(),
            f64::from(run.stocking.prior.day_noise),
            parameters,
        );
    }
    sum
}

fn memory_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status
        .lines()
        .find(|line| line.starts_with("VmHWM"))
        .unwrap_or_default();
    line.split_whitespace()
        .nth(1)
        .and_then(|it| it.parse().ok())
        .unwrap_or(0)
}

fn whole_cooperative(parameters: &Parameters, runs: &[Run]) {
    let kept: Vec<Vec<u8>> = runs
        .iter()
        .map(|run| postcard::to_stdvec(&run.belief).unwrap())
        .collect();
    let start = Instant::now();
    std::thread::scope(|scope| {
        for _ in 0..THREADS {
            scope.spawn(|| black_box(roll_up(parameters, runs, &kept, CAGES / THREADS).range()));
        }
    });
    let mean = kept.iter().map(Vec::len).sum::<usize>() / KINDS;
    println!(
        "roll-up of {CAGES} cages, {THREADS} threads: {:.2} s; most memory {} MB; {mean} bytes of belief a cage",
        start.elapsed().as_secs_f64(),
        memory_kb() / 1024
    );
    let python = std::env::var("CLUTCHLINE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/roll_up.py");
    match Command::new(python)
        .arg(script)
        .arg(CAGES.to_string())
        .output()
    {
        Ok(out) if out.status.success() => print!("{}", String::from_utf8_lossy(&out.stdout)),
        _ => println!("numpy and scipy not found; set CLUTCHLINE_PYTHON to compare"),
    }
}

fn sums(criterion: &mut Criterion) {
    let parameters = Parameters::default();
    let runs = runs(&parameters);
    let run = &runs[7];
    criterion.bench_function("forecast of one cage, 7 days and total", |bench| {
        bench.iter(|| black_box(run.forecast(&parameters, 7, None)));
    });
    let shape = Shape::new(&run.stocking.prior.shape);
    for (name, index) in [("early", 4), ("at its peak", 9), ("late", 18)] {
        let run = &runs[index];
        criterion.bench_function(&format!("one harvest line, {name}"), |bench| {
            bench.iter(|| {
                let curve = Curve::new(&shape, &run.warmth.days, &parameters);
                let mut belief = run.belief.clone();
                black_box(belief.harvest(&run.stocking, &curve, &parameters, run.today + 1, 1.2));
                belief
            });
        });
    }
    whole_cooperative(&parameters, &runs);
}

criterion_group!(benches, sums);
criterion_main!(benches);
