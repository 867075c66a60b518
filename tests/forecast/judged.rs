//! The judged table: the model's forecasts of simulated farms against plain baselines.

use crate::simulator::SimCage;
use crate::simulator::SimFarm;
use crate::simulator::Variant;
use crate::simulator::farm;
use chrono::{Days, NaiveDate};
use clutchline::biology::degree_days::DayRange;
use clutchline::biology::history::CageHistory;
use clutchline::biology::history::Run;
use clutchline::biology::history::priors_by;
use clutchline::biology::pooling::Priors;
use clutchline::biology::tables::Parameters;
use clutchline::biology::warmth::Temperatures;
use clutchline::domain::StockKind;
use clutchline::units::{Grams, Pupae};

pub(crate) const ISSUE_DAYS: [u16; 6] = [6, 9, 13, 17, 21, 25];
pub(crate) const FINISHED: usize = 8;

/// Whether the model is shown the farm's temperatures.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weather {
    Shown,
    Hidden,
}

#[derive(Default, Clone, Debug)]
pub(crate) struct Tally {
    /// Of the model, the last three harvests, the average of both kinds and of the same kind, the oracle.
    pub(crate) errors: [f64; 5],
    /// By issue day: counted, inside, and by kind.
    pub(crate) counted: [[f64; 2]; 6],
    pub(crate) inside: [[f64; 2]; 6],
    pub(crate) spent: (f64, f64, f64),
    pub(crate) harvests: f64,
    pub(crate) false_warnings: f64,
    pub(crate) spells: f64,
    pub(crate) warned: f64,
}

fn record(cage: &SimCage) -> CageHistory {
    CageHistory {
        stocked_on: cage.stocked_on,
        pupae: Pupae::new(cage.pupae),
        kind: cage.kind,
        retired_on: Some(cage.retired_on),
        harvests: cage
            .harvests
            .iter()
            .map(|(day, grams)| {
                (
                    cage.stocked_on + Days::new(u64::from(*day)),
                    Grams::from_f64(*grams).unwrap(),
                )
            })
            .collect(),
    }
}

/// Average grams a pupa on each day since stocking, of the cages that `fits`.
fn average(cages: &[SimCage], fits: impl Fn(&SimCage) -> bool) -> Option<Vec<f64>> {
    let mut sum = vec![0.0; 70];
    let mut n = 0.0;
    for cage in cages.iter().filter(|cage| fits(cage)) {
        n += 1.0;
        let mut from = 0;
        for (day, grams) in &cage.harvests {
            let days = f64::from(day + 1 - from);
            for each in from..=*day {
                sum[usize::from(each)] += grams / days / f64::from(cage.pupae);
            }
            from = day + 1;
        }
    }
    (n > 0.0).then(|| sum.into_iter().map(|it| it / n).collect())
}

pub(crate) fn judge(
    seeds: std::ops::Range<u64>,
    running: usize,
    weather: Weather,
    variant: &Variant,
) -> Tally {
    let mut tally = Tally::default();
    for seed in seeds {
        judge_farm(&farm(seed, FINISHED, running, variant), weather, &mut tally);
    }
    tally
}

/// [`judge`] on both cores of the machine that this is meant for.
pub(crate) fn judge_on_two(
    seeds: std::ops::Range<u64>,
    running: usize,
    weather: Weather,
    variant: &Variant,
) -> Tally {
    let middle = u64::midpoint(seeds.start, seeds.end);
    std::thread::scope(|scope| {
        let [first, second] = [seeds.start..middle, middle..seeds.end]
            .map(|half| scope.spawn(move || judge(half, running, weather, variant)));
        first.join().unwrap().plus(second.join().unwrap())
    })
}

