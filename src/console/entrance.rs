//! The room's one door: from an HTTP request to a visit, through the route table, and back with the headers that every page has.
//!
//! Who is signed in, whether they may, and whether a form is this session's own are looked at here and nowhere else. Pages run on the blocking
//! pool. This room does not know what a page shows.

use crate::console::answer::{Answer, Refused};
use crate::console::fields::Fields;
use crate::console::frame;
use crate::console::names::{FORM_TOKEN, LANG_COOKIE, LIVE, SESSION_COOKIE, SIGN_IN_COOKIE, START};
use crate::console::routes::{Method, find, opens};
use crate::console::sent;
use crate::console::sessions::same;
use crate::console::visit::{Visit, Who};
use crate::console::{Console, held};
use crate::domain::lang::Lang;
use actix_web::http::header;
use actix_web::web::{self, Bytes, Data, ServiceConfig};
use actix_web::{HttpRequest, HttpResponse};
use std::sync::Arc;

/// Bytes of a form at the most: a workbook of some thousand members.
const BODY_MAX: usize = 4 * 1024 * 1024;

/// Hangs the room into an app.
pub fn attach(console: &Arc<Console>, app: &mut ServiceConfig) {
    app.app_data(Data::from(Arc::clone(console)));
    app.service(asset("/console/console.css", sent::css));
    app.service(asset("/console/print.css", sent::print_css));
    app.service(asset("/console/console.js", sent::js));
    for path in [START, "/console/{rest:.*}"] {
        app.service(
            web::resource(path)
                .app_data(web::PayloadConfig::new(BODY_MAX))
                .route(web::get().to(enter))
                // Without the body (RFC 9110, section 9.3.2), which the server leaves out.
                .route(web::head().to(enter))
                .route(web::post().to(enter))
                .default_service(web::to(|| async {
                    HttpResponse::MethodNotAllowed().finish()
                })),
        );
    }
}

/// A file of the room's look, which is only read.
fn asset<F, A>(path: &str, handler: F) -> actix_web::Resource
where
    F: actix_web::Handler<A>,
    A: actix_web::FromRequest + 'static,
    F::Output: actix_web::Responder + 'static,
{
    web::resource(path)
        .route(web::get().to(handler.clone()))
        .route(web::head().to(handler))
}

async fn enter(request: HttpRequest, body: Bytes, console: Data<Console>) -> HttpResponse {
    let asked = Asked::of(&request, &body);
    let secure = asked.secure;
    let room = console.clone();
    let answer = web::block(move || {
        let fresh = asked.sign_in_token.clone();
        (console.answer(asked), fresh)
    })
    .await;
    match answer {
        Ok((answer, fresh)) => sent::respond(answer, fresh, secure, &room).await,
        Err(_) => HttpResponse::ServiceUnavailable().finish(),
    }
}

/// What was asked, without the web server.
#[derive(Clone, Debug)]
pub struct Asked {
    /// Read or change.
    pub method: Method,
    /// The path.
    pub path: String,
    /// After `?`.
    pub query: String,
    /// The body.
    pub body: Vec<u8>,
    /// Its media type.
    pub body_kind: String,
    /// The session's cookie.
    pub session: Option<String>,
    /// The sign-in form's cookie.
    pub sign_in: Option<String>,
    /// A new one, where the browser came with none.
    pub sign_in_token: Option<String>,
    /// The language's cookie.
    pub lang: Option<String>,
    /// The header `Accept-Language`.
    pub accepts: String,
    /// Where it comes from.
    pub address: String,
    /// The page that sent the form is ours, as far as the browser says.
    pub ours: bool,
    /// It came over TLS.
    pub secure: bool,
}

impl Asked {
    fn of(request: &HttpRequest, body: &Bytes) -> Self {
        let text = |name: header::HeaderName| {
            let value = request.headers().get(name);
            value
                .and_then(|value| value.to_str().ok())
                .unwrap_or_default()
        };
        let cookie = |name| request.cookie(name).map(|cookie| cookie.value().to_owned());
        let forwarded = header::HeaderName::from_static("x-forwarded-proto");
        let sign_in = cookie(SIGN_IN_COOKIE).filter(|token| token.len() >= 40);
        Self {
            method: if request.method() == actix_web::http::Method::POST {
                Method::Post
            } else {
                Method::Get
            },
            path: request.path().to_owned(),
            query: request.query_string().to_owned(),
            body: body.to_vec(),
            body_kind: text(header::CONTENT_TYPE).to_owned(),
            session: cookie(SESSION_COOKIE),
            sign_in_token: match sign_in {
                Some(_) => None,
                None => crate::console::sessions::token().ok(),
            },
            sign_in,
            lang: cookie(LANG_COOKIE),
            accepts: text(header::ACCEPT_LANGUAGE).to_owned(),
            address: address(
                request,
                text(header::HeaderName::from_static("x-forwarded-for")),
            ),
            ours: is_ours(
                text(header::ORIGIN),
                text(header::HOST),
                text(header::HeaderName::from_static("sec-fetch-site")),
            ),
            secure: text(forwarded) == "https",
        }
    }
}

