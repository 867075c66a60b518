//! Sheets to take home: a month by ward, and everything else as it is recorded.
//!
//! What a sheet holds is the sheets' to say; an officer held to wards gets rows of those only. This room reads no row itself.

use crate::console::answer::{Answer, Flow, Refused};
use crate::console::frame;
use crate::console::shown::tenths;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::domain::user::{Deed, DeedKind};
use crate::sheets::form::Form;
use crate::sheets::month::{WardMonth, by_ward};
use crate::sheets::rows::{Wanted, write};
use crate::sheets::{Month, Sheet, SheetError};
use crate::units::Grams;
use maud::{Markup, html};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Months to choose from: a year to look back on.
const MONTHS: usize = 13;
/// Farms that a month is summed up of while somebody waits for the page: a second's reading. Larger cooperatives take the file.
const FARMS_SUMMED: u64 = 1_000;

/// The page.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (who, words) = (visit.who()?, &visit.words);
    let this = Month::of(visit.today()?);
    let chosen = Month::read(visit.query.get("month")).unwrap_or_else(|| this.before());
    let mut farms = 0;
    for ward in visit.wards()? {
        farms += visit.counter().ward_fortnight(who.coop, &ward)?.farms;
    }
    let wards = who.user.wards.clone();
    let summed = if farms > FARMS_SUMMED {
        None
    } else {
        let wanted = wanted(visit, Sheet::Month, Form::Csv, Some(chosen), wards)?;
        let rows = by_ward(visit.counter(), who.coop, chosen, &|ward| wanted.has(ward));
        Some(rows.map_err(failed)?)
    };
    let middle = html! {
        @match visit.query.get("trouble") {
            "busy" => { p.trouble role="alert" { (words.t("export-busy")) } }
            "failed" => { p.trouble role="alert" { (words.t("export-failed")) } }
            _ => {}
        }
        h2 { (words.say("month-title", &[("month", chosen.to_string().into())])) }
        form.line method="get" action="/console/export" {
            label { (words.t("month")) (months(words, this, Some(chosen), false)) }
            button type="submit" { (words.t("show")) }
        }
        @match &summed {
            Some(rows) => { (table(words, rows)) p.hint { (words.t("month-hint")) } }
            None => { p { (words.t("month-large")) } }
        }
        p.pages {
            @for form in Form::ALL {
                a.button.quiet href=(format!("/console/export/file?sheet=month&form={}&month={chosen}", form.name())) { (form.name().to_uppercase()) }
            }
        }
        h2 { (words.t("export-title")) }
        p.hint { (words.t("export-hint")) }
        (choices(visit, this)?)
    };
    Ok(frame::page(visit, &words.t("nav-export"), middle))
}

/// A choice of the last months, newest first.
fn months(words: &Words<'_>, this: Month, chosen: Option<Month>, or_all: bool) -> Markup {
    let months = std::iter::successors(Some(this), |month| Some(month.before()));
    html! {
        select name="month" {
            @if or_all { option value="" { (words.t("all-months")) } }
            @for month in months.take(MONTHS) {
                option value=(month) selected[chosen == Some(month)] { (month) }
            }
        }
    }
}

fn choices(visit: &Visit<'_>, this: Month) -> Result<Markup, Refused> {
    let words = &visit.words;
    let wards = visit.wards()?;
    Ok(html! {
        form method="get" action="/console/export/file" {
            label { (words.t("sheet")) select name="sheet" {
                @for sheet in Sheet::ALL.into_iter().filter(|sheet| *sheet != Sheet::Month) {
                    option value=(sheet.name()) { (words.t(&format!("sheet-{}", sheet.name()))) }
                }
            } }
            label { (words.t("form")) select name="form" {
                @for form in Form::ALL { option value=(form.name()) { (words.t(&format!("form-{}", form.name()))) } }
            } }
            label { (words.t("month")) (months(words, this, None, true)) }
            label { (words.t("ward")) select name="ward" {
                option value="" { (words.t("token-all-wards")) }
                @for ward in wards.iter().filter(|ward| !ward.is_empty()) { option value=(ward) { (ward) } }
            } }
            button type="submit" { (words.t("take")) }
        }
    })
}