fn judge_farm(sim: &SimFarm, weather: Weather, tally: &mut Tally) {
    let parameters = Parameters::default();
    let mut temperatures = Temperatures::default();
    for (day, low, high) in sim.weather.iter().filter(|_| weather == Weather::Shown) {
        temperatures
            .farm
            .insert(*day, DayRange::new(*low, *high).unwrap());
    }
    let history: Vec<CageHistory> = sim.cages[..FINISHED].iter().map(record).collect();
    let base = Priors::of_the_table(&parameters);
    let end = sim.cages[..FINISHED]
        .iter()
        .map(|cage| cage.retired_on)
        .max()
        .unwrap();
    let priors = priors_by(&base, &history, &temperatures, &parameters, end);
    let all = average(&sim.cages[..FINISHED], |_| true).unwrap();
    for cage in &sim.cages[FINISHED..] {
        let same = average(&sim.cages[..FINISHED], |it| it.kind == cage.kind);
        let mut running = record(cage);
        running.retired_on = None;
        let prior = priors.of(cage.kind);
        for (index, age) in ISSUE_DAYS.iter().enumerate() {
            let today: NaiveDate = cage.stocked_on + Days::new(u64::from(*age));
            let mut past = temperatures.clone();
            past.farm.retain(|day, _| *day <= today);
            let (run, _) = Run::replay(&running, prior, &past, &parameters, today).unwrap();
            let range = run.forecast(&parameters, 7, None).total;
            let span = usize::from(*age) + 1..usize::from(*age) + 8;
            let truth: f64 = cage.truth[span.clone()].iter().sum();
            let recent: Vec<f64> = cage
                .harvests
                .iter()
                .filter(|(day, _)| day <= age)
                .rev()
                .take(3)
                .map(|it| it.1)
                .collect();
            let go_on = 7.0 * recent.iter().sum::<f64>() / (recent.len().max(1) as f64);
            let of =
                |curve: &[f64]| curve[span.clone()].iter().sum::<f64>() * f64::from(cage.pupae);
            let kin = same.as_ref().map_or_else(|| of(&all), |curve| of(curve));
            let oracle = cage.foretold[span.clone()].iter().sum();
            let errors = [range.middle, go_on, of(&all), kin, oracle].map(|it| (it - truth).abs());
            for (i, error) in errors.iter().enumerate() {
                tally.errors[i] += error;
            }
            let kind = usize::from(cage.kind == StockKind::Mixed);
            if kin >= 0.5 && (truth > 0.05 || range.high > 0.3) {
                tally.counted[index][kind] += 1.0;
                if truth >= range.low - 0.05 && truth <= range.high + 0.05 {
                    tally.inside[index][kind] += 1.0;
                }
            }
            if kin < 0.5 && truth < 0.3 {
                tally.spent.0 += 1.0;
                tally.spent.1 += range.middle;
                tally.spent.2 += range.high;
            }
        }
        warnings(cage, &running, prior, &temperatures, &parameters, tally);
    }
}

fn warnings(
    cage: &SimCage,
    running: &CageHistory,
    prior: &clutchline::biology::prior::Prior,
    temperatures: &Temperatures,
    parameters: &Parameters,
    tally: &mut Tally,
) {
    let (_, surprises) =
        Run::replay(running, prior, temperatures, parameters, cage.retired_on).unwrap();
    let age = |day: NaiveDate| u16::try_from((day - cage.stocked_on).num_days()).unwrap();
    let warned: Vec<u16> =
        clutchline::biology::warning::low_yield(&surprises, prior.noise_memory.into(), parameters)
            .iter()
            .map(|it| age(it.day))
            .collect();
    let mut before = 0_u16;
    for (day, _, surprise) in &surprises {
        let day = age(*day);
        let touched = cage
            .spells
            .iter()
            .any(|(a, b)| before.max(1) <= *b + 1 && day >= *a);
        before = day + 1;
        if surprise.expected >= 0.3 && !touched {
            tally.harvests += 1.0;
            tally.false_warnings += f64::from(u8::from(warned.contains(&day)));
        }
    }
    for (first, last) in &cage.spells {
        let inside: Vec<u16> = cage
            .harvests
            .iter()
            .map(|it| it.0)
            .filter(|day| day >= first && day <= last)
            .collect();
        let stake: f64 = cage.untroubled[usize::from(*first)
            ..=usize::from(inside.get(2).copied().unwrap_or(*last)).min(cage.untroubled.len() - 1)]
            .iter()
            .sum();
        if inside.len() >= 3 && stake >= 1.0 {
            tally.spells += 1.0;
            tally.warned += f64::from(u8::from(
                inside.iter().take(3).any(|day| warned.contains(day)),
            ));
        }
    }
}

impl Tally {
    /// Both tallies together.
    pub(crate) fn plus(mut self, other: Self) -> Self {
        let add = |a: &mut [f64], b: &[f64]| a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
        add(&mut self.errors, &other.errors);
        add(
            self.counted.as_flattened_mut(),
            other.counted.as_flattened(),
        );
        add(self.inside.as_flattened_mut(), other.inside.as_flattened());
        self.spent = (
            self.spent.0 + other.spent.0,
            self.spent.1 + other.spent.1,
            self.spent.2 + other.spent.2,
        );
        self.harvests += other.harvests;
        self.false_warnings += other.false_warnings;
        self.spells += other.spells;
        self.warned += other.warned;
        self
    }

    pub(crate) fn ratios(&self) -> [f64; 3] {
        [1, 2, 3].map(|i| self.errors[0] / self.errors[i])
    }

    /// The oracle's ratios.
    pub(crate) fn oracle(&self) -> [f64; 3] {
        [1, 2, 3].map(|i| self.errors[4] / self.errors[i])
    }

    /// Share of truths inside the 80 % range, by issue day.
    pub(crate) fn coverage(&self) -> [f64; 6] {
        std::array::from_fn(|i| {
            self.inside[i].iter().sum::<f64>() / self.counted[i].iter().sum::<f64>()
        })
    }

    /// Mean middle and mean high of spent cages.
    pub(crate) fn spent(&self) -> (f64, f64) {
        (self.spent.1 / self.spent.0, self.spent.2 / self.spent.0)
    }

    pub(crate) fn false_rate(&self) -> f64 {
        self.false_warnings / self.harvests
    }

    pub(crate) fn warned_share(&self) -> f64 {
        self.warned / self.spells
    }
}
