//! Invented cages, fly by fly: every pupa has its own clock, every female her own days and clutches.
//!
//! Unlike the model on purpose: nothing here is convolved, emergence is drawn in rate-summed time with a curved temperature response, weather
//! dulls laying and puts it off, trouble and missed days come in spells. All figures are drawn for a farm from wide ranges, from a seed.

use chrono::{Days, NaiveDate};
use clutchline::domain::StockKind;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A cage's truth and its record.
pub(crate) struct SimCage {
    pub(crate) stocked_on: NaiveDate,
    pub(crate) pupae: u32,
    pub(crate) kind: StockKind,
    pub(crate) retired_on: NaiveDate,
    /// Grams laid on each day from stocking.
    pub(crate) truth: Vec<f64>,
    /// The same without its spells of trouble.
    pub(crate) untroubled: Vec<f64>,
    /// What an oracle would say of each day that knows every fly but neither the day's mood nor the trouble.
    pub(crate) foretold: Vec<f64>,
    /// Day since stocking, grams as the scale showed them.
    pub(crate) harvests: Vec<(u16, f64)>,
    /// First and last day of spells of trouble.
    pub(crate) spells: Vec<(u16, u16)>,
}

pub(crate) struct SimFarm {
    pub(crate) cages: Vec<SimCage>,
    /// From the first stocking on: lowest and highest.
    pub(crate) weather: Vec<(NaiveDate, f64, f64)>,
}

/// How one farm works.
struct Ways {
    scale: f64,
    middle_dd: f64,
    cv_one: f64,
    mixed_reach: (f64, f64),
    emergence: u8,
    pre_lay: f64,
    pre_lay_sd: f64,
    clutches: f64,
    clutch_gap: f64,
    noise: f64,
    noise_memory: f64,
    cold_dulls: f64,
    trouble_a_day: f64,
    trouble_left: (f64, f64),
    trouble_days: (u16, u16),
    miss_a_day: f64,
    cage_sd: f64,
    pupae: (u32, u32),
    mean_c: f64,
    swing: f64,
    season: f64,
    retire: (u16, u16),
    hidden_threshold: f64,
}

fn normal(rng: &mut ChaCha8Rng) -> f64 {
    // Sum of uniforms: not the model's function, and its tails are shorter.
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}

fn ways(rng: &mut ChaCha8Rng) -> Ways {
    let mut between = |low: f64, high: f64| low + (high - low) * rng.random::<f64>();
    Ways {
        scale: between(0.5, 1.5),
        middle_dd: between(120.0, 165.0),
        cv_one: between(0.07, 0.16),
        // Flies for up to six weeks from one mixed stocking: common practice, no source.
        mixed_reach: (between(0.0, 0.4), between(1.3, 2.5)),
        emergence: between(0.0, 3.999) as u8,
        pre_lay: between(3.4, 5.5),
        pre_lay_sd: between(0.5, 1.3),
        clutches: between(1.0, 1.6),
        clutch_gap: between(1.0, 3.0),
        // So that an oracle's error is about 0.09 to 0.10 of that of "the last three harvests go on", as where the bounds were set.
        noise: between(0.07, 0.24),
        noise_memory: between(0.0, 0.6),
        cold_dulls: between(0.0, 0.10),
        trouble_a_day: between(0.0, 0.04),
        trouble_left: (between(0.0, 0.15), between(0.2, 0.44)),
        trouble_days: (3, between(4.0, 9.0) as u16),
        miss_a_day: between(0.0, 0.22),
        cage_sd: between(0.05, 0.25),
        pupae: {
            let low = between(1000.0, 5000.0);
            (low as u32, (low * between(1.2, 2.5)) as u32)
        },
        mean_c: between(22.0, 28.5),
        swing: between(3.0, 7.0),
        season: between(0.0, 3.0),
        retire: (between(25.0, 33.0) as u16, between(34.0, 42.0) as u16),
        hidden_threshold: between(10.5, 13.5),
    }
}

/// Another way for farms to be, beside the usual draw.
pub(crate) struct Variant {
    pub(crate) name: &'static str,
    change: fn(&mut Ways),
}

