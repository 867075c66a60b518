//! A gateway while it runs: the web server, the reminders' round, the senders, the side door; and how they all stop.
//!
//! On a signal `/readyz` says no, the web server ends its open requests, the senders their texts, and the counter flushes: within five seconds.

use crate::cli::Failure;
use crate::cli::errand::{self, Errand};
use crate::clock::Clock;
use crate::config::Settings;
use crate::counter::Counter;
use crate::counter::keeping::Kept;
use crate::counter::side_door::Door;
use crate::links::driver::Sender;
use crate::web::Routes;
use crate::web::gate::Doors;
use crate::web::health::Draining;
use crate::web::inbound::Intake;
use crate::web::metrics::Metrics;
use crate::web::phone::Handset;
use crate::web::server::{self, Sizes};
use chrono::{DateTime, Duration, NaiveDate, Timelike, Utc};
use std::io::{self, Write};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;
use tokio::time::MissedTickBehavior;

/// Between two rounds of reminders: they are due at an hour, and half a minute late is on time.
const ROUND_EVERY: std::time::Duration = std::time::Duration::from_secs(30);
/// Senders that have not ended by then are left: their rows' leases end by themselves, and the network sees the same id again.
const SENDERS_WAIT: std::time::Duration = std::time::Duration::from_secs(2);

/// What runs.
pub(crate) struct Gateway {
    /// The data folder.
    pub(crate) dir: PathBuf,
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
    /// A listener for `/metrics` alone.
    pub(crate) metrics: Option<TcpListener>,
    /// One for each link that sends.
    pub(crate) senders: Vec<Arc<Sender>>,
    /// The night's work.
    pub(crate) nightly: Option<Nightly>,
}

/// What is done once a night.
#[derive(Clone, Debug)]
pub(crate) struct Nightly {
    hour: u32,
    backup: Option<(PathBuf, Kept)>,
    archive: Option<(PathBuf, Duration)>,
}

impl Nightly {
    /// What the settings ask for, if anything.
    pub(crate) fn of(settings: &Settings) -> Option<Self> {
        let kept = Kept {
            count: settings.backup.keep as usize,
            age: Duration::days(i64::from(settings.backup.keep_days)),
        };
        let folder = &settings.backup.folder;
        let backup = (!folder.is_empty()).then(|| (PathBuf::from(folder), kept));
        let to = match settings.archive.folder.as_str() {
            "" => settings.store.folder.join("archive"),
            folder => PathBuf::from(folder),
        };
        let after = Duration::days(i64::from(settings.archive.after_days));
        let archive = (settings.archive.after_days > 0).then_some((to, after));
        let hour = settings.backup.hour;
        (backup.is_some() || archive.is_some()).then_some(Self {
            hour,
            backup,
            archive,
        })
    }

    /// The backup comes first, so that it still holds what the archive takes away.
    fn work(&self, counter: &Counter, now: DateTime<Utc>) {
        if let Some((folder, kept)) = &self.backup {
            match counter.backup(folder, *kept) {
                Ok((file, removed)) => {
                    tracing::info!(file = %file.display(), removed, "backup made");
                }
                Err(error) => {
                    tracing::error!(%error, "no backup was made; nothing is archived");
                    return;
                }
            }
        }
        if let Some((folder, after)) = &self.archive
            && let Err(error) = counter.archive(folder, now - *after)
        {
            tracing::error!(%error, "old messages were not archived");
        }
    }
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
    let side = SideDoor::open(&gateway.dir, &counter);
    let served = actix_web::rt::System::new().block_on(serve(gateway, listener, ready));
    if let Some(side) = side {
        side.close();
    }
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
            clock: gateway.clock.clone(),
            body_bytes_max: gateway.body_bytes_max,
        }),
        draining: Arc::clone(&draining),
        metrics: Arc::new(Metrics::default()),
        handset: gateway.handset,
    };
    let (counter, metrics) = (gateway.counter.clone(), Arc::clone(&routes.metrics));
    let (server, handle) = server::start(routes, listener, gateway.sizes)?;
    let server = tokio::spawn(server);
    let apart = match gateway.metrics {
        Some(listener) => {
            let (server, handle) = server::start_metrics(counter, metrics, listener)?;
            Some((tokio::spawn(server), handle))
        }
        None => None,
    };
    let (stop, stopped) = watch::channel(false);
    let rounds = tokio::spawn(rounds(
        gateway.counter,
        gateway.clock,
        gateway.nightly,
        stopped.clone(),
    ));
    let senders = gateway.senders.into_iter();
    let senders: Vec<_> = senders
        .map(|sender| tokio::spawn(sender.run(stopped.clone())))
        .collect();
    ready()?;
    tokio::select! {
        _ = term.recv() => {}
        _ = int.recv() => {}
    }
    tracing::info!("stopping: open requests are answered, no new ones are taken");
    draining.begin();
    // Nobody listens where nothing runs beside the server; that is fine.
    let _ = stop.send(true);
    handle.stop(true).await;
    server.await??;
    if let Some((server, handle)) = apart {
        handle.stop(false).await;
        server.await??;
    }
    let ended = tokio::time::timeout(SENDERS_WAIT, futures_util::future::join_all(senders)).await;
    if ended.is_err() {
        tracing::warn!("texts on their way were left; they go again with the same id");
    }
    rounds.await?;
    Ok(())
}

