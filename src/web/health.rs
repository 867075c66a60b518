//! `GET /healthz`: the process answers. `GET /readyz`: it takes messages.
//!
//! Neither tells a stranger anything about members.

use crate::counter::Counter;
use actix_web::HttpResponse;
use actix_web::web::Data;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether the gateway has begun to drain.
#[derive(Default)]
pub struct Draining(AtomicBool);

impl Draining {
    /// From now on `/readyz` says no.
    pub fn begin(&self) {
        self.0.store(true, Ordering::Release);
    }
}

/// The process is alive.
pub async fn alive() -> HttpResponse {
    HttpResponse::Ok()
        .content_type("text/plain; charset=utf-8")
        .body("alive\n")
}

/// Messages are taken; 503 once the gateway has begun to drain, so that a balancer turns elsewhere, and while the store fails, so that somebody
/// comes.
pub async fn ready(draining: Data<Draining>, counter: Data<Counter>) -> HttpResponse {
    let (mut response, word) = if draining.0.load(Ordering::Acquire) {
        (HttpResponse::ServiceUnavailable(), "draining\n")
    } else if counter.counts().failing {
        (HttpResponse::ServiceUnavailable(), "the store fails\n")
    } else {
        (HttpResponse::Ok(), "ready\n")
    };
    response
        .content_type("text/plain; charset=utf-8")
        .body(word)
}
