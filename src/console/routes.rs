//! The route table: every page and form of the room, and who may use it. The one place where roles are enforced.
//!
//! A page is reached through this table or not at all. This room makes no page.

use crate::console::answer::{Answer, Refused};
use crate::console::visit::Visit;
use crate::console::{
    audit, book, broadcast, climate, data, deliveries, entry, export, farm, farms, live, member,
    member_changes, members, members_import, permits, printing, promises, settings, signing,
    supply, teach, today, tokens, visits, wards,
};
use crate::domain::user::Power;

/// Who may use a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// Anybody; for signing in.
    Nobody,
    /// A user of this power or more.
    Power(Power),
}

impl Needs {
    /// Whether a user of that power, or nobody, may.
    #[must_use]
    pub fn lets(self, power: Option<Power>) -> bool {
        match self {
            Self::Nobody => true,
            Self::Power(needed) => power.is_some_and(|power| power >= needed),
        }
    }
}

/// Read or change. Every change is a form with the session's token.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Reads.
    Get,
    /// Changes.
    Post,
}

/// Makes the answer to a visit.
pub type Page = fn(&Visit<'_>) -> Result<Answer, Refused>;

/// One row.
#[derive(Clone, Copy, Debug)]
pub struct Route {
    /// Read or change.
    pub method: Method,
    /// The path; `{}` is one place.
    pub path: &'static str,
    /// Who may.
    pub needs: Needs,
    /// What answers.
    pub page: Page,
}

const VIEWER: Needs = Needs::Power(Power::Viewer);
const OFFICER: Needs = Needs::Power(Power::Officer);
const MANAGER: Needs = Needs::Power(Power::Manager);

const fn get(path: &'static str, needs: Needs, page: Page) -> Route {
    Route {
        method: Method::Get,
        path,
        needs,
        page,
    }
}

const fn post(path: &'static str, needs: Needs, page: Page) -> Route {
    Route {
        method: Method::Post,
        path,
        needs,
        page,
    }
}

/// Every page and form.
pub const ROUTES: &[Route] = &[
    get("/console", VIEWER, today::home),
    get("/console/sign-in", Needs::Nobody, signing::form),
    post("/console/sign-in", Needs::Nobody, signing::sign_in),
    post("/console/sign-out", VIEWER, signing::sign_out),
    get("/console/lang/{}", Needs::Nobody, signing::choose_lang),
    get("/console/today", VIEWER, today::page),
    get("/console/supply", VIEWER, supply::page),
    post("/console/supply/promise", MANAGER, promises::keep),
    get("/console/farms", VIEWER, farms::page),
    get("/console/farms/{}", VIEWER, farm::page),
    post("/console/farms/{}/enter", OFFICER, entry::enter),
    post("/console/farms/{}/visits", OFFICER, visits::note),
    post(
        "/console/farms/{}/visits/done",
        OFFICER,
        visits::followed_up,
    ),
    post("/console/farms/{}/mark", OFFICER, visits::mark),
    post("/console/farms/{}/permits", OFFICER, permits::of_farm),
    get("/console/deliveries", VIEWER, deliveries::page),
    get("/console/deliveries/{}", VIEWER, deliveries::sheet),
    get("/console/broadcast", OFFICER, broadcast::page),
    post("/console/broadcast", OFFICER, broadcast::write),
    post("/console/broadcast/{}/stop", OFFICER, broadcast::stop),
    get("/console/permits", VIEWER, permits::page),
    post("/console/permits", MANAGER, permits::of_coop),
    get("/console/farms/{}/data", MANAGER, data::page),
    get("/console/farms/{}/data/file", MANAGER, data::file),
    post("/console/farms/{}/data/forget", MANAGER, data::forget),
    get("/console/unreadable", VIEWER, entry::unreadable),
    post("/console/unreadable/{}", OFFICER, entry::interpret),
    post("/console/unreadable/{}/aside", OFFICER, entry::aside),
    get("/console/print", VIEWER, printing::page),
    post("/console/print", VIEWER, printing::choose),
    get("/console/print/{}", VIEWER, printing::sheets),
    get("/console/members", VIEWER, members::page),
    get("/console/members/new", OFFICER, members::new),
    post("/console/members/new", OFFICER, members::add),
    get("/console/members/import", OFFICER, members_import::page),
    post("/console/members/import", OFFICER, members_import::look),
    post(
        "/console/members/import/apply",
        OFFICER,
        members_import::apply,
    ),
    get("/console/members/{}", VIEWER, member::page),
    post("/console/members/{}", OFFICER, member_changes::change),
    post(
        "/console/members/{}/phone",
        OFFICER,
        member_changes::link_phone,
    ),
    post(
        "/console/members/{}/phone/cut",
        OFFICER,
        member_changes::cut_phone,
    ),
    post(
        "/console/members/{}/role",
        MANAGER,
        member_changes::set_role,
    ),
    post(
        "/console/members/{}/consent",
        OFFICER,
        member_changes::note_consent,
    ),
    post(
        "/console/members/{}/pin",
        OFFICER,
        member_changes::clear_pin,
    ),
    get("/console/members/{}/book", OFFICER, book::page),
    post("/console/members/{}/book", OFFICER, book::enter),
    get("/console/wards", VIEWER, wards::page),
    post("/console/wards", MANAGER, wards::add),
    post("/console/wards/rename", MANAGER, wards::rename),
    get("/console/settings", MANAGER, settings::page),
    post("/console/settings", MANAGER, settings::change),
    get("/console/settings/model", MANAGER, settings::model),
    post("/console/settings/model", MANAGER, settings::change_model),
    get("/console/settings/climate", MANAGER, climate::page),
    post("/console/settings/climate", MANAGER, climate::change),
    get("/console/settings/gateway", MANAGER, settings::gateway),
    get("/console/words", OFFICER, teach::page),
    get("/console/words/try", OFFICER, teach::try_word),
    post("/console/words/teach", OFFICER, teach::teach),
    post("/console/words/let-go", OFFICER, teach::let_go),
    get("/console/account", VIEWER, signing::account),
    post("/console/account/password", VIEWER, signing::new_password),
    get("/console/live", VIEWER, live::stream),
    get("/console/export", OFFICER, export::page),
    get("/console/export/file", OFFICER, export::file),
    get("/console/tokens", MANAGER, tokens::page),
    post("/console/tokens", MANAGER, tokens::make),
    post("/console/tokens/{}/{}/revoke", MANAGER, tokens::revoke),
    get("/console/audit", MANAGER, audit::page),
];

/// The row of a path, and what stands in its places.
///
/// # Errors
/// [`Refused::NotFound`] where there is no such path, [`Refused::Method`] where it is used otherwise.
pub fn find(method: Method, path: &str) -> Result<(&'static Route, Vec<String>), Refused> {
    let path = path.trim_end_matches('/');
    let mut other_method = false;
    for route in ROUTES {
        let Some(places) = places(route.path, path) else {
            continue;
        };
        if route.method == method {
            return Ok((route, places));
        }
        other_method = true;
    }
    Err(if other_method {
        Refused::Method
    } else {
        Refused::NotFound
    })
}

/// Whether a page is there for a user of that power.
#[must_use]
pub fn opens(path: &str, power: Power) -> bool {
    find(Method::Get, path).is_ok_and(|(route, _)| route.needs.lets(Some(power)))
}

fn places(pattern: &str, path: &str) -> Option<Vec<String>> {
    let (mut pattern, mut path) = (pattern.split('/'), path.split('/'));
    let mut places = Vec::new();
    loop {
        match (pattern.next(), path.next()) {
            (None, None) => return Some(places),
            (Some("{}"), Some(place)) if !place.is_empty() => places.push(place.to_owned()),
            (Some(a), Some(b)) if a == b => {}
            _ => return None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_find_their_rows() {
        let found =
            |method, path: &str| find(method, path).map(|(route, places)| (route.path, places));
        assert_eq!(found(Method::Get, "/console/").unwrap().0, "/console");
        assert_eq!(
            found(Method::Get, "/console/lang/sw").unwrap(),
            ("/console/lang/{}", vec!["sw".to_owned()])
        );
        assert!(matches!(
            found(Method::Get, "/console/lang"),
            Err(Refused::NotFound)
        ));
        assert!(matches!(
            found(Method::Post, "/console/today"),
            Err(Refused::Method)
        ));
        assert!(
            OFFICER.lets(Some(Power::Manager))
                && !OFFICER.lets(Some(Power::Viewer))
                && !VIEWER.lets(None)
        );
    }
}
