//! What each sheet's rows hold, read farm by farm so that memory stays flat.
//!
//! This room does not know the form that they are written in.

use crate::counter::Counter;
use crate::counter::answers::MessageRow;
use crate::desk::member::Member;
use crate::desk::unit::{FinishedRun, Run, Unit};
use crate::domain::event::{Event, FarmEvent, Recorded};
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::domain::{MemberNo, StockKind};
use crate::sheets::form::{Cell, Form, Out};
use crate::sheets::{Month, Sheet, SheetError, month};
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};
use std::collections::BTreeSet;
use std::io::Write;

/// What is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Which cooperative.
    pub coop: CoopId,
    /// Which sheet.
    pub sheet: Sheet,
    /// In which form.
    pub form: Form,
    /// Rows of this month only, where rows have a day; for [`Sheet::Month`] the month summed up.
    pub month: Option<Month>,
    /// Rows of members of these wards only; none: of all.
    pub wards: Vec<String>,
}

impl Wanted {
    /// Whether rows of that ward are wanted; a member without a ward is wanted where all are.
    #[must_use]
    pub fn has(&self, ward: Option<&str>) -> bool {
        self.wards.is_empty() || ward.is_some_and(|ward| self.wards.iter().any(|own| own == ward))
    }
}

/// Writes a sheet; how many rows.
///
/// # Errors
/// When the store or `to` fails, or a workbook would be too long.
pub fn write(counter: &Counter, wanted: &Wanted, to: &mut dyn Write) -> Result<usize, SheetError> {
    let sheet = wanted.sheet;
    let mut out = Out::begin(wanted.form, sheet.name(), sheet.columns(), to)?;
    let mut rows = 0;
    let mut put = |cells: Vec<Cell>| {
        rows += 1;
        out.row(&cells)
    };
    match sheet {
        Sheet::Messages => messages(counter, wanted, &mut put)?,
        Sheet::Month => month::rows(counter, wanted, &mut put)?,
        Sheet::Members | Sheet::Cages | Sheet::Harvests | Sheet::Care | Sheet::Deliveries => {
            for member in counter.members(wanted.coop)? {
                if wanted.has(member.ward.as_deref()) {
                    of_member(counter, wanted, &member, &mut put)?;
                }
            }
        }
    }
    out.end()?;
    Ok(rows)
}

/// Takes a row.
pub type Put<'p> = dyn FnMut(Vec<Cell>) -> Result<(), SheetError> + 'p;

/// The rows of one member, whatever their ward; none of a sheet that is not of members.
///
/// # Errors
/// When the store or `put` fails.
pub fn of_member(
    counter: &Counter,
    wanted: &Wanted,
    member: &Member,
    put: &mut Put<'_>,
) -> Result<(), SheetError> {
    match wanted.sheet {
        Sheet::Members => put(member_row(counter, wanted.coop, member)?),
        Sheet::Cages => cages(counter, wanted.coop, member.number, put),
        Sheet::Harvests => harvests(counter, wanted, member.number, put),
        Sheet::Care => care(counter, wanted, member.number, put),
        Sheet::Deliveries => deliveries(counter, wanted, member.number, put),
        Sheet::Messages | Sheet::Month => Ok(()),
    }
}

fn in_month(wanted: &Wanted, day: FarmDay) -> bool {
    wanted.month.is_none_or(|month| month.has(day))
}

fn number(no: MemberNo) -> Cell {
    no.0.into()
}

fn member_row(counter: &Counter, coop: CoopId, member: &Member) -> Result<Vec<Cell>, SheetError> {
    let farm = counter.farm(coop, member.number)?;
    let phones: Vec<&str> = member.phones.iter().map(PhoneNumber::full).collect();
    Ok(vec![
        number(member.number),
        member.name.clone().into(),
        format!("{:?}", member.role).to_lowercase().into(),
        member.lang.to_string().into(),
        member.ward.clone().into(),
        phones.join(" ").into(),
        Cell::Flag(member.stopped),
        Cell::Whole(i64::try_from(farm.running().count()).unwrap_or(i64::MAX)),
    ])
}

fn cages(
    counter: &Counter,
    coop: CoopId,
    no: MemberNo,
    put: &mut Put<'_>,
) -> Result<(), SheetError> {
    let farm = counter.farm(coop, no)?;
    for unit in &farm.units {
        for run in &unit.finished {
            put(finished_row(no, unit, run))?;
        }
        for run in unit.last.iter().chain(&unit.running) {
            put(run_row(no, unit, run))?;
        }
    }
    Ok(())
}

fn run_row(no: MemberNo, unit: &Unit, run: &Run) -> Vec<Cell> {
    let grams = run
        .harvests
        .iter()
        .fold(Grams::ZERO, |sum, h| sum.plus(h.grams));
    let last = run.harvests.last();
    let last = last.map(|h| run.stocked + chrono::Duration::days(i64::from(h.day)));
    vec![
        number(no),
        unit.code.to_string().into(),
        unit.code.check_letter().to_string().into(),
        run.stocked.into(),
        run.retired.into(),
        run.pupae.map(Pupae::count).into(),
        match run.kind {
            StockKind::OneAge => "one-age".into(),
            StockKind::Mixed => "mixed".into(),
        },
        grams.into(),
        last.into(),
    ]
}

