//! What `undo` takes back: the steps of each sender's last message, each with what was there before.
//!
//! A step is taken back only where nobody has changed the same thing since. This room does not know who may undo.

use crate::desk::farm::Farm;
use crate::desk::steps::{Step, Stock};
use crate::desk::unit::Run;
use crate::domain::event::StandingWeight;

/// Hours for which `undo` reaches back: yesterday's slip is still noticed this evening; an older line is no longer "my last message" to anybody.
pub const UNDO_HOURS: i64 = 48;

/// Takes the steps of a message back, newest first; says which could be.
pub(crate) fn take_back(farm: &mut Farm, steps: &[Step]) -> Vec<Step> {
    let mut done = Vec::new();
    for step in steps.iter().rev() {
        if take_step_back(farm, step).is_some() {
            done.push(step.clone());
        }
    }
    done.reverse();
    done
}

fn take_step_back(farm: &mut Farm, step: &Step) -> Option<()> {
    match step {
        Step::Weight {
            unit,
            stocked,
            before,
            after,
        } => {
            let run = farm.run_begun_mut(*unit, *stocked)?;
            let standing = run.harvests.iter().find(|h| h.day == after.day)?;
            (standing == after).then_some(())?;
            run.set(after.day, *before);
        }
        Step::Care {
            unit,
            job,
            before,
            after,
        } => {
            let unit = farm.unit_mut(*unit)?;
            (unit.last_care(*job) == Some(*after)).then_some(())?;
            unit.set_care(*job, *before);
        }
        Step::Ants {
            unit,
            before,
            after,
        } => {
            let unit = farm.unit_mut(*unit)?;
            (unit.ants == Some(*after)).then_some(())?;
            unit.ants = *before;
        }
        Step::Dead {
            unit,
            before,
            after,
        } => {
            let unit = farm.unit_mut(*unit)?;
            (unit.dead == Some(*after)).then_some(())?;
            unit.dead = *before;
        }
        Step::Temperature { before, after } => {
            let at = farm.temperatures.iter().position(|t| t == after)?;
            match before {
                Some(before) => farm.temperatures[at] = *before,
                None => {
                    farm.temperatures.remove(at);
                }
            }
        }
        Step::Delivery { before, after, .. } => {
            let at = farm.deliveries.iter().position(|d| d == after)?;
            match before {
                Some(before) => farm.deliveries[at] = *before,
                None => {
                    farm.deliveries.remove(at);
                }
            }
        }
        Step::Began { .. } | Step::Corrected { .. } | Step::Ended { .. } => {
            return take_run_back(farm, step);
        }
    }
    Some(())
}

/// The steps that begin, correct or end a run.
fn take_run_back(farm: &mut Farm, step: &Step) -> Option<()> {
    match step {
        Step::Began {
            unit,
            stocked,
            new_unit,
            ..
        } => {
            let code = *unit;
            let unit = farm.unit_mut(code)?;
            let fresh = |r: &Run| r.stocked == *stocked && r.harvests.is_empty();
            unit.running.as_ref().is_some_and(fresh).then_some(())?;
            unit.running = None;
            if *new_unit && unit.last.is_none() {
                farm.units.retain(|u| u.code != code);
            }
        }
        Step::Corrected {
            unit,
            before,
            after,
            ..
        } => {
            let run = farm.unit_mut(*unit)?.running.as_mut()?;
            (Stock::of(run) == *after).then_some(())?;
            before.put(run);
        }
        Step::Ended {
            unit,
            day,
            displaced,
        } => {
            let unit = farm.unit_mut(*unit)?;
            let ended = unit.last.as_ref()?.retired == Some(*day);
            (ended && unit.running.is_none()).then_some(())?;
            unit.resume_run((**displaced).clone());
            let resumed = unit.running.as_ref().map(|run| (unit.code, run.stocked));
            farm.lessons
                .retain(|kept| Some((kept.unit, kept.stocked)) != resumed);
        }
        Step::Weight { .. }
        | Step::Care { .. }
        | Step::Ants { .. }
        | Step::Dead { .. }
        | Step::Temperature { .. }
        | Step::Delivery { .. } => return None,
    }
    Some(())
}

/// The weights that stand after `done` was taken back.
#[must_use]
pub fn standing_weights(done: &[Step]) -> Vec<StandingWeight> {
    let mut standing: Vec<StandingWeight> = Vec::new();
    for step in done {
        if let Step::Weight {
            unit,
            stocked,
            before,
            after,
        } = step
        {
            let day = *stocked + chrono::Duration::days(i64::from(after.day));
            if !standing.iter().any(|s| s.unit == *unit && s.day == day) {
                standing.push(StandingWeight {
                    unit: *unit,
                    day,
                    grams: before.map(|b| b.grams),
                });
            }
        }
    }
    standing
}
