//! `serve`: opens the folder, binds the address, hangs the routes in, and runs until it is told to stop; then drains.
//!
//! The order matters: nothing is said to be ready before the address is bound and the store is open, and the store closes last. This room does
//! not know what a message says.

use crate::cli::Trouble;
use crate::cli::costs;
use crate::cli::demo_start;
use crate::cli::errand::{self, Here};
use crate::cli::folder::Place;
use crate::cli::night;
use crate::cli::patience;
use crate::cli::ways;
use crate::cli::wiring::Wiring;
use crate::clock::Clock;
use crate::config::Settings;
use crate::console::Console;
use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::side_door::Door;
use crate::demo::NOTICE;
use crate::links::board::Board;
use crate::web::Routes;
use crate::web::health::Draining;
use crate::web::inbound::Intake;
use crate::web::metrics::Metrics;
use crate::web::server;
use chrono::{Datelike, Timelike};
use clap::Args;
use std::net::TcpListener;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;
use tracing_subscriber::EnvFilter;

/// Between two looks at the farms that wake up: a reminder at six comes at six.
const ROUND_EVERY: std::time::Duration = std::time::Duration::from_secs(5);
/// Farms whose rows are made anew in one round: a few seconds' work at night, some tens by day.
const FOLLOWED_A_ROUND: usize = 512;
/// And between two looks at the messages answered meanwhile: where there are many, answers come before pages, and the round ends here.
const FOLLOWED_AT_ONCE: usize = 16;
/// Messages answered during so many rows, some thirty milliseconds, that make a gateway busy: a thousand a second.
const BUSY_FROM: u64 = 32;
/// What users did, put in order by member in one round, once, in a folder that has no such order: under a second.
const DEEDS_A_ROUND: usize = 20_000;
/// The writer's drain and the links' together stay under the five seconds that a stop may take.
const WAYS_WAIT: std::time::Duration = std::time::Duration::from_millis(1_500);

/// `serve`
#[derive(Args)]
pub struct ServeArgs {
    #[command(flatten)]
    place: Place,
    /// Address and port; the settings' one, where not given
    #[arg(long)]
    listen: Option<String>,
    /// Print the effective settings, secrets masked, and end
    #[arg(long)]
    print_config: bool,
    /// Run the invented cooperative on loopback
    #[arg(long)]
    demo: bool,
    /// With --demo: the seed of its ninety days
    #[arg(long, default_value_t = 1, requires = "demo")]
    seed: u64,
    /// With --demo: its day, such as 2026-03-10; the real one, where not given
    #[arg(long, requires = "demo")]
    today: Option<chrono::NaiveDate>,
}

/// Runs the gateway until a signal, or until its store has failed for a minute.
///
/// # Errors
/// When the settings, the folder or the address cannot be used, or the store failed.
pub fn run(args: &ServeArgs) -> Result<(), Trouble> {
    let mut settings = args.place.settings()?;
    if args.print_config {
        print!("{}", settings.shown());
        return Ok(());
    }
    start_log();
    if let Some(listen) = &args.listen {
        settings.server.listen.clone_from(listen);
    } else if args.demo {
        settings.server.listen = "127.0.0.1:0".to_owned();
    }
    let listener = TcpListener::bind(&settings.server.listen).map_err(|why| {
        Trouble(format!(
            "{} cannot be listened on: {why}",
            settings.server.listen
        ))
    })?;
    let wiring = if args.demo {
        let loopback = listener.local_addr().is_ok_and(|at| at.ip().is_loopback());
        if !loopback {
            return Err(Trouble(
                "the demo listens on loopback only, such as --listen 127.0.0.1:8080".to_owned(),
            ));
        }
        demo_start::wire(args.place.data.clone(), args.seed, args.today)?
    } else {
        wire(&settings)?
    };
    let runtime = actix_web::rt::System::new();
    runtime.block_on(serve(wiring, settings, listener))
}

/// What is logged where nothing else is asked for. The web server calls each request that it cannot read an error: whoever sends rubbish would fill
/// the log; the request is answered, and nothing of the gateway's is wrong.
const LOGGED: &str = "info,actix_http::h1::dispatcher=off";

