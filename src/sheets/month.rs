//! The month-end sheet: what each ward's farms did in a month, beside the month before.
//!
//! A farm is active where it recorded a harvest in the month. This room does not forecast.

use crate::counter::Counter;
use crate::domain::MemberNo;
use crate::domain::event::{Event, FarmEvent};
use crate::domain::message::CoopId;
use crate::sheets::form::Cell;
use crate::sheets::rows::{Put, Wanted};
use crate::sheets::{Month, SheetError};
use crate::units::Grams;
use crate::units::day::FarmDay;
use std::collections::BTreeMap;

/// What one ward did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WardMonth {
    /// Members with a farm.
    pub members: u32,
    /// Farms with a harvest in the month.
    pub active: u32,
    /// Stockings that ran on any day of it.
    pub cages: u32,
    /// Eggs weighed by the farms.
    pub grams: Grams,
    /// Eggs received from them.
    pub delivered: Grams,
    /// Eggs weighed by the farms in the month before.
    pub before: Grams,
}

impl WardMonth {
    /// How much more than the month before, in per cent; none where there was nothing.
    #[must_use]
    pub fn change_percent(&self) -> Option<f64> {
        let before = f64::from(self.before.hundredths());
        let now = f64::from(self.grams.hundredths());
        (before > 0.0).then(|| ((now - before) / before * 1_000.0).round() / 10.0)
    }
}

/// The month by ward, those that `has` says yes to, in order of name; members without a ward under an empty one.
///
/// # Errors
/// When the store fails.
pub fn by_ward(
    counter: &Counter,
    coop: CoopId,
    month: Month,
    has: &dyn Fn(Option<&str>) -> bool,
) -> Result<BTreeMap<String, WardMonth>, SheetError> {
    let mut wards: BTreeMap<String, WardMonth> = BTreeMap::new();
    for member in counter.members(coop)? {
        if !has(member.ward.as_deref()) {
            continue;
        }
        let ward = member.ward.clone().unwrap_or_default();
        let row = wards.entry(ward).or_default();
        row.members += 1;
        add_farm(counter, coop, member.number, month, row)?;
    }
    Ok(wards)
}

fn add_farm(
    counter: &Counter,
    coop: CoopId,
    no: MemberNo,
    month: Month,
    row: &mut WardMonth,
) -> Result<(), SheetError> {
    let mut active = false;
    counter.harvests_of(coop, no, &mut |harvest| {
        if month.has(harvest.day) {
            active = true;
            row.grams = row.grams.plus(harvest.grams);
        } else if month.before().has(harvest.day) {
            row.before = row.before.plus(harvest.grams);
        }
    })?;
    row.active += u32::from(active);
    for delivery in counter.deliveries_of(coop, no)? {
        if month.has(delivery.day) {
            row.delivered = row.delivered.plus(delivery.grams);
        }
    }
    row.cages += cages_run(counter, coop, no, month)?;
    Ok(())
}

/// Stockings that ran on any day of the month.
fn cages_run(
    counter: &Counter,
    coop: CoopId,
    no: MemberNo,
    month: Month,
) -> Result<u32, SheetError> {
    let mut began: Vec<(crate::domain::code::UnitCode, FarmDay, Option<FarmDay>)> = Vec::new();
    let mut messages = Vec::new();
    counter.farm_events(coop, no, &mut |recorded| match &recorded.event {
        Event::Farm(FarmEvent::Stocked(stocking)) => {
            end(&mut began, stocking.unit, stocking.day);
            began.push((stocking.unit, stocking.day, None));
            messages.push((recorded.message, stocking.unit, stocking.day));
        }
        Event::Farm(FarmEvent::Retired { unit, day }) => end(&mut began, *unit, *day),
        Event::Farm(FarmEvent::TakenBack { message, .. }) => {
            let undone = messages.iter().filter(|(by, ..)| *by == Some(*message));
            for (_, unit, day) in undone {
                began.retain(|(u, d, _)| (u, d) != (unit, day));
            }
        }
        _ => {}
    })?;
    let ran = began
        .iter()
        .filter(|(_, from, to)| *from <= month.last() && to.is_none_or(|to| to >= month.first()));
    Ok(u32::try_from(ran.count()).unwrap_or(u32::MAX))
}

fn end(
    began: &mut [(crate::domain::code::UnitCode, FarmDay, Option<FarmDay>)],
    unit: crate::domain::code::UnitCode,
    day: FarmDay,
) {
    let running = began
        .iter_mut()
        .rev()
        .find(|(u, _, to)| *u == unit && to.is_none());
    if let Some((.., to)) = running {
        *to = Some(day);
    }
}

/// The sheet's rows.
///
/// # Errors
/// When the store or `put` fails.
pub fn rows(counter: &Counter, wanted: &Wanted, put: &mut Put<'_>) -> Result<(), SheetError> {
    let today = counter.clock().now().date_naive();
    let month = wanted.month.unwrap_or_else(|| Month::of(today).before());
    for (ward, row) in by_ward(counter, wanted.coop, month, &|ward| wanted.has(ward))? {
        put(cells(month, ward, &row))?;
    }
    Ok(())
}

/// A ward's row.
#[must_use]
pub fn cells(month: Month, ward: String, row: &WardMonth) -> Vec<Cell> {
    vec![
        month.to_string().into(),
        ward.into(),
        row.members.into(),
        row.active.into(),
        row.cages.into(),
        row.grams.into(),
        row.delivered.into(),
        row.before.into(),
        row.change_percent().map_or(Cell::Nothing, Cell::Number),
    ]
}