fn table(words: &Words<'_>, rows: &BTreeMap<String, WardMonth>) -> Markup {
    let mut total = WardMonth::default();
    for row in rows.values() {
        total.members += row.members;
        total.active += row.active;
        total.cages += row.cages;
        total.grams = total.grams.plus(row.grams);
        total.delivered = total.delivered.plus(row.delivered);
        total.before = total.before.plus(row.before);
    }
    html! {
        div.wide tabindex="0" { table {
            thead { tr {
                th { (words.t("ward")) } th.n { (words.t("month-members")) } th.n { (words.t("month-active")) } th.n { (words.t("month-cages")) }
                th.n { (words.t("month-grams")) } th.n { (words.t("month-delivered")) } th.n { (words.t("month-before")) } th.n { (words.t("month-change")) }
            } }
            tbody { @for (ward, row) in rows {
                tr { th scope="row" { @if ward.is_empty() { (words.t("no-ward")) } @else { (ward) } } (cells(row)) }
            } }
            tfoot { tr { th scope="row" { (words.t("all-wards")) } (cells(&total)) } }
        } }
    }
}

fn cells(row: &WardMonth) -> Markup {
    let weight = |g: Grams| tenths(u64::from(g.hundredths()));
    html! {
        td.n { (row.members) } td.n { (row.active) } td.n { (row.cages) }
        td.n { (weight(row.grams)) } td.n { (weight(row.delivered)) } td.n { (weight(row.before)) }
        td.n { @if let Some(change) = row.change_percent() { (format!("{change:+.1} %").replace('-', "−")) } }
    }
}

/// What is asked for, of wards that the user sees.
fn wanted(
    visit: &Visit<'_>,
    sheet: Sheet,
    form: Form,
    month: Option<Month>,
    wards: Vec<String>,
) -> Result<Wanted, Refused> {
    Ok(Wanted {
        coop: visit.who()?.coop,
        sheet,
        form,
        month,
        wards,
    })
}

/// A sheet as a file, written while it is sent.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such sheet, form, month or ward of the user's.
pub fn file(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let who = visit.who()?;
    let query = |name| visit.query.get(name);
    let sheet = Sheet::named(query("sheet")).ok_or(Refused::NotFound)?;
    let form = Form::named(query("form")).ok_or(Refused::NotFound)?;
    let month = match query("month") {
        "" => None,
        text => Some(Month::read(text).ok_or(Refused::NotFound)?),
    };
    let wards = match query("ward") {
        "" => who.user.wards.clone(),
        ward if visit.wards()?.iter().any(|own| own == ward) => vec![ward.to_owned()],
        _ => return Err(Refused::NotFound),
    };
    let Ok(place) = Arc::clone(&visit.console.files).try_acquire_owned() else {
        return Ok(Answer::go("/console/export?trouble=busy"));
    };
    let told = [Some(sheet.name().to_owned()), month.map(|m| m.to_string())];
    let told: Vec<String> = told.into_iter().flatten().chain(wards.clone()).collect();
    visit.note(Deed {
        kind: DeedKind::Exported,
        member: None,
        message: None,
        old: String::new(),
        new: format!("{} ({})", told.join(", "), form.name()),
    })?;
    let wanted = wanted(visit, sheet, form, month, wards)?;
    let counter = visit.counter().clone();
    let name = match month {
        Some(month) => format!("{}-{month}.{}", sheet.name(), form.name()),
        None => format!("{}.{}", sheet.name(), form.name()),
    };
    let flow = Flow {
        write: Arc::new(move |to| {
            let _held = &place;
            write(&counter, &wanted, to)
                .map(drop)
                .map_err(std::io::Error::other)
        }),
        failed: "/console/export?trouble=failed".to_owned(),
    };
    Ok(Answer::flow(form.media_type(), &name, flow))
}

fn failed(error: SheetError) -> Refused {
    match error {
        SheetError::Counter(why) => Refused::Counter(why),
        other => Refused::Counter(crate::counter::answers::CounterError::Store(
            other.to_string(),
        )),
    }
}
