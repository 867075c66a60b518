//! A cage's record as dates and weights, and what the sums make of it.
//!
//! This is where calendar days become days since stocking. This room does not know cage codes, members or files.

use crate::biology::belief::Belief;
use crate::biology::belief::Stocking;
use crate::biology::belief::Surprise;
use crate::biology::curve::Curve;
use crate::biology::curve::LIFE_DAYS;
use crate::biology::finished::Finished;
use crate::biology::learned::Learned;
use crate::biology::mixture::Range;
use crate::biology::outlook::Ahead;
use crate::biology::outlook::Forecast;
use crate::biology::outlook::band;
use crate::biology::outlook::mean_course;
use crate::biology::plan::retire_day;
use crate::biology::pooling::Priors;
use crate::biology::prior::Prior;
use crate::biology::shape::Shape;
use crate::biology::sums::Moments;
use crate::biology::tables::Parameters;
use crate::biology::warmth::Temperatures;
use crate::biology::warmth::Warmth;
use crate::biology::warning::Seen;
use crate::domain::StockKind;
use crate::units::Grams;
use crate::units::Pupae;
use crate::units::day::FarmDay;

/// Days after a cage's end that its curve still covers, so that a forecast may ask.
const AHEAD_DAYS: usize = 32;
/// First eggs are due when this share of a life's eggs is laid: a few clutches of a usual cage.
const FIRST_EGGS_SHARE: f64 = 0.02;
/// Days past the latest retiring after which a cage counts as spent although nobody said that it was emptied.
const SPENT_DAYS: u64 = 7;
/// Extra spread of ln scale where a stocking gave no number.
const NO_NUMBER_SD: f32 = 0.8;
/// How much less sure timing is where no temperature was measured.
const NO_WARMTH_FACTOR: f32 = 1.5;
/// Share of a cage's days that must be measured for its timing to be as sure as its prior.
const MEASURED_SHARE: f64 = 0.2;

/// One run of a cage: stocked once, harvested, retired.
#[derive(Clone, Debug, PartialEq)]
pub struct CageHistory {
    /// The day pupae were put in.
    pub stocked_on: FarmDay,
    /// How many; none where no number was said.
    pub pupae: Option<Pupae>,
    /// One age or mixed.
    pub kind: StockKind,
    /// The day it was emptied, where it was.
    pub retired_on: Option<FarmDay>,
    /// Weights taken, in order of days, one a day; each is what was laid since the one before.
    pub harvests: Vec<(FarmDay, Grams)>,
}

impl CageHistory {
    /// Days since stocking; none before it or beyond what the sums cover.
    #[must_use]
    pub fn day(&self, on: FarmDay) -> Option<u16> {
        let days = u16::try_from((on - self.stocked_on).num_days()).ok()?;
        (usize::from(days) + AHEAD_DAYS < LIFE_DAYS).then_some(days)
    }

    /// Whether the run is over by the end of `on`.
    #[must_use]
    pub fn finished(&self, on: FarmDay) -> bool {
        self.retired_on.is_some_and(|retired| retired <= on)
    }

    /// The day up to which the run can teach: its retiring, or the day by which it must be spent although nobody said that it was emptied.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn taught_until(&self, on: FarmDay, parameters: &Parameters) -> Option<FarmDay> {
        let spent = chrono::Days::new(parameters.retire_days as u64 + SPENT_DAYS);
        let end = self
            .retired_on
            .or_else(|| self.stocked_on.checked_add_days(spent))?;
        (end <= on).then_some(end)
    }

    /// Days after `on` until the cage is emptied, where that is settled: the day of emptying gives no eggs any more.
    #[must_use]
    pub fn days_left(&self, on: FarmDay) -> Option<usize> {
        let days = (self.retired_on? - on).num_days() - 1;
        Some(usize::try_from(days).unwrap_or(0))
    }

    /// Warmth from stocking to `on` and as far beyond as forecasts reach.
    #[must_use]
    pub fn warmth(
        &self,
        temperatures: &Temperatures,
        parameters: &Parameters,
        on: FarmDay,
    ) -> Warmth {
        let days = usize::from(self.day(on).unwrap_or(0)) + AHEAD_DAYS;
        Warmth::from(
            self.stocked_on,
            days.min(LIFE_DAYS),
            temperatures,
            parameters,
        )
    }

    /// Harvests up to `on` as days since stocking and grams.
    pub fn lines(&self, on: FarmDay) -> impl Iterator<Item = (FarmDay, u16, f64)> {
        self.harvests
            .iter()
            .take_while(move |(day, _)| *day <= on)
            .filter_map(|(day, grams)| Some((*day, self.day(*day)?, grams.as_f64())))
    }

    /// What a run that is over by `on` teaches; none while it runs, where no number of pupae is known or nothing was ever taken.
    #[must_use]
    pub fn lesson(
        &self,
        temperatures: &Temperatures,
        parameters: &Parameters,
        on: FarmDay,
    ) -> Option<Finished> {
        let until = self.taught_until(on, parameters)?;
        let harvests: Vec<_> = self
            .lines(until)
            .map(|(_, day, grams)| (day, grams))
            .collect();
        let taught = harvests.iter().any(|(_, grams)| *grams > 0.0);
        let warmth = self.warmth(temperatures, parameters, until).days;
        taught.then_some(Finished {
            pupae: self.pupae?.count().max(1),
            kind: self.kind,
            warmth,
            harvests,
        })
    }
}