/// A run of which only the totals are kept.
fn finished_row(no: MemberNo, unit: &Unit, run: &FinishedRun) -> Vec<Cell> {
    vec![
        number(no),
        unit.code.to_string().into(),
        unit.code.check_letter().to_string().into(),
        run.stocked.into(),
        run.retired.into(),
        run.pupae.map(Pupae::count).into(),
        Cell::Nothing,
        run.grams.into(),
        Cell::Nothing,
    ]
}

fn harvests(
    counter: &Counter,
    wanted: &Wanted,
    no: MemberNo,
    put: &mut Put<'_>,
) -> Result<(), SheetError> {
    let mut rows = Vec::new();
    counter.harvests_of(wanted.coop, no, &mut |row| rows.push(row))?;
    for row in rows.into_iter().filter(|row| in_month(wanted, row.day)) {
        put(vec![
            number(row.member),
            row.cage.to_string().into(),
            row.day.into(),
            row.grams.into(),
            row.by.map(|by| by.0).into(),
            row.message_id.into(),
        ])?;
    }
    Ok(())
}

fn deliveries(
    counter: &Counter,
    wanted: &Wanted,
    no: MemberNo,
    put: &mut Put<'_>,
) -> Result<(), SheetError> {
    let rows = counter.deliveries_of(wanted.coop, no)?;
    for row in rows.into_iter().filter(|row| in_month(wanted, row.day)) {
        let more = |own: Grams| i64::from(row.grams.hundredths()) - i64::from(own.hundredths());
        put(vec![
            number(row.member),
            row.day.into(),
            row.grams.into(),
            row.own.into(),
            row.own
                .map_or(Cell::Nothing, |own| Cell::GramsMore(more(own))),
            row.by.map(|by| by.0).into(),
            row.message_id.into(),
        ])?;
    }
    Ok(())
}

/// Care, things seen and temperatures, as they were recorded; what was taken back is not listed.
fn care(
    counter: &Counter,
    wanted: &Wanted,
    no: MemberNo,
    put: &mut Put<'_>,
) -> Result<(), SheetError> {
    let mut kept: Vec<Recorded> = Vec::new();
    counter.farm_events(wanted.coop, no, &mut |recorded| {
        if let Event::Farm(FarmEvent::TakenBack { message, .. }) = &recorded.event {
            kept.retain(|known| known.message != Some(*message));
        } else if care_of(recorded).is_some() {
            kept.push(recorded.clone());
        }
    })?;
    for recorded in &kept {
        let Some((unit, day, what, value)) = care_of(recorded) else {
            continue;
        };
        if in_month(wanted, day) {
            let by = recorded.by.map(|by| by.0);
            let message = recorded.message.and_then(|no| i64::try_from(no.0).ok());
            put(vec![
                number(no),
                unit.into(),
                day.into(),
                what.into(),
                value,
                by.into(),
                message.map_or(Cell::Nothing, Cell::Whole),
            ])?;
        }
    }
    Ok(())
}

type CareRow = (Option<String>, FarmDay, String, Cell);

fn care_of(recorded: &Recorded) -> Option<CareRow> {
    let Event::Farm(event) = &recorded.event else {
        return None;
    };
    let none = Cell::Nothing;
    Some(match event {
        FarmEvent::Cared { unit, job, day } => {
            let what = format!("{job:?}").to_lowercase();
            (Some(unit.to_string()), *day, what, none)
        }
        FarmEvent::DeadFlies { unit, day, grams } => {
            let value = (*grams).into();
            (Some(unit.to_string()), *day, "dead".to_owned(), value)
        }
        FarmEvent::AntsSeen { unit, day } => {
            (Some(unit.to_string()), *day, "ants".to_owned(), none)
        }
        FarmEvent::Temperature(t) => {
            let value = format!("{} to {}", t.min, t.max).into();
            (None, t.day, "temp".to_owned(), value)
        }
        _ => return None,
    })
}

fn messages(counter: &Counter, wanted: &Wanted, put: &mut Put<'_>) -> Result<(), SheetError> {
    let members: Option<BTreeSet<MemberNo>> = if wanted.wards.is_empty() {
        None
    } else {
        let members = counter.members(wanted.coop)?.into_iter();
        let here = members.filter(|member| wanted.has(member.ward.as_deref()));
        Some(here.map(|member| member.number).collect())
    };
    let mut done = Ok(());
    counter.each_message(wanted.coop, &mut |row| {
        let here = members
            .as_ref()
            .is_none_or(|members| row.member.is_some_and(|no| members.contains(&no)));
        if done.is_ok() && here && in_month(wanted, row.sent_at.date_naive()) {
            done = put(message_row(&row));
        }
        done.is_ok()
    })?;
    done
}

/// A message's row.
#[must_use]
pub fn message_row(row: &MessageRow) -> Vec<Cell> {
    let answers: Vec<&str> = row
        .replies
        .iter()
        .map(|reply| reply.text.as_str())
        .collect();
    vec![
        Cell::Whole(i64::try_from(row.message.0).unwrap_or(i64::MAX)),
        Cell::Moment(row.sent_at),
        Cell::Moment(row.received_at),
        row.from.full().into(),
        row.member.map(|no| no.0).into(),
        row.text.clone().into(),
        row.outcome.word().into(),
        answers.join("\n").into(),
    ]
}
