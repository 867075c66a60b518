//! Figures as the pages show them: today, supply, farms and one farm.
//!
//! Sums are the counter's rows, which follow the record within seconds. This room adds wards up.

use crate::counter::readmodel::rows::{FarmRow, WardDay};
use crate::desk::prospect::{Look, Reason, Share};
use crate::domain::MemberNo;
use crate::sheets::Sheet;
use crate::units::day::{FarmDay, farm_day};
use crate::web::api::call::Call;
use crate::web::api::records;
use crate::web::api::table::Given;
use crate::web::problem::Problem;
use chrono::Duration;
use chrono_tz::Tz;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Farms that need somebody: as many as the page has.
const NEEDS_MAX: usize = 30;
/// Unreadable messages counted.
const UNREAD_MAX: usize = 100;
/// Days of eggs before today, today among them; days ahead.
const SPAN: (i64, i64) = (28, 14);

/// Hundredths of a gram as grams.
#[expect(
    clippy::cast_precision_loss,
    reason = "sums of eggs stay far below 2 to the 53rd"
)]
fn grams(hundredths: u64) -> f64 {
    hundredths as f64 / 100.0
}

/// To whole hundredths: a forecast knows no finer.
fn rounded(grams: f64) -> f64 {
    (grams * 100.0).round() / 100.0
}

fn range(share: &Share) -> Value {
    let (low, middle, high) = share.range();
    json!({"low": rounded(low), "middle": rounded(middle), "high": rounded(high)})
}

fn reason(reason: &Reason) -> Value {
    let (why, cages, missing, since): (_, Vec<String>, _, _) = match reason {
        Reason::Missing(cages, cg) => {
            let cages = cages.iter().map(ToString::to_string).collect();
            ("missing", cages, Some(grams(u64::from(*cg))), None)
        }
        Reason::Silent(since) => ("silent", Vec::new(), None, since.map(|day| day.to_string())),
        Reason::Look(Look::Water) => ("water", Vec::new(), None, None),
        Reason::Look(Look::Bait) => ("bait", Vec::new(), None, None),
        Reason::Look(Look::Heat) => ("heat", Vec::new(), None, None),
        Reason::Look(Look::Ants) => ("ants", Vec::new(), None, None),
    };
    json!({"why": why, "cages": cages, "grams": missing, "since": since})
}

fn farm_value(no: MemberNo, row: &FarmRow) -> Value {
    let prospect = &row.prospect;
    let week: u64 = prospect
        .taken
        .iter()
        .rev()
        .take(7)
        .map(|cg| u64::from(*cg))
        .sum();
    json!({
        "member": no.0,
        "name": row.name,
        "ward": Some(&row.ward).filter(|ward| !ward.is_empty()),
        "cages": prospect.cages,
        "taken_7_days": grams(week),
        "expected_14_days": range(&prospect.fortnight),
        "at_stake": grams(u64::from(prospect.at_stake())),
        "reasons": prospect.reasons.iter().map(reason).collect::<Vec<_>>(),
        "questions": prospect.questions,
        "last_entry": prospect.last_entry.map(|day| day.to_string()),
    })
}

fn ward_of(row: &FarmRow) -> Option<&str> {
    Some(row.ward.as_str()).filter(|ward| !ward.is_empty())
}

/// The farm day, and the wards asked for that may be seen; the empty name stands for members without one.
fn scope(call: &Call<'_>) -> Result<(FarmDay, Vec<String>), Problem> {
    let rules = call.counter.rules(call.coop())?;
    let today = farm_day(
        call.counter.clock().now(),
        rules.zone.parse().unwrap_or(Tz::UTC),
    );
    let mut wards = rules.wards;
    wards.push(String::new());
    wards.retain(|ward| call.has(Some(ward.as_str()).filter(|ward| !ward.is_empty())));
    Ok((today, wards))
}