/// As drawn, then one thing after the other pushed to where the draw does not go.
pub(crate) const VARIANTS: [Variant; 14] = [
    variant("as drawn", |_| {}),
    variant("3 degrees cooler", |w| w.mean_c -= 3.0),
    variant("3 degrees hotter", |w| w.mean_c += 3.0),
    variant("calmer days: noise 0.03 to 0.10", |w| w.noise *= 0.4),
    variant("rougher days: noise 0.12 to 0.40", |w| w.noise *= 1.7),
    variant("laying a day earlier", |w| w.pre_lay -= 1.0),
    variant("laying 2.5 days later", |w| w.pre_lay += 2.5),
    variant("half the clutch", |w| w.scale *= 0.5),
    variant("nearly twice the clutch", |w| w.scale *= 1.8),
    variant("emergence half as spread", |w| w.cv_one *= 0.5),
    variant("emergence twice as spread", |w| w.cv_one *= 2.0),
    variant("about 1,000 pupae a cage", |w| {
        w.pupae = (w.pupae.0 / 4 + 400, w.pupae.1 / 4 + 400);
    }),
    variant("up to 25,000 pupae a cage", |w| {
        w.pupae = (w.pupae.0 * 2, w.pupae.1 * 2);
    }),
    variant("twice the missed days", |w| w.miss_a_day *= 2.0),
];

const fn variant(name: &'static str, change: fn(&mut Ways)) -> Variant {
    Variant { name, change }
}

/// A farm with `finished` cages before and `running` ones after, all from one seed.
pub(crate) fn farm(seed: u64, finished: usize, running: usize, variant: &Variant) -> SimFarm {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut ways = ways(&mut rng);
    (variant.change)(&mut ways);
    let start = NaiveDate::from_ymd_opt(2026, 1, 5).unwrap();
    let count = finished + running;
    let gap = rng.random_range(4..9_u64);
    let last = gap * finished as u64 + 50 + 6 * running as u64 + 80;
    let (mut weather, mut drift) = (Vec::new(), 0.0);
    let phase = rng.random::<f64>() * std::f64::consts::TAU;
    for day in 0..last {
        drift = 0.7 * drift + 0.9 * normal(&mut rng);
        let mean = ways.mean_c + ways.season * (day as f64 / 58.0 + phase).sin() + drift;
        let swing = (ways.swing + 0.8 * normal(&mut rng)).max(1.0);
        weather.push((mean - swing, mean + swing));
    }
    let mut mood = 0.0;
    let laying: Vec<f64> = weather
        .iter()
        .map(|(_, high)| {
            mood = ways.noise_memory * mood
                + (1.0 - ways.noise_memory.powi(2)).sqrt() * ways.noise * normal(&mut rng);
            let dull = (ways.cold_dulls * (27.0 - high).max(0.0)).min(0.8);
            (mood - 0.5 * ways.noise * ways.noise).exp() * (1.0 - dull)
        })
        .collect();
    let mut cages = Vec::new();
    for index in 0..count {
        let from = if index < finished {
            gap * index as u64
        } else {
            gap * finished as u64 + 48 + 6 * (index - finished) as u64
        } as usize;
        cages.push(cage(&mut rng, &ways, start, from, &weather, &laying));
    }
    let weather = weather
        .iter()
        .zip(0_u64..)
        .map(|((low, high), day)| {
            let round = |t: f64| (t * 10.0).round() / 10.0;
            (start + Days::new(day), round(*low), round(*high))
        })
        .collect();
    SimFarm { cages, weather }
}

/// Development of one hour: straight above the threshold, flattening near 34 and falling beyond.
fn rate(celsius: f64, threshold: f64) -> f64 {
    let over = (celsius - threshold).max(0.0);
    if celsius > 36.0 {
        over * 0.6
    } else {
        over * (1.0 - 0.0025 * over.powf(1.3).min(60.0))
    }
}

