//! Visits and calls: noted on a farm's page with what was seen, done and left to do; a farm's row on the morning's page marked; permits kept.
//!
//! The desk says what may be noted. This room ranks nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::shown::day;
use crate::console::visit::Visit;
use crate::counter::dossiers::KeepError;
use crate::desk::dossier::{Dossier, DossierError, NOTE_MAX};
use crate::desk::member::Member;
use crate::domain::dossier::{DossierEvent, FollowUp, Handled, Mark, Touch, VisitNote};
use crate::domain::user::{Deed, DeedKind, Power};
use crate::units::day::FarmDay;
use chrono::Duration;
use maud::{Markup, html};

/// Days that a called farm's row rests where no day was said: time for the keeper to see to it and for eggs to follow.
pub const CALLED_DAYS: i64 = 2;
/// Days that a resolved farm's row rests: the week that its figures look back over.
pub const RESOLVED_DAYS: i64 = 7;
/// Days that a row rests which was put off without a day.
pub const SNOOZED_DAYS: i64 = 3;
/// Visits shown.
const SHOWN_MAX: usize = 12;

/// The key of a refusal's text.
#[must_use]
pub const fn refused_key(refused: DossierError) -> &'static str {
    match refused {
        DossierError::Empty => "keep-empty",
        DossierError::Day => "keep-day",
        DossierError::Rest => "keep-rest",
        DossierError::Permit => "keep-permit",
        DossierError::TooManyPermits => "keep-too-many",
        DossierError::Gone => "keep-gone",
    }
}

/// Where permits stand on a farm's page.
const PERMITS: &str = "permits";

/// The refusal that the address tells of, on a farm's page: where it belongs, so that who was led there sees it.
#[must_use]
pub fn trouble_at(visit: &Visit<'_>, permits: bool) -> Markup {
    if (visit.query.get("at") == PERMITS) == permits {
        trouble(visit)
    } else {
        html! {}
    }
}

/// The refusal that the address tells of.
#[must_use]
pub fn trouble(visit: &Visit<'_>) -> Markup {
    let told = visit.query.get("trouble");
    let known = [
        DossierError::Empty,
        DossierError::Day,
        DossierError::Rest,
        DossierError::Permit,
        DossierError::TooManyPermits,
        DossierError::Gone,
    ];
    let key = known.into_iter().map(refused_key).find(|key| *key == told);
    html! { @if let Some(key) = key { p.trouble role="alert" { (visit.words.t(key)) } } }
}

/// Back to a page, with what was refused.
///
/// # Errors
/// When the store fails.
pub fn back(page: &str, kept: Result<(), KeepError>) -> Result<Answer, Refused> {
    match kept {
        Ok(()) => Ok(Answer::go(page)),
        Err(KeepError::Refused(refused)) => {
            let (path, place) = page.split_once('#').unwrap_or((page, ""));
            let key = refused_key(refused);
            // A farm's page has two places where something is kept; the first needs no name.
            let at = if place == PERMITS { "&at=permits" } else { "" };
            Ok(Answer::go(&format!("{path}?trouble={key}{at}#{place}")))
        }
        Err(KeepError::Counter(error)) => Err(error.into()),
    }
}

/// A farm's visits, and the form for another, on the farm's page.
#[must_use]
pub fn section(visit: &Visit<'_>, member: &Member, dossier: &Dossier, today: FarmDay) -> Markup {
    let words = &visit.words;
    let action = format!("/console/farms/{}/visits", member.number);
    let may = visit
        .who
        .as_ref()
        .is_some_and(|who| who.user.power >= Power::Officer);
    html! {
        h2 #visits { (words.t("visits")) }
        (trouble_at(visit, false))
        @if let Some(next) = &dossier.follow_up {
            div.(if next.by <= today { "trouble" } else { "done" }) {
                p { (words.say("follow-up-by", &[("day", day(words, next.by).into()), ("what", next.what.clone().into())])) }
                @if may { (frame::form(visit, &format!("{action}/done"), html! { button.quiet type="submit" { (words.t("follow-up-done")) } })) }
            }
        }
        @if dossier.notes.is_empty() { p.quiet-text { (words.t("visits-none")) } }
        ul.thread {
            @for note in dossier.notes.iter().rev().take(SHOWN_MAX) {
                li {
                    small { (day(words, note.day)) ", " (words.t(touch_key(note.touch))) ", " (note.by) }
                    @if !note.seen.is_empty() { p { (words.t("visit-seen")) ": " (note.seen) } }
                    @if !note.done.is_empty() { p { (words.t("visit-done")) ": " (note.done) } }
                    @if let Some(next) = &note.follow_up { p { (words.say("follow-up-by", &[("day", day(words, next.by).into()), ("what", next.what.clone().into())])) } }
                }
            }
        }
        @if may { (form(visit, &action, today)) }
    }
}

