//! A farm's cages as lanes: from stocking to retirement, what was expected each day, what came, what was done.
//!
//! This room draws nothing.

use crate::desk::farm::Farm;
use crate::desk::forecast::Sums;
use crate::domain::code::UnitCode;
use crate::domain::rules::Rules;
use crate::domain::{CareJob, StockKind};
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// Days after today that the expected band is told for.
const AHEAD: usize = 14;

/// One cage.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane {
    /// Its code.
    pub unit: UnitCode,
    /// The run; none: it stands empty.
    pub run: Option<LaneRun>,
    /// Care done last, by job.
    pub care: Vec<(CareJob, FarmDay)>,
    /// Ants were seen that day.
    pub ants: Option<FarmDay>,
    /// Dead flies were taken out that day.
    pub dead: Option<FarmDay>,
}

/// What is in it.
#[derive(Clone, Debug, PartialEq)]
pub struct LaneRun {
    /// Stocked.
    pub stocked: FarmDay,
    /// First eggs are due.
    pub first_eggs: FarmDay,
    /// To be retired by.
    pub retire_by: FarmDay,
    /// Pupae, where known.
    pub pupae: Option<Pupae>,
    /// One age or mixed.
    pub kind: StockKind,
    /// Expected of each day from stocking on, in grams: low, middle, high; empty where it cannot be told.
    pub band: Vec<(f64, f64, f64)>,
    /// Weights.
    pub harvests: Vec<(FarmDay, Grams)>,
}

/// Every cage that is or was in use, by code.
#[must_use]
pub fn lanes(rules: &Rules, farm: &Farm, today: FarmDay) -> Vec<Lane> {
    let sums = Sums::of(rules, farm);
    let lane = |unit: &crate::desk::unit::Unit| Lane {
        unit: unit.code,
        run: unit.running.as_ref().map(|run| {
            let band = sums.today(run, today).map_or_else(Vec::new, |learned| {
                let days = learned.band(&sums.parameters, AHEAD);
                days.iter()
                    .map(|day| (day.low, day.middle, day.high))
                    .collect()
            });
            LaneRun {
                stocked: run.stocked,
                first_eggs: sums.first_eggs(run),
                retire_by: sums.retire_by(run),
                pupae: run.pupae,
                kind: run.kind,
                band,
                harvests: run
                    .harvests
                    .iter()
                    .map(|h| (run.day_of(h), h.grams))
                    .collect(),
            }
        }),
        care: unit.care.iter().map(|done| (done.job, done.day)).collect(),
        ants: unit.ants,
        dead: unit.dead.as_ref().map(|dead| dead.day),
    };
    farm.units.iter().map(lane).collect()
}