/// Logs go to standard error, so that standard output stays for what programs read.
fn start_log() {
    let filter =
        EnvFilter::try_from_env("CLUTCHLINE_LOG").unwrap_or_else(|_| EnvFilter::new(LOGGED));
    tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .try_init()
        .ok();
}

fn wire(settings: &Settings) -> Result<Wiring, Trouble> {
    if settings.links.is_empty() {
        return Err(Trouble("there is no link in the settings; add one with `clutchline link add north`, or try `clutchline serve --demo`".to_owned()));
    }
    let dir = settings.store.folder.clone();
    let counter = Counter::open(&dir, settings.counter(), Clock::System).map_err(Trouble::of)?;
    let board = Board::default();
    let ways = ways::open(settings, &counter, &board)?;
    ways::look_after(settings, &counter, true);
    Ok(Wiring {
        dir,
        counter,
        doors: settings.doors(),
        handset: None,
        ways,
        board,
        ready: Box::new(|_| None),
        keep: None,
    })
}

async fn serve(wiring: Wiring, settings: Settings, listener: TcpListener) -> Result<(), Trouble> {
    let Wiring {
        dir,
        counter,
        doors,
        handset,
        ways,
        board,
        ready,
        keep,
    } = wiring;
    let draining = Arc::new(Draining::default());
    let metrics = Arc::new(Metrics::of(board.clone()));
    let routes = Routes {
        intake: Arc::new(Intake {
            counter: counter.clone(),
            doors,
            clock: counter.clock().clone(),
            body_bytes_max: settings.server.body_bytes_max,
        }),
        draining: draining.clone(),
        metrics: metrics.clone(),
        console: Some(Arc::new(
            Console::new(
                counter.clone(),
                Clock::System,
                handset.as_ref().map(|_| NOTICE),
            )
            .with_prices(costs::prices(&settings))
            .showing(settings.rows()),
        )),
        handset,
    };
    let address = listener.local_addr().map_err(Trouble::of)?;
    let (server, handle) =
        server::start(routes, listener, settings.sizes()).map_err(Trouble::of)?;
    let metrics_server = own_metrics(&settings, &counter, &metrics)?;
    let door = open_door(&dir, &counter, &board)?;
    let (stop, stopped) = watch::channel(false);
    let running_ways: Vec<_> = ways
        .into_iter()
        .map(|way| tokio::spawn(way.run(stopped.clone())))
        .collect();
    let rounds = tokio::spawn(rounds(counter.clone(), settings, stopped));
    let running = tokio::spawn(server);
    let url = format!("http://{address}");
    if let Some(line) = ready(&url) {
        println!("{line}");
    }
    tracing::info!(%url, "ready");
    let gave_up = tokio::select! {
        told = told_to_stop() => told.map(|()| false)?,
        () = patience::runs_out(&counter) => true,
    };
    if gave_up {
        tracing::error!("the store has failed for a minute; ending, so that it is opened anew");
    }
    tracing::info!("draining");
    draining.begin();
    handle.stop(true).await;
    if let Some(handle) = metrics_server {
        handle.stop(false).await;
    }
    stop.send(true).ok();
    rounds.await.ok();
    for way in running_ways {
        tokio::time::timeout(WAYS_WAIT, way).await.ok();
    }
    running.await.map_err(Trouble::of)?.map_err(Trouble::of)?;
    door.close(&dir);
    counter.close().map_err(Trouble::of)?;
    drop(keep);
    tracing::info!("stopped");
    if gave_up {
        let why = "the store failed for a minute; what the log says of the disk comes first, then start the gateway again";
        return Err(Trouble(why.to_owned()));
    }
    Ok(())
}

fn own_metrics(
    settings: &Settings,
    counter: &Counter,
    metrics: &Arc<Metrics>,
) -> Result<Option<actix_web::dev::ServerHandle>, Trouble> {
    let at = &settings.server.metrics_listen;
    if at.is_empty() {
        return Ok(None);
    }
    let listener = TcpListener::bind(at)
        .map_err(|why| Trouble(format!("{at} cannot be listened on: {why}")))?;
    let (server, handle) =
        server::start_metrics(counter.clone(), metrics.clone(), listener).map_err(Trouble::of)?;
    tokio::spawn(server);
    Ok(Some(handle))
}