/// Priors from every run that is over by `on`, on top of `base`, earliest stocked first.
#[must_use]
pub fn priors_by(
    base: &Priors,
    cages: &[CageHistory],
    temperatures: &Temperatures,
    parameters: &Parameters,
    on: FarmDay,
) -> Priors {
    let mut by_age: Vec<&CageHistory> = cages.iter().collect();
    by_age.sort_by_key(|cage| cage.stocked_on);
    let lessons: Vec<Finished> = by_age
        .iter()
        .filter_map(|cage| cage.lesson(temperatures, parameters, on))
        .collect();
    base.learned(&lessons, parameters)
}

/// The prior as a run begins with it: less sure where the stocking gave no number or its days were not measured.
fn at_first(cage: &CageHistory, prior: &Prior, warmth: &Warmth) -> Prior {
    let mut prior = prior.clone();
    if cage.pupae.is_none() {
        prior = prior.less_sure(NO_NUMBER_SD, 1.0);
    }
    if warmth.measured < MEASURED_SHARE {
        // What finished cages taught without temperatures has their weather in it, not this cage's.
        prior = prior.less_sure(0.0, NO_WARMTH_FACTOR);
        prior.width.sd *= NO_WARMTH_FACTOR;
    }
    prior
}

/// A running cage with everything the sums need.
#[derive(Clone, Debug)]
pub struct Run {
    /// What was expected.
    pub stocking: Stocking,
    /// What is believed now.
    pub belief: Belief,
    /// Warmth since stocking and ahead.
    pub warmth: Warmth,
    /// Today, in days since stocking.
    pub today: u16,
    /// It was gone on with from what is kept of it, not learned anew.
    pub resumed: bool,
    shape: Shape,
}

impl Run {
    /// Learns a cage's harvests up to `on`, one after the other; the surprises come back beside the run. None where `on` lies before stocking.
    #[must_use]
    pub fn replay(
        cage: &CageHistory,
        prior: &Prior,
        temperatures: &Temperatures,
        parameters: &Parameters,
        on: FarmDay,
    ) -> Option<(Self, Vec<Seen>)> {
        Self::resume(cage, prior, None, temperatures, parameters, on)
    }

    /// Goes on from what is kept of the run and learns only the harvests after it; how the last of those before compared comes back too.
    /// What another version of the model made is not gone on from.
    #[must_use]
    pub fn resume(
        cage: &CageHistory,
        prior: &Prior,
        kept: Option<&Learned>,
        temperatures: &Temperatures,
        parameters: &Parameters,
        on: FarmDay,
    ) -> Option<(Self, Vec<Seen>)> {
        let today = cage.day(on)?;
        let warmth = cage.warmth(temperatures, parameters, on);
        let kept = kept.filter(|kept| kept.is_current());
        let prior = match kept {
            Some(kept) => kept.on_grid(prior),
            None => at_first(cage, prior, &warmth),
        };
        let stocking = Stocking {
            pupae: cage.pupae.map(Pupae::count),
            kind: cage.kind,
            prior,
        };
        let shape = Shape::new(&stocking.prior.shape);
        let mut belief = kept.map_or_else(Belief::default, |kept| kept.belief().clone());
        let mut surprises = kept.map_or_else(Vec::new, |kept| kept.recent(cage.stocked_on));
        let curve = Curve::new(&shape, &warmth.days, parameters);
        for (day, age, grams) in cage.lines(on) {
            if let Some(surprise) = belief.harvest(&stocking, &curve, parameters, age, grams) {
                surprises.push((day, grams, surprise));
            }
        }
        Some((
            Self {
                stocking,
                belief,
                warmth,
                today,
                resumed: kept.is_some(),
                shape,
            },
            surprises,
        ))
    }

