//! What a recorded fact makes of a farm, and the steps that would take it back.
//!
//! An event that fits nothing changes nothing. This room judges nothing.

use crate::desk::delivery::{DELIVERIES_MAX, DayDelivery};
use crate::desk::farm::{Farm, KeptLesson, LESSONS_MAX, TEMPERATURES_MAX};
use crate::desk::steps::{Step, Stock};
use crate::desk::unit::{DayHarvest, DeadFlies, Run, Unit};
use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::event::{DayTemperature, Delivery, FarmEvent, Harvest, HarvestHow, Stocking};
use crate::units::day::FarmDay;

/// The farm day that a fact is about.
pub(crate) fn day_of(event: &FarmEvent) -> Option<FarmDay> {
    match event {
        FarmEvent::Harvested(harvest) => Some(harvest.day),
        FarmEvent::Stocked(stocking) | FarmEvent::StockCorrected(stocking) => Some(stocking.day),
        FarmEvent::Temperature(temperature) => Some(temperature.day),
        FarmEvent::Cared { day, .. }
        | FarmEvent::DeadFlies { day, .. }
        | FarmEvent::AntsSeen { day, .. }
        | FarmEvent::Retired { day, .. } => Some(*day),
        _ => None,
    }
}

/// Puts a fact into the farm; the steps back, in order.
pub(crate) fn record(farm: &mut Farm, event: &FarmEvent) -> Vec<Step> {
    match event {
        FarmEvent::Harvested(h) => harvest(farm, h).into_iter().collect(),
        FarmEvent::Cared { unit, job, day } => care(farm, *unit, *job, *day).into_iter().collect(),
        FarmEvent::Stocked(stocking) => stock(farm, stocking),
        FarmEvent::StockCorrected(s) => correct(farm, s).into_iter().collect(),
        FarmEvent::DeadFlies { unit, day, grams } => {
            let dead = DeadFlies {
                day: *day,
                grams: *grams,
            };
            dead_flies(farm, *unit, dead)
        }
        FarmEvent::AntsSeen { unit, day } => ants(farm, *unit, *day).into_iter().collect(),
        FarmEvent::Temperature(t) => temperature(farm, *t).into_iter().collect(),
        FarmEvent::Retired { unit, day } => retire(farm, *unit, *day).into_iter().collect(),
        FarmEvent::Delivered(d) => vec![deliver(farm, d)],
        FarmEvent::Taught {
            unit,
            stocked,
            lesson,
        } => {
            let (unit, stocked, lesson) = (*unit, *stocked, lesson.clone());
            farm.lessons
                .retain(|kept| (kept.unit, kept.stocked) != (unit, stocked));
            farm.lessons.push(KeptLesson {
                unit,
                stocked,
                lesson,
            });
            if farm.lessons.len() > LESSONS_MAX {
                farm.lessons.remove(0);
            }
            Vec::new()
        }
        FarmEvent::Learned {
            unit,
            stocked,
            belief,
        } => {
            if let Some(run) = farm.run_begun_mut(*unit, *stocked) {
                run.learned = Some(belief.clone());
            }
            Vec::new()
        }
        _ => Vec::new(),
    }
}

fn harvest(farm: &mut Farm, harvest: &Harvest) -> Option<Step> {
    let run = farm.unit_mut(harvest.unit)?.run_on_mut(harvest.day)?;
    let before = run.on(harvest.day).copied();
    let day = u16::try_from(run.age(harvest.day)).ok()?;
    let after = match harvest.how {
        HarvestHow::First | HarvestHow::Replaced => DayHarvest {
            day,
            grams: harvest.grams,
            added: None,
        },
        HarvestHow::Added => DayHarvest {
            day,
            grams: before.map_or(harvest.grams, |b| b.grams.plus(harvest.grams)),
            added: Some(harvest.grams),
        },
    };
    run.set(day, Some(after));
    Some(Step::Weight {
        unit: harvest.unit,
        stocked: run.stocked,
        before,
        after,
    })
}

fn care(farm: &mut Farm, code: UnitCode, job: CareJob, day: FarmDay) -> Option<Step> {
    let unit = farm.unit_mut(code)?;
    let before = unit.last_care(job);
    // A late line about an earlier day does not make the job older than it is.
    if before.is_some_and(|known| known >= day) {
        return None;
    }
    unit.set_care(job, Some(day));
    Some(Step::Care {
        unit: code,
        job,
        before,
        after: day,
    })
}

