//! Rows of the record, a page at a time: the same as the sheets', in the same columns.
//!
//! Pages go by member and row within the member, messages by their number, so that a page costs what it shows wherever it begins. This room does
//! not know what a column means.

use crate::desk::member::Member;
use crate::domain::MemberNo;
use crate::domain::message::MessageNo;
use crate::sheets::form::{Cell, Form, json};
use crate::sheets::rows::{self, Wanted};
use crate::sheets::{Sheet, month as months};
use crate::web::api::call::Call;
use crate::web::api::nothing as not_there;
use crate::web::api::table::Given;
use crate::web::problem::Problem;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// Members or messages looked at for one page: a page of a ward with few of them may hold fewer rows, and says where to go on.
const LOOKED_AT: usize = 5_000;

fn wanted(call: &Call<'_>, sheet: Sheet) -> Wanted {
    Wanted {
        coop: call.coop(),
        sheet,
        form: Form::Ndjson,
        month: call.said.month,
        wards: Vec::new(),
    }
}

fn object(sheet: Sheet, cells: &[Cell]) -> Value {
    let columns = sheet.columns().iter();
    let fields: Map<String, Value> = columns
        .zip(cells)
        .map(|(column, cell)| ((*column).to_owned(), json(cell)))
        .collect();
    Value::Object(fields)
}

/// All of one member's rows.
///
/// # Errors
/// When the store fails.
pub fn of_member(call: &Call<'_>, sheet: Sheet, member: &Member) -> Result<Vec<Value>, Problem> {
    let mut found = Vec::new();
    rows::of_member(call.counter, &wanted(call, sheet), member, &mut |cells| {
        found.push(object(sheet, &cells));
        Ok(())
    })?;
    Ok(found)
}

/// A page that goes by members.
fn by_member(call: &Call<'_>, sheet: Sheet) -> Result<Given, Problem> {
    let most = call.said.rows();
    let (first, mut given) = call.said.after.unwrap_or((0, 0));
    let mut first = u32::try_from(first).unwrap_or(u32::MAX);
    if let Some(only) = call.said.member {
        // Another member's page holds nothing of this one.
        if first > only.0 {
            return Ok(Given::page(Vec::new(), None));
        }
        given = if first == only.0 { given } else { 0 };
        first = only.0;
    }
    let mut items = Vec::new();
    for member in members(call, MemberNo(first))? {
        let Ok(member) = member else {
            return Ok(Given::page(items, member.err()));
        };
        let skipped = if member.number.0 == first { given } else { 0 };
        let rows = of_member(call, sheet, &member)?;
        let all = rows.len();
        let room = most - items.len();
        items.extend(rows.into_iter().skip(skipped).take(room));
        if items.len() == most {
            let next = format!("{}.{}", member.number, all.min(skipped + room));
            return Ok(Given::page(items, Some(next)));
        }
    }
    Ok(Given::page(items, None))
}

/// Members from a number on that are asked for; where too many were looked at, the place to go on instead of a member at the end.
fn members(call: &Call<'_>, first: MemberNo) -> Result<Vec<Result<Member, String>>, Problem> {
    // A page is filled by at most as many members as it has rows, those without any row left out.
    let mut found = Vec::new();
    let mut looked_at = 0;
    call.counter
        .members_from(call.coop(), first, &mut |member| {
            if call.said.member.is_some_and(|only| only != member.number) {
                return false;
            }
            looked_at += 1;
            if looked_at > LOOKED_AT || found.len() > call.said.rows() {
                found.push(Err(format!("{}.0", member.number)));
                return false;
            }
            if call.has(member.ward.as_deref()) {
                found.push(Ok(member.clone()));
            }
            true
        })?;
    Ok(found)
}

/// Of the description, which is given without a token.
///
/// # Errors
/// Always: it is not reached.
pub fn nothing(_call: &Call<'_>) -> Result<Given, Problem> {
    Err(not_there())
}

/// Runs of cages.
///
/// # Errors
/// When the store fails.
pub fn cages(call: &Call<'_>) -> Result<Given, Problem> {
    by_member(call, Sheet::Cages)
}

/// Harvests.
///
/// # Errors
/// When the store fails.
pub fn harvests(call: &Call<'_>) -> Result<Given, Problem> {
    by_member(call, Sheet::Harvests)
}

/// Care.
///
/// # Errors
/// When the store fails.
pub fn care(call: &Call<'_>) -> Result<Given, Problem> {
    by_member(call, Sheet::Care)
}

/// Deliveries.
///
/// # Errors
/// When the store fails.
pub fn deliveries(call: &Call<'_>) -> Result<Given, Problem> {
    by_member(call, Sheet::Deliveries)
}

/// Members.
///
/// # Errors
/// When the store fails.
pub fn members_page(call: &Call<'_>) -> Result<Given, Problem> {
    by_member(call, Sheet::Members)
}

/// Messages.
///
/// # Errors
/// When the store fails.
pub fn messages(call: &Call<'_>) -> Result<Given, Problem> {
    let most = call.said.rows();
    let after = call.said.after.map_or(0, |(no, _)| no);
    let (mut items, mut looked_at, mut next) = (Vec::new(), 0, None);
    let mut wards: BTreeMap<MemberNo, Option<String>> = BTreeMap::new();
    let mut failed = None;
    let first = MessageNo(after.saturating_add(1));
    call.counter.messages_from(call.coop(), first, &mut |row| {
        looked_at += 1;
        let month = call.said.month;
        let wanted = call.said.member.is_none_or(|only| row.member == Some(only))
            && month.is_none_or(|month| month.has(row.sent_at.date_naive()));
        let ward = match row.member.filter(|_| wanted) {
            None => None,
            Some(no) => match ward_of(call, &mut wards, no) {
                Ok(ward) => ward,
                Err(why) => {
                    failed = Some(why);
                    return false;
                }
            },
        };
        if wanted && call.has(ward.as_deref()) {
            items.push(object(Sheet::Messages, &rows::message_row(&row)));
        }
        next = (items.len() == most || looked_at >= LOOKED_AT).then(|| row.message.0.to_string());
        next.is_none()
    })?;
    match failed {
        Some(why) => Err(why),
        None => Ok(Given::page(items, next)),
    }
}

fn ward_of(
    call: &Call<'_>,
    known: &mut BTreeMap<MemberNo, Option<String>>,
    no: MemberNo,
) -> Result<Option<String>, Problem> {
    if let Some(ward) = known.get(&no) {
        return Ok(ward.clone());
    }
    let ward = call.counter.member(call.coop(), no)?.ward;
    known.insert(no, ward.clone());
    Ok(ward)
}

/// A month by ward.
///
/// # Errors
/// When the store fails.
pub fn month(call: &Call<'_>) -> Result<Given, Problem> {
    let month = call.said.month.ok_or_else(not_there)?;
    let mut items = Vec::new();
    for (ward, row) in months::by_ward(call.counter, call.coop(), month, &|ward| call.has(ward))? {
        items.push(object(Sheet::Month, &months::cells(month, ward, &row)));
    }
    Ok(Given::page(items, None))
}
