//! What is kept of a member, as a file for them, and taking them out of the record when they ask for it.
//!
//! For managers. This room erases nothing itself; the counter does.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::visit::Visit;
use crate::counter::answers::{CounterError, OfficeRequest};
use crate::domain::user::{Deed, DeedKind};
use maud::html;

/// Letters of a reason at the most.
const REASON_MAX: usize = 120;

/// The page of a member's data.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let words = &visit.words;
    let place = format!("/console/farms/{}/data", member.number);
    let middle = html! {
        p { (words.t("data-hint")) }
        p { a href=(format!("{place}/file")) { (words.t("data-save")) } }
        h2 { (words.t("forget-title")) }
        p { (words.t("forget-hint")) }
        @if visit.query.get("trouble") == "unsure" { p.trouble role="alert" { (words.t("forget-unsure")) } }
        (frame::form(visit, &format!("{place}/forget"), html! {
            label { (words.t("forget-reason")) input name="reason" maxlength=(REASON_MAX) required autocomplete="off"; }
            label { (words.t("forget-number")) input name="number" inputmode="numeric" required autocomplete="off"; }
            button type="submit" { (words.t("forget-send")) }
        }))
    };
    let title = format!("{} {}", words.t("data-title"), member.number);
    Ok(frame::page(visit, &title, middle))
}

/// The member's data, a record a line.
///
/// # Errors
/// As [`page`].
pub fn file(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (member, who) = (visit.member_in(0)?, visit.who()?);
    let mut lines = Vec::new();
    visit.counter().about(who.coop, member.number, &mut lines)?;
    visit.note(deed(visit, DeedKind::Exported, "data"))?;
    let name = format!("member-{}.ndjson", member.number);
    Ok(Answer::file("application/x-ndjson", &name, lines))
}

fn deed(visit: &Visit<'_>, kind: DeedKind, new: &str) -> Deed {
    Deed {
        kind,
        member: visit.member_in(0).ok().map(|member| member.number),
        message: None,
        old: String::new(),
        new: new.chars().take(REASON_MAX).collect(),
    }
}

/// Erases the member: with a reason, and with the number typed once more.
///
/// # Errors
/// As [`page`], or when the store fails.
pub fn forget(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let (member, who) = (visit.member_in(0)?, visit.who()?);
    let reason = visit.form.get("reason").trim();
    let sure = visit.form.get("number").trim() == member.number.to_string();
    if reason.is_empty() || !sure {
        let back = format!("/console/farms/{}/data?trouble=unsure", member.number);
        return Ok(Answer::go(&back));
    }
    let done = deed(visit, DeedKind::MemberChanged, &format!("erased: {reason}"));
    let request = OfficeRequest::Erase {
        coop: who.coop,
        member: member.number,
    };
    let erased = visit.counter().office(request);
    erased.map_err(|why| Refused::Counter(CounterError::Store(why.to_string())))?;
    visit.note(done)?;
    Ok(Answer::go("/console/farms"))
}
