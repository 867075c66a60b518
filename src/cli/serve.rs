//! `serve`: opens the folder, binds, says that it is ready, and stays until it is told to stop.

use crate::cli::Failure;
use crate::cli::gateway::{Gateway, until_stopped};
use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::settings::{LinkRule, ReplyBy, Settings, Wakeups};
use crate::demo::NOTICE;
use crate::demo::cast;
use crate::demo::seed::{self, Keys};
use crate::domain::message::LinkName;
use crate::units::day::{FarmDay, local_hour};
use crate::web::gate::{Door, Doors};
use crate::web::server::Sizes;
use std::io::Write;
use std::net::TcpListener;
use std::path::{Path, PathBuf};

/// The demo's local hour where its day is given: the day's work is done and entered.
const EVENING: u32 = 20;
/// The manager of the invented cooperative.
const CONSOLE_USER: &str = "manager";
/// Longest request body, as the settings have it where nothing is set.
const BODY_BYTES_MAX: usize = 16 * 1024;

/// `serve`'s words.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// An invented cooperative, on loopback, in a folder of its own.
    #[arg(long)]
    demo: bool,
    /// The data folder; the demo takes a temporary one where none is given.
    #[arg(long)]
    data: Option<PathBuf>,
    /// Where to listen; port 0 takes a free one.
    #[arg(long)]
    listen: Option<String>,
    /// Another seed, another history (demo only).
    #[arg(long, default_value_t = 1, requires = "demo")]
    seed: u64,
    /// The demo's day, such as 2026-03-10; its clock then stands at 20:00 local.
    #[arg(long, requires = "demo")]
    today: Option<FarmDay>,
}

/// Carries it out.
///
/// # Errors
/// In words for the operator.
pub fn run(args: Args) -> Result<(), Failure> {
    demo(&args)
}

fn demo(args: &Args) -> Result<(), Failure> {
    let listen = args.listen.as_deref().unwrap_or("127.0.0.1:0");
    let listener = bind(listen)?;
    // Lives as long as the demo, and is removed with it.
    let mut temporary = None;
    let dir = match &args.data {
        Some(dir) => dir.clone(),
        None => temporary
            .insert(
                tempfile::Builder::new()
                    .prefix("clutchline-demo-")
                    .tempdir()?,
            )
            .path()
            .to_owned(),
    };
    let clock = match args.today {
        Some(today) => Clock::standing(local_hour(today, EVENING, cast::ZONE)),
        None => Clock::movable(),
    };
    let counter = Counter::open(&dir, demo_settings(), clock.clone())?;
    let keys = filled(&counter, &clock, &dir, args.seed)?;
    let gateway = Gateway {
        counter: counter.clone(),
        clock,
        doors: Doors::new(vec![Door::new(seed::LINK, seed::COOP, "255", &keys.secret)]),
        handset: None,
        sizes: Sizes::default(),
        body_bytes_max: BODY_BYTES_MAX,
    };
    let url = format!("http://{}", listener.local_addr()?);
    let ready = serde_json::json!({
        "ready": true,
        "url": url,
        "link": seed::LINK,
        "secret": keys.secret,
        "join_code": cast::JOIN_CODE,
        "officer_from": cast::number(cast::OFFICER).full(),
        "console_user": CONSOLE_USER,
        "console_password": keys.console_password,
    });
    eprintln!("{NOTICE}");
    until_stopped(gateway, listener, move || {
        let mut out = std::io::stdout().lock();
        writeln!(out, "{ready}")?;
        out.flush()
    })?;
    drop(temporary);
    Ok(())
}

/// The keys of a folder that was filled, or of one that now is.
fn filled(counter: &Counter, clock: &Clock, dir: &Path, seed: u64) -> Result<Keys, Failure> {
    if let Some(keys) = Keys::of(dir)? {
        return Ok(keys);
    }
    let keys = Keys::draw()?;
    let messages = seed::fill(counter, clock, seed)?;
    keys.mark(dir)?;
    tracing::info!(messages, "the invented history went through the engine");
    Ok(keys)
}

/// The demo believes any moment up to its now, knows no flood, and wakes a farm up to its latest message.
fn demo_settings() -> Settings {
    let link = LinkName(seed::LINK.to_owned());
    let rule = LinkRule {
        reply: ReplyBy::Response,
        flood: false,
    };
    Settings {
        oldest_sent_at: None,
        flood: None,
        links: [(link.clone(), rule)].into(),
        default_link: Some(link),
        wakeups: Wakeups::ToLatestMessage,
        ..Settings::default()
    }
}

fn bind(address: &str) -> Result<TcpListener, Failure> {
    TcpListener::bind(address).map_err(|why| {
        format!("cannot listen on {address}: {why}; expected an address and a port, such as 127.0.0.1:8080")
            .into()
    })
}