/// Who needs somebody today.
///
/// # Errors
/// When the store fails.
pub fn today(call: &Call<'_>) -> Result<Given, Problem> {
    let (today, wards) = scope(call)?;
    let (counter, coop, week) = (call.counter, call.coop(), Duration::days(7));
    let (mut farms, mut cages, mut taken, mut expected) = (0, 0, 0, 0);
    for ward in &wards {
        let whole = counter.ward_fortnight(coop, ward)?;
        farms += whole.farms;
        cages += whole.cages;
        for (_, day) in counter.ward_days(coop, ward, today - week + Duration::days(1), today)? {
            taken += day.taken;
        }
        for (_, day) in counter.ward_days(coop, ward, today + Duration::days(1), today + week)? {
            expected += u64::try_from(day.expected.mean).unwrap_or(0);
        }
    }
    let ranked = counter.ranked(coop, &wards, NEEDS_MAX)?;
    let needs = ranked.iter().map(|(no, row)| farm_value(*no, row));
    let unread = counter
        .unread(coop, UNREAD_MAX, &|ward| call.has(ward))?
        .len();
    Ok(Given::one(json!({
        "day": today.to_string(),
        "farms": farms,
        "cages": cages,
        "taken_7_days": grams(taken),
        "expected_7_days": grams(expected),
        "needs": needs.collect::<Vec<_>>(),
        "unreadable": unread,
    })))
}

/// What came and what is expected.
///
/// # Errors
/// When the store fails.
pub fn supply(call: &Call<'_>) -> Result<Given, Problem> {
    let (today, wards) = scope(call)?;
    let (counter, coop) = (call.counter, call.coop());
    let mut days: BTreeMap<FarmDay, WardDay> = BTreeMap::new();
    let mut whole = WardDay::default();
    let (from, to) = (
        today - Duration::days(SPAN.0 - 1),
        today + Duration::days(SPAN.1),
    );
    for ward in &wards {
        whole.change(&counter.ward_fortnight(coop, ward)?, false);
        for (on, day) in counter.ward_days(coop, ward, from, to)? {
            days.entry(on).or_default().change(&day, false);
        }
    }
    let days = days.iter().map(|(on, day)| {
        let looked_back = day.was_expected.mean > 0;
        json!({
            "day": on.to_string(),
            "taken": (*on <= today).then(|| grams(day.taken)),
            "expected": (*on > today).then(|| range(&day.expected)),
            "was_expected": looked_back.then(|| range(&day.was_expected)),
            "came": looked_back.then(|| grams(day.came)),
        })
    });
    Ok(Given::one(json!({
        "day": today.to_string(),
        "ward": call.said.ward,
        "farms": whole.farms,
        "cages": whole.cages,
        "expected_14_days": range(&whole.expected),
        "days": days.collect::<Vec<_>>(),
    })))
}

/// A page of farms.
///
/// # Errors
/// When the store fails.
pub fn farms(call: &Call<'_>) -> Result<Given, Problem> {
    let (_, wards) = scope(call)?;
    let (counter, coop, rows) = (call.counter, call.coop(), call.said.rows());
    let everywhere = call.bearer.user.wards.is_empty() && call.said.ward.is_none();
    let wards = (!everywhere).then_some(wards);
    let found = match &call.said.name {
        Some(name) => counter.farms_named(coop, name, rows, wards.as_deref())?,
        None => {
            let after = call
                .said
                .after
                .map_or(0, |(no, _)| u32::try_from(no).unwrap_or(u32::MAX));
            counter.farm_page(coop, MemberNo(after), rows, wards.as_deref())?
        }
    };
    let full = found.len() == rows && call.said.name.is_none();
    let next = found.last().filter(|_| full).map(|(no, _)| no.to_string());
    let items = found.iter().map(|(no, row)| farm_value(*no, row));
    Ok(Given::page(items.collect(), next))
}

/// One farm and its cages.
///
/// # Errors
/// Where there is none that may be seen.
pub fn farm(call: &Call<'_>) -> Result<Given, Problem> {
    let no = call.said.member.ok_or_else(crate::web::api::nothing)?;
    call.counter.follow_farm(call.coop(), no)?;
    let row = call.counter.farm_row(call.coop(), no)?;
    let row = row.filter(|row| call.has(ward_of(row)));
    let row = row.ok_or_else(crate::web::api::nothing)?;
    let member = call.counter.member(call.coop(), no)?;
    let cages = records::of_member(call, Sheet::Cages, &member)?;
    Ok(Given::one(
        json!({"farm": farm_value(no, &row), "cages": cages}),
    ))
}
