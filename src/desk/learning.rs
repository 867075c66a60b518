//! What the sums have learned of a run: kept with it after every message, gone on from at the next harvest.
//!
//! The belief is computed where a message is judged and recorded as an event beside the weights it was learned from, so that replaying a farm
//! computes nothing and gives the same bits on any machine and under any later model. A weight of an earlier day, a corrected stocking or
//! `undo` takes the belief away; it is then learned anew from all of the run's harvests. This room does not judge or word anything.

use crate::biology::history::{CageHistory, Run as LearnedRun};
use crate::biology::learned::Learned;
use crate::biology::lesson::Lesson;
use crate::biology::lessons::{Lessons, Whose};
use crate::biology::pooling::Priors;
use crate::biology::prior::MODEL_VERSION;
use crate::biology::tables::Parameters;
use crate::biology::warning::Seen;
use crate::desk::farm::Farm;
use crate::desk::forecast::{Fresh, Sums, prior_of};
use crate::desk::own_yield::{LESSON_DAYS, own_yield};
use crate::desk::unit::{Run, Unit};
use crate::desk::ward::lesson_of;
use crate::desk::work::Work;
use crate::domain::StockKind;
use crate::domain::code::UnitCode;
use crate::domain::event::{self, Event, FarmEvent, ModelBytes, StreamId, WardEvent};
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;

impl Sums {
    /// The run's harvests before `until`, learned up to the day `on`; none where the run is older than the sums cover.
    pub(crate) fn learned(
        &self,
        run: &Run,
        until: FarmDay,
        on: FarmDay,
    ) -> Option<(LearnedRun, Vec<Seen>)> {
        let cage = history(run, until);
        let prior = prior_of(run.kind, run.prior.as_ref(), &self.parameters);
        let kept = kept(run, until);
        LearnedRun::resume(
            &cage,
            &prior,
            kept.as_ref(),
            &self.temperatures,
            &self.parameters,
            on,
        )
    }

    /// What an ended run teaches the next ones; none where it gave nothing, was short, or its pupae are unknown.
    fn lesson(&self, run: &Run) -> Option<ModelBytes> {
        let (last, ended) = (run.harvests.last()?, run.retired?);
        if run.age(ended) < LESSON_DAYS {
            return None;
        }
        let cage = history(run, ended + chrono::Duration::days(1));
        let finished = cage.lesson(&self.temperatures, &self.parameters, ended)?;
        let prior = prior_of(run.kind, run.prior.as_ref(), &self.parameters);
        Some(ModelBytes {
            model: MODEL_VERSION,
            through: last.day,
            bytes: Lesson::of(&finished, &prior, &self.parameters).to_bytes(),
        })
    }

    /// The belief in a run after all of its harvests, to be kept.
    fn belief(&self, run: &Run) -> Option<ModelBytes> {
        let last = run.harvests.last()?;
        let on = run.day_of(last);
        let (learned, seen) = self.learned(run, on + chrono::Duration::days(1), on)?;
        bytes(last.day, &learned.kept(run.stocked, &seen))
    }
}

fn bytes(through: u16, learned: &Learned) -> Option<ModelBytes> {
    let bytes = postcard::to_stdvec(learned).ok()?;
    Some(ModelBytes {
        model: MODEL_VERSION,
        through,
        bytes,
    })
}

/// What was learned of a run while its last harvest was compared, where nothing about it has changed since.
fn fresh(fresh: &[Fresh], unit: &Unit, run: &Run) -> Option<ModelBytes> {
    let last = run.harvests.last()?;
    let is_last = |one: &&Fresh| {
        (one.unit, one.stocked, one.age, one.grams)
            == (unit.code, run.stocked, last.day, last.grams)
    };
    let found = fresh.iter().rev().find(is_last)?;
    bytes(last.day, &found.kept)
}

/// A run as dates and weights, without the harvests of `until` and later.
fn history(run: &Run, until: FarmDay) -> CageHistory {
    let harvests = run.harvests.iter().map(|h| (run.day_of(h), h.grams));
    CageHistory {
        stocked_on: run.stocked,
        pupae: run.pupae,
        kind: run.kind,
        retired_on: run.retired,
        harvests: harvests.take_while(|(day, _)| *day < until).collect(),
    }
}

/// What is kept of a run, where it knows no harvest of `until` or later.
fn kept(run: &Run, until: FarmDay) -> Option<Learned> {
    let belief = run.learned.as_ref()?;
    let fits = belief.model == MODEL_VERSION && i64::from(belief.through) < run.age(until);
    let kept: Option<Learned> = fits.then(|| postcard::from_bytes(&belief.bytes).ok())?;
    kept
}

/// What is learned in one message, to be recorded.
enum News {
    Learned(UnitCode, FarmDay, ModelBytes),
    Taught(UnitCode, FarmDay, ModelBytes),
}