/// Wakes the farms that are due, and does the night's work, until told to stop.
async fn rounds(
    counter: Counter,
    clock: Clock,
    nightly: Option<Nightly>,
    mut stop: watch::Receiver<bool>,
) {
    let mut every = tokio::time::interval(ROUND_EVERY);
    every.set_missed_tick_behavior(MissedTickBehavior::Delay);
    // A gateway that was started in the night's hour does not wait for the next.
    let mut done: Option<NaiveDate> = None;
    loop {
        tokio::select! {
            _ = every.tick() => {}
            _ = stop.changed() => return,
        }
        let now = clock.now();
        let night = nightly
            .as_ref()
            .filter(|nightly| now.hour() == nightly.hour && done != Some(now.date_naive()))
            .cloned();
        if night.is_some() {
            done = Some(now.date_naive());
        }
        let counter = counter.clone();
        let round = tokio::task::spawn_blocking(move || {
            if let Some(night) = night {
                night.work(&counter, now);
            }
            counter.tick()
        });
        match round.await {
            Ok(Err(error)) => tracing::error!(%error, "the farms could not be woken"),
            Err(error) => tracing::error!(%error, "a round ended early"),
            Ok(Ok(_)) => {}
        }
    }
}

/// The side door and the thread that serves it.
struct SideDoor {
    dir: PathBuf,
    closing: Arc<AtomicBool>,
    thread: JoinHandle<()>,
}

impl SideDoor {
    /// None where the door does not open: commands are then told that the folder is in use.
    fn open(dir: &Path, counter: &Counter) -> Option<Self> {
        let door = Door::open(dir)
            .map_err(|why| tracing::warn!(%why, "no side door: other commands cannot reach this folder while it is in use"))
            .ok()?;
        let (closing, counter) = (Arc::new(AtomicBool::new(false)), counter.clone());
        let seen = Arc::clone(&closing);
        let thread = std::thread::Builder::new()
            .name("side door".to_owned())
            .spawn(move || {
                let run = |bytes: &[u8], out: &mut dyn Write| -> Result<(), String> {
                    let errand: Errand = serde_json::from_slice(bytes).map_err(|_| {
                        "this command is of another version than the gateway that runs".to_owned()
                    })?;
                    errand::run(&counter, errand, out).map_err(|why| why.to_string())
                };
                if let Err(why) = door.serve(&|| seen.load(Ordering::Acquire), &run) {
                    tracing::error!(%why, "the side door is shut");
                }
            })
            .ok()?;
        Some(Self {
            dir: dir.to_owned(),
            closing,
            thread,
        })
    }

    fn close(self) {
        self.closing.store(true, Ordering::Release);
        Door::knock(&self.dir);
        if self.thread.join().is_err() {
            tracing::error!("the side door's thread had failed");
        }
    }
}
