//! One unit of a farm: its running stock, the run before, and what was done for it.
//!
//! This room keeps what it is told; it does not know what is plausible or due.

use crate::domain::code::UnitCode;
use crate::domain::compact;
use crate::domain::event::{ModelBytes, Prior};
use crate::domain::{CareJob, StockKind, UnitKind};
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};
use serde::{Deserialize, Serialize};

/// A unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Unit {
    /// Code.
    pub code: UnitCode,
    /// What it is.
    pub kind: UnitKind,
    /// The running stock.
    pub running: Option<Run>,
    /// The run before, whole, so that late lines and `undo` still find it.
    pub last: Option<Run>,
    /// Runs before that, newest last.
    pub finished: Vec<FinishedRun>,
    /// When each care job was last done.
    pub care: Vec<CareDone>,
    /// When ants were last seen.
    #[serde(with = "compact::day_or_none")]
    pub ants: Option<FarmDay>,
    /// When dead flies were last taken out, and how much where it was weighed.
    pub dead: Option<DeadFlies>,
}

/// From stocking to retirement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// Day it began.
    #[serde(with = "compact::day")]
    pub stocked: FarmDay,
    /// Day it ended; none while it runs.
    #[serde(with = "compact::day_or_none")]
    pub retired: Option<FarmDay>,
    /// How many pupae, where known.
    pub pupae: Option<Pupae>,
    /// By weight, where said so.
    pub weight: Option<Grams>,
    /// One age or mixed.
    pub kind: StockKind,
    /// What the model believed at its start.
    pub prior: Option<Prior>,
    /// The day's weights, oldest first; a harvest of nothing is one.
    pub harvests: Vec<DayHarvest>,
    /// What the model believes after them; none where a weight or the stock changed since.
    #[serde(default)]
    pub learned: Option<ModelBytes>,
}

/// A day's eggs in one run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayHarvest {
    /// Days since stocking.
    pub day: u16,
    /// All of that day.
    pub grams: Grams,
    /// The weight last added on top, where one was: the same `add` again is a question.
    pub added: Option<Grams>,
}

/// What is kept of a run long finished.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FinishedRun {
    /// Day it began.
    #[serde(with = "compact::day")]
    pub stocked: FarmDay,
    /// Day it ended.
    #[serde(with = "compact::day")]
    pub retired: FarmDay,
    /// How many pupae, where known.
    pub pupae: Option<Pupae>,
    /// Everything it gave.
    pub grams: Grams,
}

/// A care job done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CareDone {
    /// Job.
    pub job: CareJob,
    /// Last day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
}

/// Dead flies taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DeadFlies {
    /// Last day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// Weight, where it was said.
    pub grams: Option<Grams>,
}

/// Finished runs kept as totals; enough for a year of a one-age cage's own history to be compared with.
pub const FINISHED_MAX: usize = 6;

/// What a unit lost from sight when a run began or ended; `undo` puts it back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Displaced {
    /// The run that was `last` before.
    pub last: Option<Run>,
    /// The total that fell off the list of finished runs.
    pub dropped: Option<FinishedRun>,
}

impl Unit {
    /// A new one, empty.
    #[must_use]
    pub fn new(code: UnitCode, kind: UnitKind) -> Self {
        Self {
            code,
            kind,
            running: None,
            last: None,
            finished: Vec::new(),
            care: Vec::new(),
            ants: None,
            dead: None,
        }
    }

    /// When the job was last done.
    #[must_use]
    pub fn last_care(&self, job: CareJob) -> Option<FarmDay> {
        self.care.iter().find(|done| done.job == job).map(|d| d.day)
    }

    /// The run that eggs of that day belong to. On the day of a change the old run is meant: new flies cannot have laid.
    #[must_use]
    pub fn run_on(&self, day: FarmDay) -> Option<&Run> {
        self.last
            .iter()
            .chain(&self.running)
            .find(|run| run.covers(day))
    }

    /// [`Unit::run_on`], to be changed.
    pub(crate) fn run_on_mut(&mut self, day: FarmDay) -> Option<&mut Run> {
        self.last
            .iter_mut()
            .chain(&mut self.running)
            .find(|run| run.covers(day))
    }