impl Work<'_> {
    /// Learns what this message changed.
    pub(crate) fn learn(&mut self) {
        let changed = self.changes.iter().filter_map(|(_, event)| touched(event));
        let changed: Vec<Touched> = changed.collect();
        if changed.is_empty() {
            return;
        }
        let sums = Sums::of(self.rules, &self.farm);
        // What a temperature or a word about the stock changes was not known yet when the first weights were compared.
        let otherwise = |(_, event): &(StreamId, Event)| {
            let Event::Farm(event) = event else {
                return false;
            };
            matches!(
                event,
                FarmEvent::Temperature(_)
                    | FarmEvent::StockCorrected(_)
                    | FarmEvent::TakenBack { .. }
            )
        };
        if self.changes.iter().any(otherwise) {
            self.fresh.clear();
        }
        let units = self.farm.units.iter();
        let news = units.flat_map(|unit| news(&sums, &changed, unit, &self.fresh));
        let news: Vec<News> = news.collect();
        for one in news {
            match one {
                News::Learned(unit, stocked, belief) => self.put(FarmEvent::Learned {
                    unit,
                    stocked,
                    belief,
                }),
                News::Taught(unit, stocked, lesson) => self.teach(unit, stocked, lesson),
            }
        }
    }

    /// Records a lesson at the farm, and the first time in its ward and cooperative too.
    fn teach(&mut self, unit: UnitCode, stocked: FarmDay, lesson: ModelBytes) {
        let known = self.farm.lesson(unit, stocked).is_some();
        let ward = self.owner.ward.clone().filter(|ward| !ward.is_empty());
        for ward in ward.into_iter().chain([String::new()]).filter(|_| !known) {
            let event = Event::Ward(WardEvent::Taught(lesson.clone()));
            self.changes.push((StreamId::Ward(ward), event));
        }
        self.put(FarmEvent::Taught {
            unit,
            stocked,
            lesson,
        });
    }
}

/// What an event changes that the sums learn from.
#[derive(PartialEq)]
enum Touched {
    /// Eggs of a day, or the stock.
    Unit(UnitCode, Option<FarmDay>),
    /// A run ended, another may have begun.
    Ended(UnitCode),
    /// Whatever a message changed that was taken back.
    Any,
}

fn touched(event: &Event) -> Option<Touched> {
    let Event::Farm(event) = event else {
        return None;
    };
    match event {
        FarmEvent::Harvested(harvest) => Some(Touched::Unit(harvest.unit, Some(harvest.day))),
        FarmEvent::StockCorrected(stocking) => Some(Touched::Unit(stocking.unit, None)),
        FarmEvent::Stocked(stocking) => Some(Touched::Ended(stocking.unit)),
        FarmEvent::Retired { unit, .. } => Some(Touched::Ended(*unit)),
        FarmEvent::TakenBack { .. } => Some(Touched::Any),
        _ => None,
    }
}

/// What is to be learned of a unit: its running run's belief where harvests came since, and the lesson of a run that has ended or got a late line.
fn news(sums: &Sums, changed: &[Touched], unit: &Unit, ready: &[Fresh]) -> Vec<News> {
    let mut news = Vec::new();
    let is_changed = changed.iter().any(|touched| match touched {
        Touched::Unit(code, _) | Touched::Ended(code) => *code == unit.code,
        Touched::Any => true,
    });
    if let Some(run) = unit.running.as_ref().filter(|_| is_changed) {
        let known = run.learned.as_ref().map(|belief| belief.through);
        let behind = run.harvests.last().map(|last| last.day) != known && !sums.starts_late(run);
        let ready = behind.then(|| fresh(ready, unit, run)).flatten();
        debug_assert!(
            ready.is_none() || ready == sums.belief(run),
            "what was learned while a weight was compared is what its run teaches"
        );
        let belief = ready.or_else(|| behind.then(|| sums.belief(run)).flatten());
        news.extend(belief.map(|belief| News::Learned(unit.code, run.stocked, belief)));
    }
    let over = |run: &&Run| {
        changed.iter().any(|touched| match touched {
            Touched::Ended(code) => *code == unit.code,
            Touched::Unit(code, Some(day)) => *code == unit.code && run.retired >= Some(*day),
            Touched::Unit(_, None) | Touched::Any => false,
        })
    };
    if let Some(run) = unit.last.as_ref().filter(over) {
        let lesson = (!sums.starts_late(run)).then(|| sums.lesson(run)).flatten();
        news.extend(lesson.map(|lesson| News::Taught(unit.code, run.stocked, lesson)));
    }
    news
}

/// What is expected of the farm's next stockings: its own finished runs on top of its ward's, those on top of the table.
pub(crate) fn next_priors(rules: &Rules, farm: &Farm, parameters: &Parameters) -> Priors {
    let table = Priors::of_the_table(parameters);
    let ward = rules.ward.priors.as_ref();
    let mut base = ward.map_or(table, |(one_age, mixed)| Priors {
        one_age: prior_of(StockKind::OneAge, Some(one_age), parameters),
        mixed: prior_of(StockKind::Mixed, Some(mixed), parameters),
    });
    let mut own = Lessons::default();
    for lesson in farm
        .lessons
        .iter()
        .filter_map(|kept| lesson_of(&kept.lesson))
    {
        own.add(&lesson, Whose::Farm, 1.0, parameters);
    }
    if own.runs() > 0.0 {
        return own.priors(&base, Whose::Farm, parameters);
    }
    // Runs that ended before lessons were kept left their totals.
    if let Some(scale) = own_yield(farm, parameters) {
        (base.one_age.scale, base.mixed.scale) = (scale, scale);
    }
    base
}

/// What a stocking carries; none where nothing is known beyond the table.
pub(crate) fn carried(
    rules: &Rules,
    farm: &Farm,
    kind: StockKind,
    parameters: &Parameters,
) -> Option<event::Prior> {
    let priors = next_priors(rules, farm, parameters);
    let table = Priors::of_the_table(parameters);
    (priors != table).then(|| event::Prior {
        model: MODEL_VERSION,
        numbers: priors.of(kind).numbers(),
    })
}