fn dead_flies(farm: &mut Farm, code: UnitCode, dead: DeadFlies) -> Vec<Step> {
    let mut steps = Vec::new();
    if let Some(unit) = farm.unit_mut(code)
        && unit.dead.is_none_or(|known| known.day <= dead.day)
    {
        steps.push(Step::Dead {
            unit: code,
            before: unit.dead,
            after: dead,
        });
        unit.dead = Some(dead);
    }
    // Whoever takes dead flies out has swept.
    steps.extend(care(farm, code, CareJob::Swept, dead.day));
    steps
}

fn ants(farm: &mut Farm, code: UnitCode, day: FarmDay) -> Option<Step> {
    let unit = farm.unit_mut(code)?;
    let before = unit.ants;
    if before.is_some_and(|known| known >= day) {
        return None;
    }
    unit.ants = Some(day);
    Some(Step::Ants {
        unit: code,
        before,
        after: day,
    })
}

fn temperature(farm: &mut Farm, after: DayTemperature) -> Option<Step> {
    let at = farm.temperatures.partition_point(|t| t.day < after.day);
    let before = farm
        .temperatures
        .get(at)
        .filter(|t| t.day == after.day)
        .copied();
    if before.is_some() {
        farm.temperatures[at] = after;
    } else {
        farm.temperatures.insert(at, after);
        if farm.temperatures.len() > TEMPERATURES_MAX {
            farm.temperatures.remove(0);
        }
    }
    Some(Step::Temperature { before, after })
}

fn deliver(farm: &mut Farm, delivery: &Delivery) -> Step {
    let at = farm.deliveries.partition_point(|d| d.day < delivery.day);
    let before = farm
        .deliveries
        .get(at)
        .filter(|d| d.day == delivery.day)
        .copied();
    let after = DayDelivery {
        day: delivery.day,
        grams: before.map_or(delivery.grams, |b| b.grams.plus(delivery.grams)),
        own: before.map_or(delivery.own, |b| b.own),
    };
    if let (Some(_), Some(row)) = (before, farm.deliveries.get_mut(at)) {
        *row = after;
    } else {
        farm.deliveries.insert(at, after);
        if farm.deliveries.len() > DELIVERIES_MAX {
            farm.deliveries.remove(0);
        }
    }
    Step::Delivery {
        grams: delivery.grams,
        before,
        after,
    }
}

fn stock(farm: &mut Farm, stocking: &Stocking) -> Vec<Step> {
    let mut steps = Vec::new();
    let at = farm.units.partition_point(|u| u.code < stocking.unit);
    let new_unit = farm.units.get(at).is_none_or(|u| u.code != stocking.unit);
    if new_unit {
        farm.units
            .insert(at, Unit::new(stocking.unit, stocking.unit_kind));
    }
    let unit = &mut farm.units[at];
    if let Some(displaced) = unit.end_run(stocking.day) {
        steps.push(Step::Ended {
            unit: stocking.unit,
            day: stocking.day,
            displaced: Box::new(displaced),
        });
    }
    unit.running = Some(Run {
        stocked: stocking.day,
        retired: None,
        pupae: stocking.pupae,
        weight: stocking.weight,
        kind: stocking.kind,
        prior: stocking.prior.clone(),
        harvests: Vec::new(),
        learned: None,
    });
    steps.push(Step::Began {
        unit: stocking.unit,
        stocked: stocking.day,
        amount: Stock {
            pupae: stocking.pupae,
            weight: stocking.weight,
            kind: stocking.kind,
        },
        new_unit,
    });
    steps
}

fn correct(farm: &mut Farm, stocking: &Stocking) -> Option<Step> {
    let run = farm.unit_mut(stocking.unit)?.running.as_mut()?;
    let before = Stock::of(run);
    let after = Stock {
        pupae: stocking.pupae,
        weight: stocking.weight,
        kind: stocking.kind,
    };
    after.put(run);
    Some(Step::Corrected {
        unit: stocking.unit,
        stocked: run.stocked,
        before,
        after,
    })
}

fn retire(farm: &mut Farm, code: UnitCode, day: FarmDay) -> Option<Step> {
    let displaced = farm.unit_mut(code)?.end_run(day)?;
    Some(Step::Ended {
        unit: code,
        day,
        displaced: Box::new(displaced),
    })
}