    /// Sets or clears the last day of a care job.
    pub(crate) fn set_care(&mut self, job: CareJob, day: Option<FarmDay>) {
        self.care.retain(|done| done.job != job);
        if let Some(day) = day {
            let at = self.care.partition_point(|done| done.job < job);
            self.care.insert(at, CareDone { job, day });
        }
    }

    /// A run ends.
    pub(crate) fn end_run(&mut self, day: FarmDay) -> Option<Displaced> {
        let mut ended = self.running.take()?;
        ended.retired = Some(day);
        ended.learned = None;
        let mut displaced = Displaced {
            last: self.last.replace(ended),
            dropped: None,
        };
        if let Some(finished) = displaced.last.as_ref().and_then(FinishedRun::of) {
            self.finished.push(finished);
            if self.finished.len() > FINISHED_MAX {
                displaced.dropped = Some(self.finished.remove(0));
            }
        }
        Some(displaced)
    }

    /// The run that [`Unit::end_run`] ended runs again.
    pub(crate) fn resume_run(&mut self, displaced: Displaced) {
        let Some(mut resumed) = self.last.take() else {
            return;
        };
        resumed.retired = None;
        self.running = Some(resumed);
        if displaced.last.is_some() {
            self.finished.pop();
        }
        if let Some(dropped) = displaced.dropped {
            self.finished.insert(0, dropped);
        }
        self.last = displaced.last;
    }
}

impl FinishedRun {
    /// The totals of a run that has ended.
    fn of(run: &Run) -> Option<Self> {
        Some(Self {
            stocked: run.stocked,
            retired: run.retired?,
            pupae: run.pupae,
            grams: run.total(),
        })
    }
}

impl Run {
    /// The calendar day of a harvest of this run.
    #[must_use]
    pub fn day_of(&self, harvest: &DayHarvest) -> FarmDay {
        self.stocked + chrono::Duration::days(i64::from(harvest.day))
    }

    /// Whole days from stocking to `day`; negative before it.
    #[must_use]
    pub fn age(&self, day: FarmDay) -> i64 {
        day.signed_duration_since(self.stocked).num_days()
    }

    /// Whether that day lies in this run.
    #[must_use]
    pub fn covers(&self, day: FarmDay) -> bool {
        self.stocked <= day && self.retired.is_none_or(|end| day <= end)
    }

    /// Sets or clears a day's weight.
    ///
    /// What was believed with another weight of that day, or without it, is believed no more.
    pub(crate) fn set(&mut self, day: u16, harvest: Option<DayHarvest>) {
        self.learned.take_if(|learned| learned.through >= day);
        let at = self.harvests.partition_point(|h| h.day < day);
        let standing = self.harvests.get(at).is_some_and(|h| h.day == day);
        match (harvest, standing) {
            (Some(harvest), true) => self.harvests[at] = harvest,
            (Some(harvest), false) => self.harvests.insert(at, harvest),
            (None, true) => {
                self.harvests.remove(at);
            }
            (None, false) => {}
        }
    }

    /// The weight of that day.
    #[must_use]
    pub fn on(&self, day: FarmDay) -> Option<&DayHarvest> {
        let age = u16::try_from(self.age(day)).ok()?;
        let at = self.harvests.binary_search_by_key(&age, |h| h.day).ok()?;
        self.harvests.get(at)
    }

    /// The latest weight.
    #[must_use]
    pub fn last_harvest(&self) -> Option<(FarmDay, Grams)> {
        self.harvests.last().map(|h| (self.day_of(h), h.grams))
    }

    /// Everything so far.
    #[must_use]
    pub fn total(&self) -> Grams {
        self.harvests
            .iter()
            .fold(Grams::ZERO, |sum, h| sum.plus(h.grams))
    }

    /// The most eggs of any seven days that end with a harvest.
    #[must_use]
    pub fn best_week(&self) -> Grams {
        let weeks = self.harvests.iter().map(|h| self.week_to(self.day_of(h)));
        weeks.max().unwrap_or(Grams::ZERO)
    }

    /// Eggs of the seven farm days that end with `today`.
    #[must_use]
    pub fn week_to(&self, today: FarmDay) -> Grams {
        let age = self.age(today);
        self.harvests
            .iter()
            .filter(|h| (age - 6..=age).contains(&i64::from(h.day)))
            .fold(Grams::ZERO, |sum, h| sum.plus(h.grams))
    }
}
