//! A month's wall sheet: a row a day, a column a cage, to be filled in by hand beside the cages and texted in the evening.
//!
//! Days on which a cage was stocked or is to be retired by are marked. This room stores nothing.

use crate::console::answer::Refused;
use crate::console::batch::{Batch, Chosen, members};
use crate::console::printed::Printed;
use crate::console::visit::Visit;
use crate::desk::lanes::Lane;
use crate::desk::member::Member;
use crate::sheets::Month;
use crate::units::day::FarmDay;
use chrono::Datelike;
use maud::{Markup, html};

/// Cages on one sheet: columns wide enough to write `12.5` by hand.
pub const ON_SHEET: usize = 12;
/// Farms of one batch: some 60 kB.
const PAGE: usize = 8;
/// Sheets of one batch at the most.
const SHEETS_MAX: usize = 12;

/// A batch of wall sheets.
///
/// # Errors
/// When the store fails.
pub fn sheets(visit: &Visit<'_>, chosen: &Chosen) -> Result<Batch, Refused> {
    let (coop, counter) = (visit.who()?.coop, visit.counter());
    let found = members(visit, chosen, PAGE)?;
    let mut sheets = Vec::new();
    let (mut last, mut next) = (None, None);
    for (at, no) in found.iter().enumerate() {
        let lanes = counter.lanes(coop, *no)?;
        let in_use: Vec<&Lane> = lanes.iter().filter(|lane| lane.run.is_some()).collect();
        let needed = in_use.len().div_ceil(ON_SHEET).max(1);
        let full = sheets.len() + needed > SHEETS_MAX && !sheets.is_empty();
        if full || at == PAGE {
            next = last.map(ToString::to_string);
            break;
        }
        let member = counter.member(coop, *no)?;
        let draw = |cages: &[&Lane]| draw(visit.printed(), &member, cages, chosen.month);
        if in_use.is_empty() {
            sheets.push(draw(&[]));
        }
        sheets.extend(in_use.chunks(ON_SHEET).take(SHEETS_MAX).map(draw));
        last = Some(no);
    }
    Ok(Batch { sheets, next })
}

fn draw(printed: &Printed, member: &Member, cages: &[&Lane], month: Month) -> Markup {
    let lang = member.lang;
    let put = |key: &str| printed.put(lang, key, &[]);
    let spare = ON_SHEET - cages.len().min(ON_SHEET);
    let example = cages
        .first()
        .map_or_else(|| "C1".to_owned(), |lane| lane.unit.to_string());
    let days = month
        .first()
        .iter_days()
        .take_while(|day| *day <= month.last());
    html! {
        section.sheet.wall lang=(lang.to_string()) {
            p.head { b { (member.number) " " (member.name) } span { (member.ward.as_deref().unwrap_or_default()) } span { (printed.month(lang, month.first())) } }
            table {
                thead { tr {
                    th { (put("day")) }
                    @for lane in cages { th { (lane.unit) (lane.unit.check_letter()) } }
                    @for _ in 0..spare { th {} }
                    th { (put("total")) }
                } }
                tbody {
                    @for day in days {
                        tr.sunday[day.weekday() == chrono::Weekday::Sun] {
                            th { (day.day()) " " small { (printed.weekday(lang, day)) } }
                            @for lane in cages { td { (mark(lane, day)) } }
                            @for _ in 0..=spare { td {} }
                        }
                    }
                    tr.sum { th { (put("total")) } @for _ in 0..=ON_SHEET { td {} } }
                }
            }
            p.foot { (put("wall-marks")) " " (put("wall-send")) " " b { (example) " 12.5" } }
        }
    }
}

/// What is known of a cage's day beforehand.
fn mark(lane: &Lane, day: FarmDay) -> &'static str {
    match &lane.run {
        Some(run) if run.stocked == day => "S",
        Some(run) if run.retire_by == day => "R",
        _ => "",
    }
}
