//! Runs the web server on listeners that are already bound, and drains it.
//!
//! Binding first means that the address is known, and taken, before anything is said to be ready. Signals are the caller's business.

use crate::counter::Counter;
use crate::web::Routes;
use crate::web::metrics::Metrics;
use actix_web::dev::{Server, ServerHandle};
use actix_web::web::Data;
use actix_web::{App, HttpServer, web};
use std::io;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;

/// Seconds that open requests get to end: with the writer's own drain this stays under the five that a stop may take.
const DRAIN_S: u64 = 2;
/// How long a client may take to send its headers: a slow network needs a second, a hoarder of connections wants for ever.
const HEAD_WAIT: Duration = Duration::from_secs(10);

/// Sizes of the server.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    /// Worker threads; 0 is one for each core.
    pub workers: usize,
    /// Open connections for each worker.
    pub connections_max: usize,
    /// How long an idle connection is kept.
    pub keep_alive: Duration,
}

impl Default for Sizes {
    fn default() -> Self {
        Self {
            workers: 0,
            connections_max: 2_048,
            keep_alive: Duration::from_secs(75),
        }
    }
}

/// The server, still to be awaited, and the handle that stops it.
///
/// # Errors
/// When a listener cannot be used.
pub fn start(
    routes: Routes,
    listener: TcpListener,
    sizes: Sizes,
) -> io::Result<(Server, ServerHandle)> {
    let mut http = HttpServer::new(move || {
        let routes = routes.clone();
        App::new().configure(move |app| routes.attach(app))
    })
    .keep_alive(sizes.keep_alive)
    .client_request_timeout(HEAD_WAIT)
    .max_connections(sizes.connections_max)
    .shutdown_timeout(DRAIN_S)
    .disable_signals();
    if sizes.workers > 0 {
        http = http.workers(sizes.workers);
    }
    let server = http.listen(listener)?.run();
    let handle = server.handle();
    Ok((server, handle))
}

/// A server of `/metrics` alone, for a listener of its own.
///
/// # Errors
/// When the listener cannot be used.
pub fn start_metrics(
    counter: Counter,
    metrics: Arc<Metrics>,
    listener: TcpListener,
) -> io::Result<(Server, ServerHandle)> {
    let server = HttpServer::new(move || {
        App::new()
            .app_data(Data::new(counter.clone()))
            .app_data(Data::from(metrics.clone()))
            .route("/metrics", web::get().to(crate::web::metrics::page))
    })
    .workers(1)
    .shutdown_timeout(DRAIN_S)
    .disable_signals()
    .listen(listener)?
    .run();
    let handle = server.handle();
    Ok((server, handle))
}
