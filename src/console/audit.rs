//! The audit trail and the users: who may do what, and who did what when.
//!
//! This room changes nothing.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::signing::power_key;
use crate::console::visit::Visit;
use crate::console::words::Words;
use crate::counter::users::TrailRow;
use crate::domain::user::{DeedKind, UserEvent};
use maud::{Markup, html};

/// Rows of the trail on the page: some 40 kB.
const ROWS_MAX: usize = 200;

/// Users, and the trail.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let words = &visit.words;
    let coop = visit.who()?.coop;
    let zone = visit.zone()?;
    let users = visit.counter().users(coop)?;
    let trail = visit.counter().trail(coop, ROWS_MAX)?;
    let middle = html! {
        h2 { (words.t("users")) }
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("user")) } th { (words.t("role")) } th { (words.t("wards")) } th { (words.t("enters-as")) } } }
            tbody {
                @for (login, user) in &users {
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
        h2 { (words.t("trail")) }
        div.wide tabindex="0" { table {
            thead { tr { th { (words.t("when")) } th { (words.t("user")) } th { (words.t("what")) } th { (words.t("member")) } th { (words.t("before")) } th { (words.t("after")) } } }
            tbody { @for row in &trail { (line(words, row, &row.at.with_timezone(&zone).format("%Y-%m-%d %H:%M").to_string())) } }
        } }
    };
    Ok(frame::page(visit, &words.t("nav-audit"), middle))
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
