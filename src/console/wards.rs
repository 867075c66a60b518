//! The wards: how many members each has, adding one, giving one another name.
//!
//! A ward's members, air, lessons and users go with its name. This room decides nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::shown::escaped;
use crate::console::visit::Visit;
use crate::counter::answers::{OfficeError, OfficeRequest};
use crate::domain::user::{Deed, DeedKind, Power};
use maud::html;

/// The page.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    shown(visit, None)
}

fn shown(visit: &Visit<'_>, trouble: Option<&str>) -> Result<Answer, Refused> {
    let (who, words, counter) = (visit.who()?, &visit.words, visit.counter());
    visit.follow()?;
    let may = who.user.power >= Power::Manager && who.user.wards.is_empty();
    let mut rows = Vec::new();
    for ward in visit.wards()? {
        let sum = counter.ward_fortnight(who.coop, &ward)?;
        if !ward.is_empty() || sum.farms > 0 {
            rows.push((ward, sum.farms, sum.cages));
        }
    }
    let middle = html! {
        @if let Some(trouble) = trouble { p.trouble role="alert" { (trouble) } }
        @if visit.query.get("done") == "saved" { p.done role="status" { (words.t("saved")) } }
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("ward")) } th.n { (words.t("nav-members")) } th.n { (words.t("cages-running")) } @if may { th { (words.t("ward-rename")) } } } }
            tbody { @for (ward, members, cages) in &rows { tr {
                td { @if ward.is_empty() { (words.t("no-ward")) } @else { a href=(format!("/console/members?ward={}", escaped(ward))) { (ward) } } }
                td.n { (members) } td.n { (cages) }
                @if may { td { @if !ward.is_empty() { (frame::form(visit, "/console/wards/rename", html! {
                    input type="hidden" name="old" value=(ward);
                    input name="new" aria-label=(format!("{}: {ward}", words.t("ward-new-name"))) required maxlength="40";
                    button.quiet type="submit" { (words.t("ward-rename")) }
                })) } } }
            } } }
        } }
        @if may {
            p.hint { (words.t("ward-rename-hint")) }
            h2 { (words.t("ward-add")) }
            (frame::form(visit, "/console/wards", html! {
                label { (words.t("name")) input name="ward" required maxlength="40"; }
                button type="submit" { (words.t("ward-add")) }
            }))
        }
    };
    let page = frame::page(visit, &words.t("wards"), middle);
    Ok(if trouble.is_some() {
        page.with_status(422)
    } else {
        page
    })
}

/// Adds a ward.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn add(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let ward = visit.form.get("ward").to_owned();
    let request = OfficeRequest::AddWard {
        coop: visit.who()?.coop,
        ward: ward.clone(),
    };
    carry_out(visit, request, String::new(), ward)
}

/// Gives a ward another name.
///
/// # Errors
/// [`Refused::Wards`] for who is held to wards.
pub fn rename(visit: &Visit<'_>) -> Result<Answer, Refused> {
    visit.whole_coop()?;
    let coop = visit.who()?.coop;
    let (old, new) = (
        visit.form.get("old").to_owned(),
        visit.form.get("new").to_owned(),
    );
    let members = visit.counter().members_of_ward(coop, &old)?;
    let request = OfficeRequest::RenameWard {
        coop,
        old: old.clone(),
        new: new.clone(),
        members: members.clone(),
    };
    let answer = carry_out(visit, request, old.clone(), new.clone())?;
    // Who moved in between the look and the change follows.
    if answer.location.is_some() {
        for member in visit.counter().members_of_ward(coop, &old)? {
            let request = OfficeRequest::SetWard {
                coop,
                member,
                ward: new.clone(),
            };
            visit.counter().office(request).map_err(failed)?;
        }
        visit.counter().keep_up(coop, &members)?;
    }
    Ok(answer)
}

fn failed(error: OfficeError) -> Refused {
    match error {
        OfficeError::Counter(error) => error.into(),
        OfficeError::Refused(_) => Refused::NotFound,
    }
}

fn carry_out(
    visit: &Visit<'_>,
    request: OfficeRequest,
    old: String,
    new: String,
) -> Result<Answer, Refused> {
    let deed = Deed {
        kind: DeedKind::SettingsChanged,
        member: None,
        message: None,
        old,
        new,
    };
    match visit
        .counter()
        .office_by(request, &visit.who()?.login, deed)
    {
        Ok(_) => Ok(Answer::go("/console/wards?done=saved")),
        Err(OfficeError::Refused(why)) => shown(visit, Some(&why.to_string())),
        Err(OfficeError::Counter(error)) => Err(error.into()),
    }
}