/// Where a request comes from: the peer, or what a proxy on this machine says of its peer.
fn address(request: &HttpRequest, forwarded: &str) -> String {
    let peer = request.peer_addr().map(|at| at.ip());
    let nearest = forwarded
        .rsplit(',')
        .next()
        .map(str::trim)
        .unwrap_or_default();
    match peer {
        Some(peer) if peer.is_loopback() && !nearest.is_empty() => nearest.to_owned(),
        Some(peer) => peer.to_string(),
        None => String::new(),
    }
}

/// Whether a form comes from a page of ours: as the browser says in `Origin`, or else in `Sec-Fetch-Site`. One that says neither has its token only.
fn is_ours(origin: &str, host: &str, site: &str) -> bool {
    match (origin, site) {
        ("", "" | "same-origin") => true,
        ("" | "null", site) => site == "same-origin",
        (origin, _) => origin
            .split_once("://")
            .is_some_and(|(_, rest)| rest == host),
    }
}

impl Console {
    /// The answer to what was asked: the route table, then the page.
    pub fn answer(&self, asked: Asked) -> Answer {
        let words = self.texts.of(self.lang(&asked, None));
        let mut visit = Visit {
            console: self,
            opens,
            who: None,
            path: asked.path.clone(),
            places: Vec::new(),
            query: Fields::read(&asked.query),
            form: Fields::default(),
            body: Vec::new(),
            body_kind: asked.body_kind.clone(),
            words,
            cookie: asked.session.clone(),
            address: asked.address.clone(),
        };
        match self.pass(&mut visit, asked) {
            Ok(answer) => answer,
            Err(Refused::SignIn) if visit.form == Fields::default() => {
                Answer::go(&format!("{START}/sign-in"))
            }
            Err(refused) => frame::refusal(&visit, &refused),
        }
    }

    fn pass<'c>(&'c self, visit: &mut Visit<'c>, asked: Asked) -> Result<Answer, Refused> {
        let found = find(asked.method, &asked.path);
        // What the script asks for by itself does not keep somebody signed in who has gone home.
        let by_itself = visit.query.get(LIVE) == "1";
        visit.who = self.who(asked.session.as_deref(), !by_itself)?;
        let power = visit.who.as_ref().map(|who| who.user.power);
        let lang = self.lang(&asked, visit.who.as_ref());
        visit.words = self.texts.of(lang);
        // Who is signed in finds the way on from a page that is not there.
        let (route, places) = found?;
        visit.places = places;
        if !route.needs.lets(power) {
            return Err(if power.is_none() {
                Refused::SignIn
            } else {
                Refused::NotAllowed
            });
        }
        // The sign-in form has no session yet: its token is the browser's own cookie.
        let expected = match &visit.who {
            Some(who) => who.form_token.clone(),
            None => {
                let browser = asked.sign_in.clone().or(asked.sign_in_token.clone());
                browser.unwrap_or_default()
            }
        };
        if asked.method == Method::Post {
            visit.form = std::str::from_utf8(&asked.body)
                .map(Fields::read)
                .unwrap_or_default();
            // A file's form carries its token in the address.
            let given = [visit.form.get(FORM_TOKEN), visit.query.get(FORM_TOKEN)];
            let fresh = asked.sign_in.is_none() && visit.who.is_none();
            if fresh || !asked.ours || !given.iter().any(|given| same(given, &expected)) {
                return Err(Refused::Form);
            }
            visit.body = asked.body;
        } else if visit.who.is_none() {
            visit.form = Fields::read(&format!("{FORM_TOKEN}={expected}"));
        }
        (route.page)(visit)
    }

    /// Who is signed in by that cookie; nobody where the user has been closed or changed since.
    fn who(&self, cookie: Option<&str>, by_hand: bool) -> Result<Option<Who>, Refused> {
        let now = self.watch.now();
        let Some(cookie) = cookie else {
            return Ok(None);
        };
        let mut sessions = held(&self.sessions);
        let session = if by_hand {
            sessions.used(cookie, now)
        } else {
            sessions.looked_at(cookie, now)
        };
        drop(sessions);
        let Some(session) = session else {
            return Ok(None);
        };
        let user = self.counter.user(session.coop, &session.login)?;
        if user.open && user.edition == session.edition {
            return Ok(Some(Who::of(session, user)));
        }
        held(&self.sessions).end(cookie);
        Ok(None)
    }

    /// The language: the one chosen here, the user's, the browser's first that is spoken, English.
    fn lang(&self, asked: &Asked, who: Option<&Who>) -> Lang {
        let spoken = |lang: &Lang| self.texts.langs().any(|known| known == *lang);
        let chosen = asked.lang.as_deref().and_then(Lang::new);
        let own = who.and_then(|who| who.user.lang);
        let browser = asked.accepts.split(',').filter_map(|part| {
            let code = part.trim().get(..2)?;
            Lang::new(&code.to_ascii_lowercase())
        });
        let mut wanted = chosen.into_iter().chain(own).chain(browser);
        wanted.find(spoken).unwrap_or(Lang::EN)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_of_another_site_is_not_ours() {
        let host = "coop.example:8080";
        assert!(is_ours("http://coop.example:8080", host, ""));
        assert!(is_ours("https://coop.example:8080", host, "same-origin"));
        assert!(is_ours("", host, "same-origin"));
        assert!(is_ours("", host, ""));
        assert!(!is_ours("http://evil.example", host, "cross-site"));
        assert!(!is_ours("http://coop.example", host, ""));
        assert!(!is_ours("null", host, ""));
        assert!(!is_ours("", host, "cross-site"));
    }
}
