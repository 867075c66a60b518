//! Which lesson a new keeper is told today: one a day at most, each once, with the reminder that goes out anyway.
//!
//! The first week tells how lines are written; a stage's lesson is told when its work first falls due. After the first season, or where the
//! keeper has ended them, nothing is told. This room words and sends nothing.

use crate::desk::farm::Farm;
use crate::desk::reply::{Task, TaskJob};
use crate::domain::CareJob;
use crate::domain::topic::Topic;
use crate::units::Grams;
use crate::units::day::FarmDay;

/// Days after a farm's first stocking in which its keeper is new...
const WEEK_DAYS: i64 = 7;
/// ...in which what the week did not get to is still told...
const WEEK_LATE_DAYS: i64 = 14;
/// ...and in which there are lessons at all: a cage's six weeks and the time to set it up.
const SEASON_DAYS: i64 = 60;

/// Today's lesson, if there is one; `due` is what is to do, most urgent first.
pub(crate) fn next(farm: &Farm, due: &[Task], today: FarmDay) -> Option<Topic> {
    let age = today.signed_duration_since(first_stocked(farm)?).num_days();
    if farm.lessons_off || !(0..=SEASON_DAYS).contains(&age) {
        return None;
    }
    let week = Topic::WEEK.into_iter().filter(|_| age < WEEK_LATE_DAYS);
    let stages = due.iter().flat_map(|task| of_job(task.job)).copied();
    let hatching = has_eggs(farm).then_some(Topic::Hatching);
    let untold = |topic: &Topic| !farm.explained.contains(topic);
    if age < WEEK_DAYS {
        week.chain(stages).chain(hatching).find(untold)
    } else {
        stages.chain(hatching).chain(week).find(untold)
    }
}

/// Whether a lesson may go as a text of its own where nothing is to do: in the first week only.
pub(crate) fn goes_alone(topic: Topic) -> bool {
    Topic::WEEK.contains(&topic)
}

/// The day on which the farm's first cage was stocked.
fn first_stocked(farm: &Farm) -> Option<FarmDay> {
    let runs = |unit: &crate::desk::unit::Unit| {
        let kept = unit.running.iter().chain(&unit.last).map(|run| run.stocked);
        let finished = unit.finished.iter().map(|run| run.stocked);
        kept.chain(finished).min()
    };
    farm.units.iter().filter_map(runs).min()
}

fn has_eggs(farm: &Farm) -> bool {
    let runs = farm
        .units
        .iter()
        .flat_map(|u| u.running.iter().chain(&u.last));
    runs.flat_map(|run| &run.harvests)
        .any(|h| h.grams > Grams::ZERO)
}

/// What a job's first time teaches, in the order in which it is told.
const fn of_job(job: TaskJob) -> &'static [Topic] {
    match job {
        TaskJob::CollectEggs => &[Topic::PullTraps, Topic::Weighing],
        TaskJob::FirstEggs => &[Topic::BaitAndTraps],
        TaskJob::Care(CareJob::Water) => &[Topic::Water],
        TaskJob::Care(CareJob::Moat) => &[Topic::Moats],
        TaskJob::Care(CareJob::Shade) => &[Topic::Shade],
        TaskJob::Care(CareJob::Bait | CareJob::Traps) => &[Topic::Waste],
        TaskJob::Care(CareJob::Swept) => &[Topic::Allergy],
        TaskJob::Retire => &[Topic::Retiring],
        TaskJob::Restock => &[Topic::Cleaning, Topic::Lifting],
    }
}
