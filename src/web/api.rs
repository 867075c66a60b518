//! The record as JSON for programs, under `/api/v1`: the pages' figures and the sheets' rows, a page at a time.
//!
//! One table (`table`) names every path, what it takes and what it gives; requests are checked against it and the OpenAPI description is made from
//! it. Only reads. This room decides nothing and computes no forecast.

pub mod call;
pub mod describe;
pub mod figures;
pub mod records;
pub mod shape;
pub mod table;

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::tokens::Bearer;
use crate::sheets::SheetError;
use crate::web::api::call::{Call, asked};
use crate::web::api::table::{BASE, Endpoint, Given, find};
use crate::web::problem::{Problem, asked_wrong, come_back, method_not_allowed, no_token};
use actix_web::http::header::{AUTHORIZATION, CACHE_CONTROL, LINK, X_CONTENT_TYPE_OPTIONS};
use actix_web::http::{Method, StatusCode};
use actix_web::web::{self, Data, ServiceConfig};
use actix_web::{HttpRequest, HttpResponse, ResponseError};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Requests answered at once: more would only wait for the disk, and pages for people come first.
const AT_ONCE: usize = 4;
/// A program that is told to wait comes back after so many seconds.
const WAIT_S: u32 = 2;

/// What the routes need.
#[derive(Debug)]
pub struct Api {
    running: AtomicUsize,
}

impl Api {
    /// A room with nobody in it.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            running: AtomicUsize::new(0),
        }
    }

    /// A place among those that are answered, where there is one.
    fn enter(self: &Arc<Self>) -> Option<Place> {
        let before = self.running.fetch_add(1, Ordering::AcqRel);
        let place = Place(Arc::clone(self));
        (before < AT_ONCE).then_some(place)
    }
}

impl Default for Api {
    fn default() -> Self {
        Self::new()
    }
}

/// Left when dropped.
struct Place(Arc<Api>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.running.fetch_sub(1, Ordering::AcqRel);
    }
}

/// Hangs the paths into an app.
pub fn attach(app: &mut ServiceConfig) {
    app.app_data(Data::new(Api::new()));
    app.service(web::resource("/api").to(answer));
    app.service(web::resource("/api/{rest:.*}").to(answer));
}

async fn answer(request: HttpRequest, counter: Data<Counter>, api: Data<Api>) -> HttpResponse {
    match told(&request, &counter, &api).await {
        Ok(response) => response,
        Err(problem) => problem.error_response(),
    }
}

async fn told(
    request: &HttpRequest,
    counter: &Data<Counter>,
    api: &Data<Api>,
) -> Result<HttpResponse, Problem> {
    let (endpoint, places) = find(request.path()).ok_or_else(nothing)?;
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return Err(method_not_allowed("GET, HEAD"));
    }
    let place = api.enter().ok_or_else(busy)?;
    let shown = shown_token(request);
    let counter = Counter::clone(counter);
    let query = request.query_string().to_owned();
    let made = web::block(move || {
        let given = give(&counter, endpoint, &places, &query, shown.as_deref());
        drop(place);
        given
    });
    let given = made
        .await
        .map_err(|_| broken(&"the request ended early"))??;
    let mut response = HttpResponse::Ok();
    response
        .content_type("application/json")
        .insert_header((CACHE_CONTROL, "no-store"))
        .insert_header((X_CONTENT_TYPE_OPTIONS, "nosniff"));
    if let Some(next) = &given.next {
        // RFC 8288, section 3: the same list from where this page ends.
        let link = call::next_link(request.path(), request.query_string(), next);
        response.insert_header((LINK, format!("<{link}>; rel=\"next\"")));
    }
    Ok(response.body(given.body().to_string()))
}

/// What the endpoint gives to who asks.
///
/// # Errors
/// Nobody asks who may, the address is wrong, or the record fails.
pub fn give(
    counter: &Counter,
    endpoint: &'static Endpoint,
    places: &[String],
    query: &str,
    shown: Option<&str>,
) -> Result<Given, Problem> {
    let Some(needed) = endpoint.needs else {
        return Ok(Given::one(describe::document()));
    };
    let bearer = bearer(counter, shown)?;
    if bearer.user.power < needed {
        return Err(asked_wrong(
            StatusCode::FORBIDDEN,
            "not-allowed",
            "Not allowed",
            format!(
                "this list takes a token of the role {} or more",
                needed.word()
            ),
        ));
    }
    let said = asked(endpoint, places, query)?;
    (endpoint.answer)(&Call {
        counter,
        bearer,
        said,
    })
}

fn shown_token(request: &HttpRequest) -> Option<String> {
    let header = request.headers().get(AUTHORIZATION)?.to_str().ok()?;
    let (scheme, token) = header.split_once(' ')?;
    scheme
        .eq_ignore_ascii_case("bearer")
        .then(|| token.trim().to_owned())
}

fn bearer(counter: &Counter, shown: Option<&str>) -> Result<Bearer, Problem> {
    let shown = shown.ok_or_else(|| no_token(false))?;
    counter.bearer(shown)?.ok_or_else(|| no_token(true))
}

fn nothing() -> Problem {
    asked_wrong(
        StatusCode::NOT_FOUND,
        "not-found",
        "Nothing here",
        format!(
            "there is no such list or record, or the token does not see it; {BASE}/openapi.json describes what there is"
        ),
    )
}

fn busy() -> Problem {
    let problem = asked_wrong(
        StatusCode::SERVICE_UNAVAILABLE,
        "busy",
        "Too busy",
        "other requests are being answered; try again",
    );
    come_back(problem, WAIT_S)
}

fn broken(why: &dyn std::fmt::Display) -> Problem {
    tracing::error!(%why, "records were not given");
    let detail = "the records cannot be reached just now; try again";
    come_back(
        asked_wrong(
            StatusCode::SERVICE_UNAVAILABLE,
            "store",
            "Could not read",
            detail,
        ),
        WAIT_S,
    )
}

impl From<CounterError> for Problem {
    fn from(error: CounterError) -> Self {
        broken(&error)
    }
}

impl From<SheetError> for Problem {
    fn from(error: SheetError) -> Self {
        broken(&error)
    }
}
