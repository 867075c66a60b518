//! Simulated farms: what their keepers mean to say, day by day.
//!
//! Cages are stocked, wait, lay on a noisy curve, have troubled spells, are retired and stocked again; visits are missed and told a day late.
//! The curve is the simulator's own, not the program's model: 3.6 g of eggs per 1,000 pupae over a life (derived from Julita et al. 2020 and
//! clutch masses of about 15 mg), first eggs about a week after stocking, one to two weeks of laying for one age and up to six for mixed ages
//! (the longer figure is common practice, no source). This file does not know how anything is written.

use crate::accuracy::meaning::{Amount, Meaning, Shared, Value, What};
use chrono::{Duration, NaiveDate};
use clutchline::domain::code::UnitCode;
use clutchline::domain::{CareJob, StockKind};
use clutchline::units::{Celsius, Grams, Pupae};
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// Days that a farm is followed: long enough for every cage to finish one run and begin another.
pub const DAYS: i64 = 64;

/// One farm.
pub struct Farm {
    cages: Vec<Cage>,
    /// Keeps a thermometer.
    thermometer: bool,
    /// Says care of all cages at once rather than cage by cage.
    shares_care: bool,
    /// Values weighed on the day before and not yet told.
    untold: Option<(NaiveDate, Vec<Value>)>,
    today: NaiveDate,
    day: i64,
}

struct Cage {
    code: UnitCode,
    run: Option<Run>,
    /// The day on which it is stocked next.
    stock_on: i64,
}

struct Run {
    since: i64,
    /// Grams expected at each age.
    curve: Vec<f64>,
    peak: f64,
    /// Laid and not yet taken.
    waiting: f64,
    trouble_until: i64,
    poor_days: u8,
}

impl Farm {
    /// A farm of 1 to 8 cages whose first day is `start`.
    pub fn new(rng: &mut ChaCha8Rng, start: NaiveDate) -> Self {
        let n = rng.random_range(1..=8_u16);
        let letters = pick(
            rng,
            &["C", "C", "C", "C", "A", "B", "K", "M", "AB", "C", "N"],
        );
        let first = if rng.random_bool(0.85) {
            1
        } else {
            rng.random_range(2..=40)
        };
        let cages = (0..n)
            .map(|i| Cage {
                code: UnitCode::new(letters, first + i).expect("letters and numbers fit a code"),
                run: None,
                stock_on: i64::from(i) * rng.random_range(0..=5) + rng.random_range(0..=3),
            })
            .collect();
        Self {
            cages,
            thermometer: rng.random_bool(0.4),
            shares_care: rng.random_bool(0.6),
            untold: None,
            today: start,
            day: 0,
        }
    }

    /// What the keeper means to say on the next day, message by message.
    pub fn next_day(&mut self, rng: &mut ChaCha8Rng) -> Vec<Meaning> {
        let today = self.today;
        let mut messages = Vec::new();
        self.lay(rng);
        messages.extend(self.stock(rng, today));
        if rng.random_bool(0.93) {
            let eggs = self.harvest(today);
            if let Some((day, values)) = self.untold.take() {
                messages.push(Meaning {
                    values,
                    shared: None,
                    day,
                    today,
                });
            }
            if !eggs.is_empty() && rng.random_bool(0.05) {
                self.untold = Some((today, eggs));
            } else {
                messages.extend(self.visit(rng, today, eggs));
            }
            messages.extend(self.retire(rng, today));
        }
        self.today += Duration::days(1);
        self.day += 1;
        messages
    }

    /// The farm's cages.
    pub fn codes(&self) -> Vec<UnitCode> {
        self.cages.iter().map(|c| c.code).collect()
    }

    fn lay(&mut self, rng: &mut ChaCha8Rng) {
        let day = self.day;
        for run in self.cages.iter_mut().filter_map(|c| c.run.as_mut()) {
            if day > run.trouble_until && rng.random_bool(0.015) {
                run.trouble_until = day + rng.random_range(3..=6);
            }
            let trouble = if day <= run.trouble_until { 0.3 } else { 1.0 };
            let age = usize::try_from(day - run.since).unwrap_or(0);
            let expected = run.curve.get(age).copied().unwrap_or(0.0);
            run.waiting += expected * trouble * (normal(rng) * 0.3).exp();
        }
    }

