//! A gateway while it runs: the web server, the reminders' round, the senders; and how they all stop.
//!
//! On a signal `/readyz` says no, the web server ends its open requests, the senders their texts, and the counter flushes: within five seconds.

use crate::cli::Failure;
use crate::clock::Clock;
use crate::counter::Counter;
use crate::web::Routes;
use crate::web::gate::Doors;
use crate::web::health::Draining;
use crate::web::inbound::Intake;
use crate::web::metrics::Metrics;
use crate::web::phone::Handset;
use crate::web::server::{self, Sizes};
use std::io;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;

/// Between two rounds of reminders: a reminder is due at an hour, and a minute late is on time.
const ROUND_EVERY: Duration = Duration::from_secs(30);

/// What runs.
pub(crate) struct Gateway {
    /// Takes messages.
    pub(crate) counter: Counter,
    /// The gateway's time.
    pub(crate) clock: Clock,
    /// The links' doors.
    pub(crate) doors: Doors,
    /// The demo's phone page.
    pub(crate) handset: Option<Arc<Handset>>,
    /// Of the web server.
    pub(crate) sizes: Sizes,
    /// Longest request body.
    pub(crate) body_bytes_max: usize,
}

/// Runs until SIGTERM or SIGINT; `ready` is called once connections are taken.
///
/// # Errors
/// When the listener cannot be used, `ready` fails, or the last flush does.
pub(crate) fn until_stopped(
    gateway: Gateway,
    listener: TcpListener,
    ready: impl FnOnce() -> io::Result<()>,
) -> Result<(), Failure> {
    let counter = gateway.counter.clone();
    let served = actix_web::rt::System::new().block_on(serve(gateway, listener, ready));
    counter.close()?;
    served
}

async fn serve(
    gateway: Gateway,
    listener: TcpListener,
    ready: impl FnOnce() -> io::Result<()>,
) -> Result<(), Failure> {
    let (mut term, mut int) = (
        signal(SignalKind::terminate())?,
        signal(SignalKind::interrupt())?,
    );
    let draining = Arc::new(Draining::default());
    let routes = Routes {
        intake: Arc::new(Intake {
            counter: gateway.counter.clone(),
            doors: gateway.doors,
            clock: gateway.clock,
            body_bytes_max: gateway.body_bytes_max,
        }),
        draining: Arc::clone(&draining),
        metrics: Arc::new(Metrics::default()),
        handset: gateway.handset,
    };
    let (server, handle) = server::start(routes, listener, gateway.sizes)?;
    let (stop, stopped) = watch::channel(false);
    let rounds = tokio::spawn(remind(gateway.counter, stopped));
    let server = tokio::spawn(server);
    ready()?;
    tokio::select! {
        _ = term.recv() => {}
        _ = int.recv() => {}
    }
    tracing::info!("stopping: no new messages are taken");
    draining.begin();
    let _ = stop.send(true);
    handle.stop(true).await;
    server.await??;
    rounds.await?;
    Ok(())
}

/// Wakes the farms that are due, until told to stop.
async fn remind(counter: Counter, mut stop: watch::Receiver<bool>) {
    let mut rounds = tokio::time::interval(ROUND_EVERY);
    rounds.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        tokio::select! {
            _ = rounds.tick() => {}
            _ = stop.changed() => return,
        }
        let counter = counter.clone();
        match tokio::task::spawn_blocking(move || counter.tick()).await {
            Ok(Err(error)) => tracing::error!(%error, "the farms could not be woken"),
            Ok(Ok(_)) | Err(_) => {}
        }
    }
}