/// The side door on a thread of its own.
struct DoorThread {
    closing: Arc<AtomicBool>,
    thread: std::thread::JoinHandle<()>,
}

impl DoorThread {
    fn close(self, dir: &Path) {
        self.closing.store(true, Ordering::SeqCst);
        Door::knock(dir);
        self.thread.join().ok();
    }
}

fn open_door(dir: &Path, counter: &Counter, board: &Board) -> Result<DoorThread, Trouble> {
    let door = Door::open(dir).map_err(|why| {
        Trouble(format!(
            "the side door in {} cannot be opened: {why}; the path may be too long",
            dir.display()
        ))
    })?;
    let closing = Arc::new(AtomicBool::new(false));
    let here = Here {
        counter: counter.clone(),
        board: Some(board.clone()),
    };
    let told = closing.clone();
    let thread = std::thread::Builder::new()
        .name("side door".to_owned())
        .spawn(move || {
            let run =
                |bytes: &[u8], out: &mut dyn std::io::Write| errand::run_bytes(bytes, &here, out);
            if let Err(error) = door.serve(&|| told.load(Ordering::SeqCst), &run) {
                tracing::error!(%error, "the side door failed");
            }
        })
        .map_err(Trouble::of)?;
    Ok(DoorThread { closing, thread })
}

/// Wakes farms that are due, and makes the nightly backup and archive, until told to stop.
async fn rounds(counter: Counter, settings: Settings, mut stop: watch::Receiver<bool>) {
    let mut kept_on = None;
    while !*stop.borrow() {
        let (turn, settings) = (counter.clone(), settings.clone());
        let night = tokio::task::spawn_blocking(move || one_round(&turn, &settings, kept_on)).await;
        kept_on = night.unwrap_or(kept_on);
        // Both ends of the wait are fine: a word to stop, or time for the next round.
        tokio::time::timeout(ROUND_EVERY, stop.changed()).await.ok();
    }
}

/// One round; the day on which the nightly work was last done.
fn one_round(counter: &Counter, settings: &Settings, kept_on: Option<i32>) -> Option<i32> {
    if let Err(error) = counter.tick() {
        tracing::error!(%error, "the farms could not be woken");
    }
    if let Err(error) = follow(counter) {
        tracing::error!(%error, "the pages' rows could not be brought up to the record");
    }
    let now = counter.clock().now();
    let today = now.num_days_from_ce();
    if kept_on == Some(today) || now.hour() != settings.backup.hour {
        return kept_on;
    }
    night::work(counter, settings);
    Some(today)
}

/// Brings the pages' rows nearer to the record, and marks all farms once a day.
fn follow(counter: &Counter) -> Result<(), CounterError> {
    for coop in counter.coops()? {
        counter.mark_for_the_day(coop)?;
        for _ in 0..FOLLOWED_A_ROUND / FOLLOWED_AT_ONCE {
            let before = answered(counter);
            let done = counter.follow(coop, FOLLOWED_AT_ONCE)?;
            if done < FOLLOWED_AT_ONCE || answered(counter) >= before + BUSY_FROM {
                break;
            }
        }
        counter.fill_received(coop, FOLLOWED_A_ROUND)?;
        counter.fill_deeds(coop, DEEDS_A_ROUND)?;
    }
    Ok(())
}

/// Messages answered since the start.
fn answered(counter: &Counter) -> u64 {
    counter.counts().outcomes.values().sum()
}

async fn told_to_stop() -> Result<(), Trouble> {
    let mut terminate = signal(SignalKind::terminate()).map_err(Trouble::of)?;
    let mut interrupt = signal(SignalKind::interrupt()).map_err(Trouble::of)?;
    tokio::select! {
        _ = terminate.recv() => {}
        _ = interrupt.recv() => {}
    }
    Ok(())
}
