//! What is to do at a farm today, most urgent first.
//!
//! Every job has a day on which it falls due, from the cooperative's rules, the run's stage and what was last done; the longer it waits the
//! louder it is. This room does not warn, word or send anything.

use crate::desk::farm::Farm;
use crate::desk::forecast::Sums;
use crate::desk::reply::{Stage, Task, TaskJob};
use crate::desk::stage::stage;
use crate::desk::unit::{Run, Unit};
use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::rules::Rules;
use crate::units::day::FarmDay;
use chrono::Duration;
use std::collections::BTreeMap;

/// Rows of a list: more than a part of 160 septets can show; the rest is as urgent tomorrow.
pub const TASKS_MAX: usize = 8;
/// Days before first eggs are due when traps and bait are set, so that the first flies to lay find them (common practice, no source).
const SET_TRAPS_DAYS: i64 = 2;
/// Days before first eggs are due when flies begin to emerge and drink: laying peaks at four days of age (Tomberlin & Sheppard 2002), males come a
/// day or two before females (Tomberlin et al. 2002).
const EMERGENCE_DAYS: i64 = 5;
/// Nothing is counted louder than this: the list would only shout.
pub(crate) const LOUDEST_DAYS: i64 = 9;
/// Days for which a job that was never reported at a cage grows louder.
const UNHEARD_DAYS: i64 = 3;
/// Rows that follow an answer to something else: what is most urgent; the whole list is what `tasks` is for.
pub(crate) const REPLY_TASKS_MAX: usize = 2;
/// An empty cage is asked about for this long; then it is taken for put away.
const RESTOCK_ASKED_DAYS: i64 = 14;
/// Days for cleaning and drying before an empty cage is to be stocked again (common practice, no source).
const CLEANING_DAYS: i64 = 1;

/// What is due at a farm on a day, most urgent first; at most [`TASKS_MAX`] rows.
#[must_use]
pub fn due(rules: &Rules, farm: &Farm, today: FarmDay) -> Vec<Task> {
    let sums = Sums::of(rules, farm);
    let mut by_job: BTreeMap<(TaskJob, u16), Vec<UnitCode>> = BTreeMap::new();
    for unit in &farm.units {
        for (job, day) in jobs(rules, &sums, unit, today) {
            let late = today.signed_duration_since(day).num_days();
            if late >= 0 {
                let late = loudness(unit, job, late);
                by_job.entry((job, late)).or_default().push(unit.code);
            }
        }
    }
    let mut tasks: Vec<Task> = by_job
        .into_iter()
        .map(|((job, overdue_days), units)| Task {
            job,
            units,
            overdue_days,
        })
        .collect();
    tasks.sort_by_key(|task| std::cmp::Reverse(urgency(task)));
    tasks.truncate(TASKS_MAX);
    tasks
}

/// How loud a job is. Who has never reported a job at a cage may well see to it: after some days of silence it is asked for plainly, not as
/// late. Ants are a reason to grow louder all the same.
fn loudness(unit: &Unit, job: TaskJob, late: i64) -> u16 {
    let never_reported = match job {
        TaskJob::Care(CareJob::Moat) if ants_of_run(unit).is_some() => false,
        TaskJob::Care(care) => unit.last_care(care).is_none(),
        _ => false,
    };
    let loud = if never_reported && late > UNHEARD_DAYS {
        0
    } else {
        late.min(LOUDEST_DAYS)
    };
    u16::try_from(loud).unwrap_or_default()
}

/// What waits at a unit, with the day on which each falls due (it may lie ahead).
fn jobs(rules: &Rules, sums: &Sums, unit: &Unit, today: FarmDay) -> Vec<(TaskJob, FarmDay)> {
    let Some(run) = &unit.running else {
        return restock(unit, today).into_iter().collect();
    };
    let mut jobs = vec![(TaskJob::Retire, sums.retire_due(run, today))];
    let first = sums.first_eggs(run);
    match stage(sums, run, today) {
        Stage::Spent { .. } => return jobs,
        Stage::Waiting { .. } | Stage::Empty { .. } => jobs.extend(set_traps(unit, first)),
        Stage::Laying { .. } => jobs.push((TaskJob::CollectEggs, collect(run, first))),
    }
    let cares = rules.care_days.iter();
    jobs.extend(cares.map(|(job, every)| {
        let day = care(unit, run, first, *job, i64::from(*every));
        (TaskJob::Care(*job), day)
    }));
    jobs
}

/// The day after the last harvest, or the day first eggs are due.
fn collect(run: &Run, first: FarmDay) -> FarmDay {
    run.last_harvest().map_or(first, |(day, _)| after(day, 1))
}

/// Traps and bait for the first eggs, until one of the two is reported.
fn set_traps(unit: &Unit, first: FarmDay) -> Option<(TaskJob, FarmDay)> {
    let day = after(first, -SET_TRAPS_DAYS);
    let done = [CareJob::Bait, CareJob::Traps]
        .iter()
        .any(|job| unit.last_care(*job).is_some_and(|done| done >= day));
    (!done).then_some((TaskJob::FirstEggs, day))
}

/// When a care job is due again; the first time when the run's flies begin to need it.
fn care(unit: &Unit, run: &Run, first: FarmDay, job: CareJob, every: i64) -> FarmDay {
    let begins = match job {
        CareJob::Moat => after(run.stocked, every),
        CareJob::Water | CareJob::Shade => after(first, -EMERGENCE_DAYS),
        // The first bait goes in with the traps; that task is its own.
        CareJob::Bait | CareJob::Traps => first,
        CareJob::Swept => after(first, every),
    };
    let done = unit.last_care(job).filter(|done| *done >= run.stocked);
    let ants = ants_of_run(unit);
    let ants_since =
        job == CareJob::Moat && ants.is_some_and(|ants| done.is_none_or(|done| done < ants));
    match (done, ants) {
        (_, Some(ants)) if ants_since => ants,
        (Some(done), _) => after(done, every),
        (None, _) => begins,
    }
}

/// Ants at the standing run; those of the run before went with it.
fn ants_of_run(unit: &Unit) -> Option<FarmDay> {
    let run = unit.running.as_ref()?;
    unit.ants.filter(|ants| *ants >= run.stocked)
}

fn restock(unit: &Unit, today: FarmDay) -> Option<(TaskJob, FarmDay)> {
    let due = after(unit.last.as_ref()?.retired?, CLEANING_DAYS);
    let asked = today.signed_duration_since(due).num_days() <= RESTOCK_ASKED_DAYS;
    asked.then_some((TaskJob::Restock, due))
}

/// Louder with every day; eggs and water first, since eggs hatch in the trap and dry flies die within days (Chia et al. 2018).
fn urgency(task: &Task) -> u16 {
    let base = match task.job {
        TaskJob::CollectEggs => 6,
        TaskJob::FirstEggs | TaskJob::Care(CareJob::Water) => 5,
        TaskJob::Care(CareJob::Moat) => 4,
        TaskJob::Care(CareJob::Bait | CareJob::Shade | CareJob::Traps) => 3,
        TaskJob::Retire | TaskJob::Restock => 2,
        TaskJob::Care(CareJob::Swept) => 1,
    };
    base + task.overdue_days
}

fn after(day: FarmDay, days: i64) -> FarmDay {
    day + Duration::days(days)
}
