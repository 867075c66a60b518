//! The audit trail and the users: who may do what, and who did what when.
//!
//! This room changes nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::signing::power_key;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::trail::{Sought, TrailPage, TrailRow};
use crate::desk::user::User;
use crate::domain::MemberNo;
use crate::domain::user::{DeedKind, Login, UserEvent};
use maud::{Markup, html};

/// Rows of the trail on one page: some 25 kB.
const PAGE: usize = 100;
/// Events put in order by member before a page is made, where they are not: all of a cooperative's first years.
const FILLED: usize = 4_000;

/// Users, and the trail.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let words = &visit.words;
    let coop = visit.who()?.coop;
    let users = visit.counter().users(coop)?;
    let sought = Sought {
        login: Login::new(visit.query.get("user")),
        member: visit.query.get("member").parse().ok().map(MemberNo),
        before: visit.query.get("before").parse().ok(),
    };
    let whole = visit.counter().fill_deeds(coop, FILLED)?;
    let trail = visit.counter().trail_page(coop, &sought, PAGE)?;
    let middle = html! {
        @if sought.before.is_none() { (list(words, &users)) }
        h2 { (words.t("trail")) }
        (filter(visit, &users, &sought))
        @if sought.member.is_some() && !whole { p.hint { (words.t("trail-filling")) } }
        @if trail.rows.is_empty() { p { (words.t("trail-none")) } } @else { (lines(visit, &trail)?) }
        (pages(words, &sought, &trail))
    };
    Ok(frame::page(visit, &words.t("nav-audit"), middle))
}

fn list(words: &Words<'_>, users: &[(Login, User)]) -> Markup {
    html! {
        h2 { (words.t("users")) }
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("user")) } th { (words.t("role")) } th { (words.t("wards")) } th { (words.t("enters-as")) } } }
            tbody {
                @for (login, user) in users {
                    tr {
                        td { (login.as_str()) }
                        td { @if user.open { (words.t(power_key(user))) } @else { (words.t("closed")) } }
                        td { @if user.wards.is_empty() { (words.t("all-wards")) } @else { (user.wards.join(", ")) } }
                        td { @if let Some(no) = user.member { (no) } }
                    }
                }
            }
        } }
        p.hint { (words.t("users-hint")) }
        p { a href="/console/tokens" { (words.t("tokens")) } }
    }
}

/// Whose deeds, and on whom.
fn filter(visit: &Visit<'_>, users: &[(Login, User)], sought: &Sought) -> Markup {
    let words = &visit.words;
    html! {
        form.line method="get" action="/console/audit" role="search" {
            label { (words.t("user")) select name="user" {
                option value="" { (words.t("all-users")) }
                @for (login, _) in users { option value=(login.as_str()) selected[sought.login.as_ref() == Some(login)] { (login.as_str()) } }
            } }
            label { (words.t("member")) input name="member" inputmode="numeric" size="6" value=[sought.member]; }
            button type="submit" { (words.t("show")) }
        }
    }
}

/// The way to older lines, and back to the newest.
fn pages(words: &Words<'_>, sought: &Sought, trail: &TrailPage) -> Markup {
    let user = sought.login.as_ref().map_or("", Login::as_str);
    let member = sought.member.map(|no| no.to_string()).unwrap_or_default();
    let kept = format!("/console/audit?user={user}&member={member}");
    html! {
        p.pages {
            @if let Some(next) = trail.next { a.button href=(format!("{kept}&before={next}")) { (words.t("older")) } }
            @if sought.before.is_some() { a.button.quiet href=(kept) { (words.t("newest")) } }
        }
    }
}

fn lines(visit: &Visit<'_>, trail: &TrailPage) -> Result<Markup, Refused> {
    let (words, zone) = (&visit.words, visit.zone()?);
    Ok(html! {
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("when")) } th { (words.t("user")) } th { (words.t("what")) } th { (words.t("member")) } th { (words.t("before")) } th { (words.t("after")) } } }
            tbody { @for row in &trail.rows { (line(words, row, &row.at.with_timezone(&zone).format("%d.%m.%Y %H:%M").to_string())) } }
        } }
    })
}

fn line(words: &Words<'_>, row: &TrailRow, when: &str) -> Markup {
    let deed = match &row.event {
        UserEvent::Did(deed) => Some(deed),
        _ => None,
    };
    html! {
        tr {
            td.d { (when) }
            td { (row.login.as_str()) }
            td { (words.t(what_key(&row.event))) }
            td { @if let Some(no) = deed.and_then(|deed| deed.member) { a href=(format!("/console/farms/{no}")) { (no) } } }
            td { @if let Some(deed) = deed { (deed.old) } }
            td { @if let Some(deed) = deed { (deed.new) } @else { (detail(&row.event)) } }
        }
    }
}

fn detail(event: &UserEvent) -> String {
    match event {
        UserEvent::Added(power) | UserEvent::PowerSet(power) => power.word().to_owned(),
        UserEvent::WardsSet(wards) => wards.join(", "),
        UserEvent::MemberSet(member) => member.map(|no| no.to_string()).unwrap_or_default(),
        UserEvent::LangSet(lang) => lang.to_string(),
        UserEvent::TokenMade(token) => format!("{}: {}", token.no, token.about),
        UserEvent::TokenRevoked(no) | UserEvent::TokenUsed(no, _) => no.to_string(),
        UserEvent::PasswordSet(_)
        | UserEvent::TotpSet(_)
        | UserEvent::Closed
        | UserEvent::Did(_) => String::new(),
    }
}

/// The key of what happened.
const fn what_key(event: &UserEvent) -> &'static str {
    match event {
        UserEvent::Added(_) => "did-user-added",
        UserEvent::PasswordSet(_) => "did-password-set",
        UserEvent::PowerSet(_) => "did-power-set",
        UserEvent::WardsSet(_) => "did-wards-set",
        UserEvent::MemberSet(_) => "did-member-set",
        UserEvent::LangSet(_) => "did-lang-set",
        UserEvent::TotpSet(_) => "did-totp-set",
        UserEvent::Closed => "did-closed",
        UserEvent::TokenMade(_) => "did-token-made",
        UserEvent::TokenRevoked(_) => "did-token-revoked",
        UserEvent::TokenUsed(..) => "did-token-used",
        UserEvent::Did(deed) => match deed.kind {
            DeedKind::SignedIn => "did-signed-in",
            DeedKind::Entered => "did-entered",
            DeedKind::Interpreted => "did-interpreted",
            DeedKind::LaidAside => "did-laid-aside",
            DeedKind::Taught => "did-taught",
            DeedKind::UserChanged => "did-user-changed",
            DeedKind::MemberChanged => "did-member-changed",
            DeedKind::Imported => "did-imported",
            DeedKind::Printed => "did-printed",
            DeedKind::Exported => "did-exported",
            DeedKind::Broadcast => "did-broadcast",
            DeedKind::SettingsChanged => "did-settings-changed",
            DeedKind::Visited => "did-visited",
            DeedKind::TokenChanged => "did-token-changed",
        },
    }
}
