//! `serve`: opens the folder, binds, says that it is ready, and stays until it is told to stop.

use crate::cli::Failure;
use crate::cli::demo;
use crate::cli::fitting::{counter_settings, doors, senders, sizes};
use crate::cli::gateway::{Gateway, Nightly, until_stopped};
use crate::cli::place::Place;
use crate::clock::Clock;
use crate::counter::Counter;
use crate::units::day::FarmDay;
use std::net::TcpListener;

/// `serve`'s words.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub(crate) place: Place,
    /// An invented cooperative to try the gateway with, in a temporary folder or that of --data.
    #[arg(long)]
    pub(crate) demo: bool,
    /// Where to listen instead of `server.listen`; port 0 takes a free one.
    #[arg(long, value_name = "ADDRESS")]
    pub(crate) listen: Option<String>,
    /// Another seed, another history (demo only).
    #[arg(long, default_value_t = 1, requires = "demo")]
    pub(crate) seed: u64,
    /// The demo's day, such as 2026-03-10; its clock then stands at 20:00 local time.
    #[arg(long, requires = "demo", value_name = "DAY")]
    pub(crate) today: Option<FarmDay>,
    /// Show the effective settings, secrets masked, and stop.
    #[arg(long, conflicts_with = "demo")]
    print_config: bool,
}

/// Carries it out.
///
/// # Errors
/// In words for the operator.
pub fn run(args: &Args) -> Result<(), Failure> {
    if args.demo {
        return demo::run(args);
    }
    let mut settings = args.place.settings()?;
    if let Some(listen) = &args.listen {
        settings.server.listen.clone_from(listen);
    }
    if args.print_config {
        print!("{}", settings.shown());
        return Ok(());
    }
    let listener = bind(&settings.server.listen)?;
    let metrics = match settings.server.metrics_listen.as_str() {
        "" => None,
        address => Some(bind(address)?),
    };
    let dir = settings.store.folder.clone();
    let counter = Counter::open(&dir, counter_settings(&settings), Clock::System)?;
    if settings.links.is_empty() {
        tracing::warn!("no link is set: no message can come in; add one with `link add`");
    }
    let address = listener.local_addr()?;
    let gateway = Gateway {
        nightly: Nightly::of(&settings),
        dir,
        senders: senders(&settings, &counter, &Clock::System)?,
        counter,
        clock: Clock::System,
        doors: doors(&settings),
        handset: None,
        sizes: sizes(&settings),
        body_bytes_max: settings.server.body_bytes_max,
        metrics,
    };
    until_stopped(gateway, listener, move || {
        tracing::info!(%address, "ready");
        Ok(())
    })
}

/// Takes an address.
///
/// # Errors
/// Says what was expected.
pub fn bind(address: &str) -> Result<TcpListener, Failure> {
    TcpListener::bind(address).map_err(|why| {
        format!("cannot listen on {address}: {why}; expected an address and a free port, such as 127.0.0.1:8080")
            .into()
    })
}
