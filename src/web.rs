//! What an aggregator, a monitor or a browser talks to.
//!
//! Each handler is given the one thing that it uses. A message's response leaves only when the counter says that the message is on disk. This
//! room does not know what a text means.

pub mod api;
pub mod batch;
pub mod gate;
pub mod health;
pub mod inbound;
pub mod metrics;
pub mod phone;
pub mod problem;
pub mod receipts;
pub mod server;
pub mod ussd;

use crate::console::Console;
use crate::console::entrance;
use crate::web::health::Draining;
use crate::web::inbound::Intake;
use crate::web::metrics::Metrics;
use crate::web::phone::Handset;
use crate::web::problem::{Problem, method_not_allowed, not_found};
use actix_web::error::PathError;
use actix_web::http::header::LOCATION;
use actix_web::web::{self, Data, PathConfig, ServiceConfig};
use actix_web::{FromRequest, Handler, HttpResponse, Responder, ResponseError};
use std::sync::Arc;

/// Everything that the routes need; one for all workers.
#[derive(Clone)]
pub struct Routes {
    /// Takes posted messages.
    pub intake: Arc<Intake>,
    /// Whether the gateway still wants messages.
    pub draining: Arc<Draining>,
    /// What was refused and how long answers took.
    pub metrics: Arc<Metrics>,
    /// The phone page; only the demo has one.
    pub handset: Option<Arc<Handset>>,
    /// The cooperative's room.
    pub console: Option<Arc<Console>>,
}

impl Routes {
    /// Hangs the routes into an app: the same for the server and for tests.
    pub fn attach(&self, app: &mut ServiceConfig) {
        app.app_data(Data::from(self.intake.clone()))
            .app_data(Data::new(self.intake.counter.clone()))
            .app_data(Data::from(self.draining.clone()))
            .app_data(Data::from(self.metrics.clone()))
            .app_data(PathConfig::default().error_handler(|_: PathError, _| not_found().into()))
            .service(
                web::resource("/in/{link}")
                    .route(web::post().to(inbound::take))
                    .route(web::get().to(inbound::take))
                    .default_service(web::to(wants_post)),
            )
            .service(
                web::resource("/in/{link}/receipt")
                    .route(web::post().to(receipts::take))
                    .route(web::get().to(receipts::take))
                    .default_service(web::to(wants_post)),
            )
            .service(
                web::resource("/ussd/{link}")
                    .route(web::post().to(ussd::step))
                    .route(web::get().to(ussd::step))
                    .default_service(web::to(wants_post)),
            )
            .service(only_get("/healthz", health::alive))
            .service(only_get("/readyz", health::ready))
            .service(only_get("/metrics", metrics::page));
        if let Some(handset) = &self.handset {
            app.app_data(Data::from(handset.clone()));
            phone::attach(app);
        }
        if let Some(console) = &self.console {
            entrance::attach(console, app);
            api::attach(app);
        }
        let front = self.console.as_ref().map(|_| "/console");
        if let Some(page) = self.handset.as_ref().map(|_| "/phone").or(front) {
            app.service(only_get("/", move || see_other(page)));
        }
        app.default_service(web::to(nothing_here));
    }
}

/// A resource that is only read; monitors ask by HEAD too (RFC 9110, section 9.3.2), and the server leaves the body out.
pub(crate) fn only_get<F, A>(path: &str, handler: F) -> actix_web::Resource
where
    F: Handler<A>,
    A: FromRequest + 'static,
    F::Output: Responder + 'static,
{
    web::resource(path)
        .route(web::get().to(handler.clone()))
        .route(web::head().to(handler))
        .default_service(web::to(wants_get))
}

/// Who types the bare address is led to the page that people begin with.
async fn see_other(page: &'static str) -> HttpResponse {
    let mut answer = HttpResponse::SeeOther();
    answer.insert_header((LOCATION, page)).finish()
}

async fn wants_post(metrics: Data<Metrics>) -> HttpResponse {
    turn_away(&metrics, &method_not_allowed("POST"))
}

async fn wants_get(metrics: Data<Metrics>) -> HttpResponse {
    turn_away(&metrics, &method_not_allowed("GET, HEAD"))
}

async fn nothing_here(metrics: Data<Metrics>) -> HttpResponse {
    turn_away(&metrics, &not_found())
}

fn turn_away(metrics: &Metrics, problem: &Problem) -> HttpResponse {
    metrics.refused(problem.word());
    problem.error_response()
}