    /// Learns one harvest more, of the day `age` since stocking; none for a day before the last harvest or beyond the curve.
    pub fn learn(&mut self, parameters: &Parameters, age: u16, grams: f64) -> Option<Surprise> {
        let curve = Curve::new(&self.shape, &self.warmth.days, parameters);
        let (stocking, belief) = (&self.stocking, &mut self.belief);
        belief.harvest(stocking, &curve, parameters, age, grams)
    }

    /// What is to be kept of the run, with how its harvests compared.
    #[must_use]
    pub fn kept(&self, stocked_on: FarmDay, seen: &[Seen]) -> Learned {
        Learned::new(&self.stocking.prior, &self.belief, stocked_on, seen)
    }

    /// The total of the `count` days after today, without the days: half the work of [`Run::forecast`].
    #[must_use]
    pub fn total(&self, parameters: &Parameters, count: usize) -> Range {
        self.ahead(parameters, count).total()
    }

    /// What adds up over cages of the `count` days after today.
    #[must_use]
    pub fn moments(&self, parameters: &Parameters, count: usize) -> Moments {
        self.ahead(parameters, count).moments()
    }

    /// The ways that the `count` days after today may go.
    fn ahead<'a>(&'a self, parameters: &'a Parameters, count: usize) -> Ahead<'a> {
        let (curve, today) = (self.curve(parameters), self.today);
        Ahead::of(
            &self.stocking,
            &self.belief,
            &curve,
            parameters,
            today,
            count,
        )
    }

    /// The curve of this run.
    #[must_use]
    pub fn curve(&self, parameters: &Parameters) -> Curve<'_> {
        Curve::new(&self.shape, &self.warmth.days, parameters)
    }

    /// Forecast of the `count` days after today, of which only the first `left` are before the cage is emptied.
    #[must_use]
    pub fn forecast(&self, parameters: &Parameters, count: usize, left: Option<usize>) -> Forecast {
        let lived = count.min(left.unwrap_or(count));
        let mut forecast = self.ahead(parameters, lived).forecast();
        forecast.days.resize(count, Range::default());
        forecast.moments.days.resize(count, 0.0);
        forecast
    }
}

/// The days that matter in a cage's life, as its belief has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Milestones {
    /// First eggs are due: a fiftieth of the life's eggs.
    pub first_eggs: FarmDay,
    /// Most eggs on one day.
    pub peak: FarmDay,
    /// Not worth its space after this day.
    pub retire: FarmDay,
}

impl Run {
    /// Range of each day from stocking to `ahead` days after today, for a cage in good order.
    #[must_use]
    pub fn band(&self, parameters: &Parameters, ahead: usize) -> Vec<Range> {
        let count = usize::from(self.today) + 1 + ahead;
        band(
            &self.stocking,
            &self.belief,
            &self.curve(parameters),
            parameters,
            count,
        )
    }

    /// First eggs, peak and retiring of a cage stocked on `stocked_on`, in warmth like that seen so far.
    #[must_use]
    pub fn milestones(&self, stocked_on: FarmDay, parameters: &Parameters) -> Milestones {
        let mut days = self.warmth.days.clone();
        let usual =
            days.iter().sum::<f64>() / f64::from(u32::try_from(days.len().max(1)).unwrap_or(1));
        days.resize(LIFE_DAYS, usual);
        let curve = Curve::new(&self.shape, &days, parameters);
        let laid = mean_course(&self.stocking, &self.belief, &curve, parameters);
        let mut sum = 0.0;
        let first = laid.iter().position(|share| {
            sum += share;
            sum >= FIRST_EGGS_SHARE
        });
        let peak = laid
            .iter()
            .copied()
            .zip(0..)
            .fold((0.0, 0), |best, it| if it.0 > best.0 { it } else { best });
        let on = |day: usize| stocked_on + chrono::Days::new(u64::try_from(day).unwrap_or(0));
        Milestones {
            first_eggs: on(first.unwrap_or(0)),
            peak: on(peak.1),
            retire: on(retire_day(&laid, parameters)),
        }
    }
}