fn form(visit: &Visit<'_>, action: &str, today: FarmDay) -> Markup {
    let words = &visit.words;
    let area = |name: &str, key: &str| {
        html! { label { (words.t(key)) textarea name=(name) rows="2" maxlength=(NOTE_MAX) {} } }
    };
    html! {
        details open[!visit.query.get("trouble").is_empty()] {
            summary { (words.t("visit-note")) }
            (frame::form(visit, action, html! {
                label { (words.t("visit-how")) select name="touch" {
                    option value="visit" { (words.t("touch-visit")) }
                    option value="call" { (words.t("touch-call")) }
                } }
                label { (words.t("day")) input name="day" type="date" value=(today) max=(today) required; }
                (area("seen", "visit-seen"))
                (area("done", "visit-done"))
                (area("what", "visit-next"))
                label { (words.t("visit-next-by")) input name="by" type="date"; }
                button type="submit" { (words.t("save")) }
            }))
        }
    }
}

const fn touch_key(touch: Touch) -> &'static str {
    match touch {
        Touch::Visit => "touch-visit",
        Touch::Call => "touch-call",
    }
}

/// What was written, within its length.
fn written(visit: &Visit<'_>, field: &str) -> String {
    visit.form.get(field).chars().take(NOTE_MAX).collect()
}

/// Notes a visit or call.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn note(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let page = format!("/console/farms/{}#visits", member.number);
    let who = visit.who()?;
    let what = written(visit, "what");
    let by = visit.form.get("by");
    let unclear = Err(KeepError::Refused(DossierError::Day));
    let follow_up = match (what.is_empty(), by.parse()) {
        (true, _) if by.is_empty() => None,
        (false, Ok(by)) => Some(FollowUp { by, what }),
        // A day without a word what for, or the other way round.
        _ => return back(&page, unclear),
    };
    let Ok(on) = visit.form.get("day").parse::<FarmDay>() else {
        return back(&page, unclear);
    };
    let note = VisitNote {
        touch: if visit.form.get("touch") == "call" {
            Touch::Call
        } else {
            Touch::Visit
        },
        day: on,
        by: who.login.clone(),
        seen: written(visit, "seen"),
        done: written(visit, "done"),
        follow_up,
    };
    let new = [note.seen.as_str(), note.done.as_str()].join(" / ");
    let deed = deed(&member, String::new(), new);
    let event = DossierEvent::Visited(note);
    let kept = visit
        .counter()
        .keep_on_farm(who.coop, member.number, event, (&who.login, deed));
    back(&page, kept)
}

fn deed(member: &Member, old: String, new: String) -> Deed {
    Deed {
        kind: DeedKind::Visited,
        member: Some(member.number),
        message: None,
        old,
        new,
    }
}

/// What was to be followed up is done.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards.
pub fn followed_up(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let who = visit.who()?;
    let dossier = visit.counter().dossier(who.coop, member.number)?;
    let old = dossier.follow_up.map(|next| next.what).unwrap_or_default();
    let deed = deed(&member, old, visit.words.t("follow-up-done"));
    let kept = visit.counter().keep_on_farm(
        who.coop,
        member.number,
        DossierEvent::FollowedUp,
        (&who.login, deed),
    );
    let page = if visit.form.get("back") == "today" {
        "/console/today".to_owned()
    } else {
        format!("/console/farms/{}#visits", member.number)
    };
    back(&page, kept)
}

/// Marks a farm's row on the morning's page, or takes the mark back.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such member in the user's wards, or no such mark.
pub fn mark(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let member = visit.member_in(0)?;
    let (who, counter) = (visit.who()?, visit.counter());
    let today = visit.today()?;
    let (how, days, key) = match visit.form.get("how") {
        "called" => (Handled::Called, CALLED_DAYS, "mark-called"),
        "resolved" => (Handled::Resolved, RESOLVED_DAYS, "mark-resolved"),
        "snoozed" => (Handled::Snoozed, SNOOZED_DAYS, "mark-snoozed"),
        "back" => {
            let deed = deed(&member, String::new(), visit.words.t("mark-back"));
            let event = DossierEvent::Unmarked;
            let kept = counter.keep_on_farm(who.coop, member.number, event, (&who.login, deed));
            return back("/console/today", kept);
        }
        _ => return Err(Refused::NotFound),
    };
    let said = visit.form.get("until").parse().ok();
    let until = said.unwrap_or_else(|| today + Duration::days(days));
    let row = counter.farm_row(who.coop, member.number)?;
    let event = DossierEvent::Marked(Mark {
        how,
        until,
        at_stake: row.map_or(0, |row| row.prospect.at_stake()),
        by: who.login.clone(),
    });
    let new = format!("{}, {until}", visit.words.t(key));
    let deed = deed(&member, String::new(), new);
    let kept = counter.keep_on_farm(who.coop, member.number, event, (&who.login, deed));
    back("/console/today", kept)
}

/// The key of how a row rests.
#[must_use]
pub const fn handled_key(how: Handled) -> &'static str {
    match how {
        Handled::Called => "mark-called",
        Handled::Resolved => "mark-resolved",
        Handled::Snoozed => "mark-snoozed",
    }
}
