//! The demo's phone page: a plain handset in the browser, for trying and teaching.
//!
//! A text typed here takes the same way as a posted one. The page needs no script and no outside asset. It does not know what a text means, and
//! nobody but the demo hangs it in.

pub mod dial;
pub mod page;
pub mod thread;

use crate::clock::Clock;
use crate::counter::Counter;
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::units::day::{farm_day, local_hour};
use crate::web::inbound::submit;
use crate::web::only_get;
use crate::web::phone::dial::{Dials, Line, is_code};
use crate::web::phone::page::{View, write};
use crate::web::phone::thread::Threads;
use crate::web::problem::{Problem, bad_form};
use actix_web::http::header::{
    CONTENT_SECURITY_POLICY, HOST, LOCATION, ORIGIN, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use actix_web::web::{self, Data, Form, Query, ServiceConfig};
use actix_web::{HttpRequest, HttpResponse};
use chrono::Days;
use chrono_tz::Tz;
use serde::Deserialize;
use std::sync::atomic::{AtomicU64, Ordering};

/// The local hour that "next morning" goes to: after the reminders, before the work.
const MORNING_HOUR: u32 = 7;
/// Longest text of the form, in characters; the page counts parts up to ten.
const TEXT_CHARS_MAX: usize = 1_530;

/// One phone to choose.
#[derive(Clone, Debug)]
pub struct Owner {
    /// Its number.
    pub number: PhoneNumber,
    /// Whose it is; none for a number that is not a member's.
    pub member: Option<MemberNo>,
    /// Shown in the list.
    pub label: String,
    /// What is going on there, in a sentence.
    pub about: String,
    /// Lines worth trying from this phone.
    pub lines: Vec<String>,
}

/// The page's own state.
pub struct Handset {
    counter: Counter,
    clock: Clock,
    coop: CoopId,
    link: LinkName,
    zone: Tz,
    notice: &'static str,
    owners: Vec<Owner>,
    threads: Threads,
    dials: Dials,
    /// Makes each text of this page its own: pressing "send" twice says it twice.
    sent: AtomicU64,
}

impl Handset {
    /// A page of these phones, of one cooperative, by one link. `notice` is shown at the top.
    #[must_use]
    pub fn new(
        counter: Counter,
        clock: Clock,
        (coop, link): (CoopId, LinkName),
        zone: Tz,
        notice: &'static str,
        owners: Vec<Owner>,
    ) -> Self {
        Self {
            counter,
            clock,
            coop,
            link,
            zone,
            notice,
            owners,
            threads: Threads::default(),
            dials: Dials::default(),
            sent: AtomicU64::new(0),
        }
    }

    /// The phone with these digits; the first where none was chosen.
    fn owner(&self, digits: Option<&str>) -> Result<&Owner, Problem> {
        let Some(digits) = digits else {
            return self
                .owners
                .first()
                .ok_or_else(|| bad_form("there is no phone here"));
        };
        let wanted = format!("+{}", digits.trim().trim_start_matches('+'));
        self.owners
            .iter()
            .find(|owner| owner.number.full() == wanted)
            .ok_or_else(|| bad_form("choose one of the phones of the list"))
    }

    fn inbound(&self, from: PhoneNumber, text: String) -> Inbound {
        let now = self.clock.now();
        let count = self.sent.fetch_add(1, Ordering::Relaxed);
        Inbound {
            link: self.link.clone(),
            id: Some(format!("phone-{}-{count}", now.timestamp_millis())),
            from,
            to: None,
            text,
            sent_at: now,
            sent_at_known: true,
            received_at: now,
        }
    }

    fn line<'h>(&'h self, owner: &'h Owner) -> Line<'h> {
        Line {
            counter: &self.counter,
            coop: self.coop,
            link: &self.link,
            phone: &owner.number,
        }
    }

    /// Moves the clock to the next morning and lets the farms wake up.
    fn next_morning(&self) {
        let now = self.clock.now();
        let tomorrow = farm_day(now, self.zone) + Days::new(1);
        self.clock
            .advance(local_hour(tomorrow, MORNING_HOUR, self.zone) - now);
        if let Err(error) = self.counter.tick_to_now() {
            tracing::error!(%error, "the farms could not be woken");
        }
    }
}

/// Hangs the page's routes in.
pub fn attach(app: &mut ServiceConfig) {
    app.service(only_get("/phone", show))
        .route("/phone/send", web::post().to(send))
        .route("/phone/key", web::post().to(key))
        .route("/phone/hang-up", web::post().to(hang_up))
        .route("/phone/morning", web::post().to(morning))
        .service(only_get("/phone/phone.css", css))
        .service(only_get("/phone/phone.js", js));
}

/// Which phone is in the visitor's hand.
#[derive(Deserialize)]
struct Chosen {
    r#as: Option<String>,
}

/// What the form sends.
#[derive(Deserialize)]
struct Typed {
    r#as: String,
    text: Option<String>,
    line: Option<String>,
}

/// What is typed into a session.
#[derive(Deserialize)]
struct Pressed {
    r#as: String,
    key: String,
}

async fn show(chosen: Query<Chosen>, handset: Data<Handset>) -> Result<HttpResponse, Problem> {
    let owner = handset.owner(chosen.r#as.as_deref())?.clone();
    let shown = handset.clone();
    let screen = handset.dials.screen(&owner.number);
    let body = web::block(move || {
        shown.threads.fetch(&shown.counter, &shown.link);
        let lines = shown.threads.of(&shown.counter, shown.coop, &owner);
        write(&View {
            notice: shown.notice,
            now: shown.clock.now().with_timezone(&shown.zone),
            owners: &shown.owners,
            owner: &owner,
            lines: &lines,
            screen: screen.as_deref(),
            zone: shown.zone,
        })
    })
    .await
    .map_err(|_| bad_form("the page is busy; load it again"))?;
    Ok(HttpResponse::Ok()
        .content_type("text/html; charset=utf-8")
        .insert_header((
            CONTENT_SECURITY_POLICY,
            "default-src 'none'; style-src 'self'; script-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
        ))
        .insert_header((REFERRER_POLICY, "no-referrer"))
        .insert_header((X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .body(body))
}

async fn send(
    request: HttpRequest,
    typed: Form<Typed>,
    handset: Data<Handset>,
) -> Result<HttpResponse, Problem> {
    from_this_page(&request)?;
    let owner = handset.owner(Some(&typed.r#as))?;
    // A suggested line is its own button; without one the typed text counts.
    let text = typed.line.as_ref().or(typed.text.as_ref());
    let text = text.map(|text| text.trim().to_owned()).unwrap_or_default();
    if text.is_empty() || text.chars().count() > TEXT_CHARS_MAX {
        return Err(bad_form(
            "type a text of at most ten parts, for example C4 12.5",
        ));
    }
    if is_code(&text) {
        handset.dials.dial(handset.line(owner), &text).await?;
        return Ok(back_to(owner));
    }
    // A minute passes with each text, so that a thread reads in order.
    handset.clock.advance(chrono::Duration::minutes(1));
    let inbound = handset.inbound(owner.number.clone(), text);
    let kept = inbound.clone();
    let receipt = submit(&handset.counter, handset.coop, inbound).await?;
    if owner.member.is_none() {
        handset.threads.keep(&kept, &receipt);
    }
    Ok(back_to(owner))
}

async fn key(
    request: HttpRequest,
    typed: Form<Pressed>,
    handset: Data<Handset>,
) -> Result<HttpResponse, Problem> {
    from_this_page(&request)?;
    let owner = handset.owner(Some(&typed.r#as))?;
    let answered = typed.key.chars().take(TEXT_CHARS_MAX).collect::<String>();
    handset.dials.answer(handset.line(owner), &answered).await?;
    Ok(back_to(owner))
}

async fn hang_up(
    request: HttpRequest,
    typed: Form<Chosen>,
    handset: Data<Handset>,
) -> Result<HttpResponse, Problem> {
    from_this_page(&request)?;
    let owner = handset.owner(typed.r#as.as_deref())?;
    handset.dials.hang_up(&owner.number);
    Ok(back_to(owner))
}

async fn morning(
    request: HttpRequest,
    typed: Form<Chosen>,
    handset: Data<Handset>,
) -> Result<HttpResponse, Problem> {
    from_this_page(&request)?;
    let owner = handset.owner(typed.r#as.as_deref())?;
    let shown = handset.clone();
    web::block(move || shown.next_morning())
        .await
        .map_err(|_| bad_form("the page is busy; press it again"))?;
    Ok(back_to(owner))
}

/// After a form the browser loads the page anew, so that "reload" sends nothing twice.
fn back_to(owner: &Owner) -> HttpResponse {
    let digits = owner.number.full().trim_start_matches('+');
    HttpResponse::SeeOther()
        .insert_header((LOCATION, format!("/phone?as={digits}#latest")))
        .finish()
}

/// Another site's page must not press our buttons: where a browser says where a form comes from, it must be here.
fn from_this_page(request: &HttpRequest) -> Result<(), Problem> {
    let header = |name| {
        request
            .headers()
            .get(name)
            .and_then(|value| value.to_str().ok())
    };
    let (Some(origin), Some(host)) = (header(ORIGIN), header(HOST)) else {
        return Ok(());
    };
    let ours = origin
        .split_once("://")
        .is_some_and(|(_, rest)| rest == host);
    // With no-referrer, browsers say "null" for a form of the page itself.
    let same = header_is(request, "sec-fetch-site", "same-origin");
    if ours || same {
        return Ok(());
    }
    Err(bad_form("this form belongs to the phone page; open /phone"))
}

fn header_is(request: &HttpRequest, name: &str, wanted: &str) -> bool {
    request
        .headers()
        .get(name)
        .is_some_and(|value| value.as_bytes() == wanted.as_bytes())
}

async fn css() -> HttpResponse {
    asset("text/css; charset=utf-8", include_str!("assets/phone.css"))
}

async fn js() -> HttpResponse {
    asset(
        "text/javascript; charset=utf-8",
        include_str!("assets/phone.js"),
    )
}

fn asset(kind: &'static str, body: &'static str) -> HttpResponse {
    HttpResponse::Ok()
        .content_type(kind)
        .insert_header((X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .body(body)
}