fn cage(
    rng: &mut ChaCha8Rng,
    ways: &Ways,
    start: NaiveDate,
    from: usize,
    weather: &[(f64, f64)],
    laying: &[f64],
) -> SimCage {
    let kind = if rng.random::<f64>() < 0.5 {
        StockKind::OneAge
    } else {
        StockKind::Mixed
    };
    let pupae = rng.random_range(ways.pupae.0..=ways.pupae.1);
    let life = usize::from(rng.random_range(ways.retire.0..=ways.retire.1));
    let days = 75.min(weather.len() - from);
    let hourly: Vec<f64> = (0..days * 24)
        .map(|hour| {
            let (low, high) = weather[from + hour / 24];
            let wave = ((hour % 24) as f64 / 24.0 * std::f64::consts::TAU - 2.2).sin();
            rate(
                (low + high) / 2.0 + (high - low) / 2.0 * wave,
                ways.hidden_threshold,
            ) / 24.0
        })
        .collect();
    let mut clock = vec![0.0];
    for step in &hourly {
        clock.push(clock.last().unwrap() + step);
    }
    let vigour = ways.scale * (ways.cage_sd * normal(rng)).exp();
    let age_shift = 8.0 * normal(rng);
    let spells = spells(rng, ways, days);
    let factor = |day: usize| {
        spells
            .iter()
            .find(|(a, b, _)| (*a..=*b).contains(&(day as u16)))
            .map_or(1.0, |(_, _, left)| *left)
    };
    let mut truth = vec![0.0; days];
    let mut untroubled = vec![0.0; days];
    let mut foretold = vec![0.0; days];
    let usual = laying.iter().sum::<f64>() / laying.len() as f64;
    for _ in 0..pupae {
        if rng.random::<f64>() > 0.8 * 0.5 * 0.6 {
            continue;
        }
        let warmth = emergence(rng, ways, kind) + age_shift;
        let Some(hour) = clock.iter().position(|gone| *gone >= warmth) else {
            continue;
        };
        let mut lay_at =
            hour as f64 / 24.0 + (ways.pre_lay + ways.pre_lay_sd * normal(rng)).max(2.0);
        let clutches = 1 + usize::from(rng.random::<f64>() < ways.clutches - 1.0);
        for _ in 0..clutches {
            let mg = (15.0 + 3.0 * normal(rng)).max(3.0) / ways.clutches * vigour;
            let mut day = lay_at as usize;
            // A dull day is waited out, once or twice, by some.
            while day + 1 < days && laying[from + day] < 0.6 && rng.random::<f64>() < 0.3 {
                day += 1;
            }
            if day < days {
                foretold[day] += mg / 1000.0 * usual;
                untroubled[day] += mg / 1000.0 * laying[from + day];
                truth[day] += mg / 1000.0 * laying[from + day] * factor(day);
            }
            lay_at += ways.clutch_gap * (0.6 + 0.8 * rng.random::<f64>());
        }
    }
    let (mut harvests, mut waiting) = (Vec::new(), 0.0);
    let mut skip = 0;
    for (day, grams) in truth.iter().enumerate().take(life + 1) {
        waiting += grams;
        if skip == 0 && rng.random::<f64>() < ways.miss_a_day {
            skip = rng.random_range(1..3);
        }
        if skip > 0 && day != life {
            skip -= 1;
            continue;
        }
        if day < 4 {
            continue;
        }
        harvests.push((day as u16, (waiting * 10.0_f64).round() / 10.0));
        waiting = 0.0;
    }
    SimCage {
        stocked_on: start + Days::new(from as u64),
        pupae,
        kind,
        retired_on: start + Days::new((from + life) as u64),
        truth,
        untroubled,
        foretold,
        harvests,
        spells: spells.into_iter().map(|(a, b, _)| (a, b)).collect(),
    }
}

fn emergence(rng: &mut ChaCha8Rng, ways: &Ways, kind: StockKind) -> f64 {
    let k = ways.middle_dd;
    let skew = match ways.emergence {
        0 => normal(rng),
        1 => -(1.0 - rng.random::<f64>()).ln() - 1.0,
        2 => (rng.random::<f64>() - 0.5) * 3.46,
        _ => {
            if rng.random::<f64>() < 0.7 {
                0.7 * normal(rng) - 0.4
            } else {
                0.7 * normal(rng) + 0.93
            }
        }
    };
    match kind {
        StockKind::OneAge => k * (1.0 + ways.cv_one * skew),
        StockKind::Mixed => {
            let (low, high) = ways.mixed_reach;
            let left = if ways.emergence.is_multiple_of(2) {
                low + (high - low) * rng.random::<f64>()
            } else {
                f64::midpoint(low, high) + (high - low) / 4.5 * skew
            };
            k * (left + 0.08 * normal(rng))
        }
    }
}

fn spells(rng: &mut ChaCha8Rng, ways: &Ways, days: usize) -> Vec<(u16, u16, f64)> {
    let (mut spells, mut day) = (Vec::new(), 6_u16);
    while usize::from(day) < days {
        if rng.random::<f64>() < ways.trouble_a_day {
            let length = rng.random_range(ways.trouble_days.0..=ways.trouble_days.1);
            let (low, high) = ways.trouble_left;
            spells.push((
                day,
                day + length - 1,
                low + (high - low) * rng.random::<f64>(),
            ));
            day += length + 4;
        }
        day += 1;
    }
    spells
}
