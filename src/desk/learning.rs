//! What the sums have learned of a run: kept with it after every message, gone on from at the next harvest.
//!
//! The belief is computed where a message is judged and recorded as an event beside the weights it was learned from, so that replaying a farm
//! computes nothing and gives the same bits on any machine and under any later model. A weight of an earlier day, a corrected stocking or
//! `undo` takes the belief away; it is then learned anew from all of the run's harvests. This room does not judge or word anything.

use crate::biology::history::{CageHistory, Run as LearnedRun};
use crate::biology::learned::Learned;
use crate::biology::prior::MODEL_VERSION;
use crate::biology::warning::Seen;
use crate::desk::forecast::{Sums, prior_of};
use crate::desk::unit::Run;
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
use crate::domain::event::{Belief, Event, FarmEvent};
use crate::units::day::FarmDay;

impl Sums {
    /// The run's harvests before `until`, learned up to the day `on`; none where the run is older than the sums cover.
    pub(crate) fn learned(
        &self,
        run: &Run,
        until: FarmDay,
        on: FarmDay,
    ) -> Option<(LearnedRun, Vec<Seen>)> {
        let harvests = run.harvests.iter().map(|h| (run.day_of(h), h.grams));
        let cage = CageHistory {
            stocked_on: run.stocked,
            pupae: run.pupae,
            kind: run.kind,
            retired_on: run.retired,
            harvests: harvests.take_while(|(day, _)| *day < until).collect(),
        };
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

    /// The belief in a run after all of its harvests, to be kept.
    fn belief(&self, run: &Run) -> Option<Belief> {
        let last = run.harvests.last()?;
        let on = run.day_of(last);
        let (learned, seen) = self.learned(run, on + chrono::Duration::days(1), on)?;
        let bytes = postcard::to_stdvec(&learned.kept(run.stocked, &seen)).ok()?;
        Some(Belief {
            model: MODEL_VERSION,
            through: last.day,
            bytes,
        })
    }
}

/// What is kept of a run, where it knows no harvest of `until` or later.
fn kept(run: &Run, until: FarmDay) -> Option<Learned> {
    let belief = run.learned.as_ref()?;
    let fits = belief.model == MODEL_VERSION && i64::from(belief.through) < run.age(until);
    let kept: Option<Learned> = fits.then(|| postcard::from_bytes(&belief.bytes).ok())?;
    kept
}

impl Work<'_> {
    /// Learns what this message changed.
    pub(crate) fn learn(&mut self) {
        let taught = |event: &Event| {
            matches!(
                event,
                Event::Farm(
                    FarmEvent::Harvested(_)
                        | FarmEvent::StockCorrected(_)
                        | FarmEvent::TakenBack { .. }
                )
            )
        };
        if !self.changes.iter().any(|(_, event)| taught(event)) {
            return;
        }
        let sums = Sums::of(self.rules, &self.farm);
        let mut learned: Vec<(UnitCode, FarmDay, Belief)> = Vec::new();
        for unit in &self.farm.units {
            let behind = unit.running.iter().chain(&unit.last).filter(|run| {
                let known = run.learned.as_ref().map(|belief| belief.through);
                run.harvests.last().map(|last| last.day) != known && !sums.starts_late(run)
            });
            learned.extend(
                behind.filter_map(|run| Some((unit.code, run.stocked, sums.belief(run)?))),
            );
        }
        for (unit, stocked, belief) in learned {
            self.put(FarmEvent::Learned {
                unit,
                stocked,
                belief,
            });
        }
    }
}