    fn stock(&mut self, rng: &mut ChaCha8Rng, today: NaiveDate) -> Vec<Meaning> {
        let mut messages = Vec::new();
        for cage in &mut self.cages {
            if cage.run.is_some() || cage.stock_on > self.day {
                continue;
            }
            let kind = if rng.random_bool(0.3) {
                StockKind::Mixed
            } else {
                StockKind::OneAge
            };
            let hundreds = rng.random_range(20..=160_u32);
            let amount = if rng.random_bool(0.5) {
                Amount::Count(Pupae::new(hundreds * 100).expect("within bounds"))
            } else {
                // 150 mg a pupa, weighed to 50 g.
                let fifties = (hundreds * 15).div_ceil(50);
                Amount::Weight(Grams::from_hundredths(fifties * 5000).expect("within bounds"))
            };
            cage.run = Some(Run::new(rng, self.day, f64::from(hundreds) / 10.0, kind));
            let value = Value {
                unit: Some(cage.code),
                day: today,
                what: What::Stock(amount, kind),
            };
            messages.push(Meaning {
                values: vec![value],
                shared: None,
                day: today,
                today,
            });
        }
        messages
    }

    /// Eggs of every cage that lays or should, taken from its traps.
    fn harvest(&mut self, today: NaiveDate) -> Vec<Value> {
        let day = self.day;
        let mut values = Vec::new();
        for cage in &mut self.cages {
            let Some(run) = cage.run.as_mut().filter(|run| day - run.since >= 7) else {
                continue;
            };
            let tenths = (run.waiting * 10.0).round();
            run.waiting = 0.0;
            let past_peak = day - run.since > 13;
            run.poor_days = if past_peak && tenths < run.peak * 1.5 {
                run.poor_days + 1
            } else {
                0
            };
            let grams = Grams::from_f64(tenths / 10.0).expect("a cage's eggs are grams");
            values.push(Value {
                unit: Some(cage.code),
                day: today,
                what: What::Eggs(grams),
            });
        }
        values
    }

    /// Eggs with care and what was seen, in one or two messages.
    fn visit(&self, rng: &mut ChaCha8Rng, today: NaiveDate, eggs: Vec<Value>) -> Vec<Meaning> {
        let mut values = eggs;
        let running: Vec<UnitCode> = self
            .cages
            .iter()
            .filter(|c| c.run.as_ref().is_some_and(|r| r.since < self.day))
            .map(|c| c.code)
            .collect();
        let shared = self.care(rng, today, &running, &mut values);
        let seen = |unit, what| Value {
            unit: Some(unit),
            day: today,
            what,
        };
        if let Some(unit) = running.first().filter(|_| rng.random_bool(0.06)) {
            values.push(seen(*unit, What::Ants));
        }
        let mut old = self
            .cages
            .iter()
            .filter(|c| c.run.as_ref().is_some_and(|r| self.day - r.since > 11));
        if let Some(cage) = old.next_back().filter(|_| rng.random_bool(0.12)) {
            let grams = Grams::from_hundredths(rng.random_range(3..=40) * 100);
            values.push(seen(cage.code, What::Dead(grams)));
        }
        if self.thermometer && rng.random_bool(0.5) {
            let min = rng.random_range(17..=23);
            let max = min + rng.random_range(7..=12);
            let whole = |degrees: i16| Celsius::from_tenths(degrees * 10).expect("mild weather");
            values.push(Value {
                unit: None,
                day: today,
                what: What::Temperature(whole(min), whole(max)),
            });
        }
        split(values, shared, today)
    }

