//! Permits and licences of farms and of the cooperative: kind, number, and the day until which they hold.
//!
//! Which permits a farm needs is for its local authority to say; this room only reminds of a day that somebody typed from a paper.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::visit::Visit;
use crate::console::visits::{back, trouble};
use crate::desk::dossier::PERMIT_TEXT_MAX;
use crate::domain::affairs::AffairsEvent;
use crate::domain::dossier::{DossierEvent, Permit};
use crate::domain::user::{Deed, DeedKind, Power};
use crate::units::day::FarmDay;
use maud::{Markup, html};

/// Days before its last on which a permit stands on the morning's page: an office takes weeks (common practice, no source).
pub const WARN_DAYS: i64 = 30;

/// Permits as a table, with what is left of each, and the form for another one.
#[must_use]
pub fn table(
    visit: &Visit<'_>,
    action: &str,
    permits: &[Permit],
    today: FarmDay,
    may: bool,
) -> Markup {
    let words = &visit.words;
    html! {
        @if permits.is_empty() { p.quiet-text { (words.t("permits-none")) } }
        @else { div.wide tabindex="0" { table {
            thead { tr { th { (words.t("permit-kind")) } th { (words.t("number")) } th { (words.t("permit-until")) } th { (words.t("permit-left")) } @if may { th { } } } }
            tbody { @for permit in permits { tr {
                td { (permit.kind) } td { (permit.number) } td { (permit.valid_until) }
                td { (left(visit, permit, today)) }
                @if may { td { (frame::form(visit, action, html! {
                    input type="hidden" name="drop" value="yes";
                    input type="hidden" name="kind" value=(permit.kind);
                    input type="hidden" name="number" value=(permit.number);
                    button.quiet type="submit" { (words.t("permit-drop")) }
                })) } }
            } } }
        } } }
        @if may { details {
            summary { (words.t("permit-add")) }
            (frame::form(visit, action, html! {
                label { (words.t("permit-kind")) " " small { (words.t("permit-kind-hint")) } input name="kind" maxlength=(PERMIT_TEXT_MAX) required; }
                label { (words.t("number")) input name="number" maxlength=(PERMIT_TEXT_MAX) required autocomplete="off"; }
                label { (words.t("permit-until")) input name="until" type="date" required; }
                button type="submit" { (words.t("save")) }
            }))
        } }
    }
}

/// Days left, in words.
#[must_use]
pub fn left(visit: &Visit<'_>, permit: &Permit, today: FarmDay) -> Markup {
    let words = &visit.words;
    let days = permit.valid_until.signed_duration_since(today).num_days();
    html! {
        @if days < 0 { strong { (words.say("permit-lapsed", &[("days", (-days).into())])) } }
        @else { (words.say("permit-days", &[("days", days.into())])) }
    }
}

/// What the form says: a permit, and whether it is dropped; a day that is none reads as no permit.
fn said(visit: &Visit<'_>) -> Option<(Permit, bool)> {
    let form = &visit.form;
    let drop = form.get("drop") == "yes";
    let until = form.get("until").parse().ok();
    let short = |name: &str| form.get(name).chars().take(PERMIT_TEXT_MAX + 1).collect();
    Some((
        Permit {
            kind: short("kind"),
            number: short("number"),
            valid_until: until.or_else(|| drop.then_some(FarmDay::default()))?,
        },
        drop,
    ))
}

/// The trail's line.
fn deed(kind: DeedKind, permit: &Permit, drop: bool) -> Deed {
    let paper = format!("{} {}", permit.kind, permit.number);
    let (old, new) = if drop {
        (paper, String::new())
    } else {
        (String::new(), format!("{paper}, {}", permit.valid_until))
    };
    Deed {
        kind,
        member: None,
        message: None,
        old,
        new,
    }
}

/// Keeps or drops a permit of a farm.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn of_farm(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let who = visit.who()?;
    let page = format!("/console/farms/{}#permits", member.number);
    let Some((permit, drop)) = said(visit) else {
        return Ok(Answer::go(&page));
    };
    let deed = Deed {
        member: Some(member.number),
        ..deed(DeedKind::MemberChanged, &permit, drop)
    };
    let event = if drop {
        let Permit { kind, number, .. } = permit;
        DossierEvent::PermitDropped { kind, number }
    } else {
        DossierEvent::PermitKept(permit)
    };
    let kept = visit
        .counter()
        .keep_on_farm(who.coop, member.number, event, (&who.login, deed));
    back(&page, kept)
}

/// The cooperative's permits.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let words = &visit.words;
    let who = visit.who()?;
    let affairs = visit.counter().affairs(who.coop)?;
    let may = who.user.power >= Power::Manager;
    let middle = html! {
        p.hint { (words.t("permits-hint")) }
        (trouble(visit))
        (table(visit, "/console/permits", &affairs.permits, visit.today()?, may))
    };
    Ok(frame::page(visit, &words.t("permits-coop"), middle))
}

/// Keeps or drops a permit of the cooperative.
///
/// # Errors
/// When the store fails.
pub fn of_coop(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let who = visit.who()?;
    let Some((permit, drop)) = said(visit) else {
        return Ok(Answer::go("/console/permits"));
    };
    let deed = deed(DeedKind::SettingsChanged, &permit, drop);
    let event = if drop {
        let Permit { kind, number, .. } = permit;
        AffairsEvent::PermitDropped { kind, number }
    } else {
        AffairsEvent::PermitKept(permit)
    };
    let kept = visit
        .counter()
        .keep_affair(who.coop, event, (&who.login, deed));
    back("/console/permits", kept)
}