    fn care(
        &self,
        rng: &mut ChaCha8Rng,
        today: NaiveDate,
        running: &[UnitCode],
        values: &mut Vec<Value>,
    ) -> Option<Shared> {
        let due = |every: i64, at: i64| self.day % every == at;
        let mut jobs = Vec::new();
        if rng.random_bool(0.6) {
            jobs.push(CareJob::Water);
        }
        if due(3, 1) {
            jobs.push(CareJob::Bait);
        }
        if due(4, 2) {
            jobs.push(CareJob::Moat);
        }
        if due(6, 3) {
            jobs.push(CareJob::Swept);
        }
        if rng.random_bool(0.05) {
            jobs.push(pick(rng, &[CareJob::Traps, CareJob::Shade]));
        }
        let done = |unit: &UnitCode, job| Value {
            unit: Some(*unit),
            day: today,
            what: What::Care(job),
        };
        if self.shares_care {
            let job = *jobs.first()?;
            let is_all = running.len() > 1 && rng.random_bool(0.7);
            let take = if is_all {
                running.len()
            } else {
                rng.random_range(1..=running.len().max(1))
            };
            let units: Vec<UnitCode> = running.iter().copied().take(take).collect();
            values.extend(units.iter().map(|u| done(u, job)));
            return (units.len() > 1).then_some(Shared { job, units, is_all });
        }
        for unit in running {
            if rng.random_bool(0.5) {
                let count = rng.random_range(0..=jobs.len().min(2));
                values.extend(jobs.iter().take(count).map(|job| done(unit, *job)));
            }
        }
        None
    }

    fn retire(&mut self, rng: &mut ChaCha8Rng, today: NaiveDate) -> Vec<Meaning> {
        let day = self.day;
        let mut messages = Vec::new();
        for cage in &mut self.cages {
            let over = |run: &Run| run.poor_days >= 3 || day - run.since >= 42;
            if cage.run.as_ref().is_some_and(over) {
                cage.run = None;
                cage.stock_on = day + rng.random_range(1..=5);
                messages.push(Meaning {
                    values: vec![Value {
                        unit: Some(cage.code),
                        day: today,
                        what: What::Retire,
                    }],
                    shared: None,
                    day: today,
                    today,
                });
            }
        }
        messages
    }
}

impl Run {
    fn new(rng: &mut ChaCha8Rng, since: i64, thousands: f64, kind: StockKind) -> Self {
        let scale = (normal(rng) * 0.3).exp().clamp(0.4, 1.9);
        let late = normal(rng) * 1.2;
        let (middle, spread) = match kind {
            StockKind::OneAge => (11.5 + late, 2.8),
            StockKind::Mixed => (17.0 + late, 6.5),
        };
        let shape: Vec<f64> = (0..43)
            .map(|age| {
                let z = (f64::from(age) - middle) / spread;
                if age < 6 { 0.0 } else { (-0.5 * z * z).exp() }
            })
            .collect();
        let total: f64 = shape.iter().sum();
        let curve: Vec<f64> = shape
            .iter()
            .map(|s| s / total * 3.6 * thousands * scale)
            .collect();
        let peak = curve.iter().copied().fold(0.0, f64::max);
        Self {
            since,
            curve,
            peak,
            waiting: 0.0,
            trouble_until: -1,
            poor_days: 0,
        }
    }
}

/// One message, or two where the cages are many; temperature and shared care go with the last.
fn split(values: Vec<Value>, shared: Option<Shared>, today: NaiveDate) -> Vec<Meaning> {
    if values.is_empty() {
        return Vec::new();
    }
    let eggs = |v: &Value| matches!(v.what, What::Eggs(_));
    let meaning = |values, shared| Meaning {
        values,
        shared,
        day: today,
        today,
    };
    if values.iter().filter(|v| eggs(v)).count() < 6 {
        return vec![meaning(values, shared)];
    }
    let (first, rest): (Vec<_>, Vec<_>) = values.into_iter().partition(eggs);
    if rest.is_empty() {
        return vec![meaning(first, None)];
    }
    vec![meaning(first, None), meaning(rest, shared)]
}

/// One of them, evenly.
pub fn pick<T: Copy>(rng: &mut ChaCha8Rng, from: &[T]) -> T {
    from[rng.random_range(0..from.len())]
}

/// A standard normal number (Box and Muller 1958).
fn normal(rng: &mut ChaCha8Rng) -> f64 {
    let u: f64 = rng.random_range(f64::EPSILON..1.0);
    let v: f64 = rng.random_range(0.0..std::f64::consts::TAU);
    (-2.0 * u.ln()).sqrt() * v.cos()
}
