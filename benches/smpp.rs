//! SMPP over loopback: durable `deliver_sm_resp` and `submit_sm` by the outbox, beside a client that stores nothing, with the same message centre.
//!
//! `cargo bench --bench smpp`: one run of everything. The centre keeps 64 messages unanswered, whoever the client is. Ratios count; absolute figures
//! are the machine's.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed bench"
)]

#[path = "smpp/bare.rs"]
mod bare;
#[path = "smpp/foreign.rs"]
mod foreign;
#[path = "smpp/load.rs"]
mod load;

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::config::Link;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::UssdProfile;
use clutchline::counter::settings::{LinkRule, ReplyBy, Settings};
use clutchline::domain::message::{CoopId, Inbound, LinkName};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::links::board::{Board, LinkKind};
use clutchline::links::smpp::driver::{Driver, Parts};
use clutchline::links::smpp::transport::Transport;
use foreign::{Foreign, Maker};
use load::Centre;
use std::path::Path;
use tokio::runtime::Runtime;
use tokio::sync::watch;

/// The same as the binary's, for both clients.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const WINDOW: usize = 64;
const MESSAGES: usize = 8_000;
const COOP: CoopId = CoopId(1);
/// What the issue of a comparison is: the share of a bare client's rate that durable work must reach.
const WANTED: f64 = 0.6;

fn main() {
    let dir = tempfile::tempdir().unwrap();
    fill(dir.path(), Clock::System.now());
    let texts: Vec<(String, String)> = (0..MESSAGES)
        .map(|i| (phone(i), "C1 4.5 bait C2 5 water".to_owned()))
        .collect();
    let bare_in = (0..3).map(|_| bare::receives(&texts)).fold(0.0, f64::max);
    let bare_out = (0..3).map(|_| bare::sends(MESSAGES)).fold(0.0, f64::max);
    // Answers wait in the outbox meanwhile: the link lets nearly none out.
    let ours_in = with_gateway(dir.path(), 0.001, |centre| centre.delivers(&texts));
    let ours_out = with_gateway(dir.path(), 10_000.0, |centre| centre.takes(MESSAGES - 1));
    println!("messages, window                      {MESSAGES:>10} {WINDOW}");
    let row = |whose: &str, what: &str, bare: f64, ours: f64| {
        println!(
            "{whose:>4} centre: {what}, a second {ours:>8.0}   bare {bare:>8.0}   ratio {:.2} (wanted: at least {WANTED})",
            ours / bare
        );
    };
    row("own", DELIVERED, bare_in, ours_in);
    row("own", SUBMITTED, bare_out, ours_out);
    for (maker, nth) in [(Maker::Npm, 1), (Maker::Pypi, 2)] {
        let Some([bare_in, ours_in, bare_out, ours_out]) = against(maker, dir.path(), nth) else {
            continue;
        };
        row(maker.name(), DELIVERED, bare_in, ours_in);
        row(maker.name(), SUBMITTED, bare_out, ours_out);
    }
}

const DELIVERED: &str = "deliver_sm to durable answer";
const SUBMITTED: &str = "submit_sm from the outbox   ";

/// Seconds of processor time of this process so far, user and system, in ticks of a hundredth (proc_pid_stat(5), fields 14 and 15).
fn spent() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap();
    let (_, fields) = stat.rsplit_once(')').unwrap();
    let ticks = fields.split_whitespace().skip(11).take(2);
    ticks
        .map(|field| field.parse::<f64>().unwrap())
        .sum::<f64>()
        / 100.0
}

fn phone(farm: usize) -> String {
    format!("2557{farm:08}")
}

fn open(dir: &Path) -> Counter {
    let rule = LinkRule {
        reply: ReplyBy::Send,
        flood: false,
        ussd: UssdProfile::default(),
    };
    let settings = Settings {
        oldest_sent_at: None,
        flood: None,
        links: [(LinkName("north".to_owned()), rule)].into(),
        ..Settings::default()
    };
    Counter::open(dir, settings, Clock::System).unwrap()
}

/// A farm for each message of the three centres, two cages each, stocked twenty days ago.
fn fill(dir: &Path, now: DateTime<Utc>) {
    let counter = open(dir);
    let rules = Box::new(Rules::new("Bench", "BENCH", "Africa/Dar_es_Salaam"));
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    let then = now - Duration::days(20);
    let line = |farm: usize, text: &str, later: i64| Inbound {
        link: LinkName("north".to_owned()),
        id: None,
        from: PhoneNumber::new(&format!("+{}", phone(farm))).unwrap(),
        to: None,
        text: text.to_owned(),
        sent_at: then + Duration::seconds(later),
        sent_at_known: true,
        received_at: then,
    };
    for some in (0..3 * MESSAGES).collect::<Vec<_>>().chunks(2_000) {
        let lines = some.iter().flat_map(|farm| {
            [
                line(*farm, "join BENCH Asha", 0),
                line(*farm, "C1 stock 8000", 1),
                line(*farm, "C2 stock 8000", 2),
            ]
        });
        counter.take_many(COOP, lines.collect()).unwrap();
    }
    counter.close().unwrap();
}

/// The same against a centre that is not ours: bare in, ours in, bare out, ours out. Its farms are the `nth` after the bench's own.
fn against(maker: Maker, dir: &Path, nth: usize) -> Option<[f64; 4]> {
    let mut centre = Foreign::start(maker, "delivers", MESSAGES, 0)?;
    let client = bare::against_address(centre.address, 0);
    let bare_in = centre.rate();
    drop(centre);
    client.join().unwrap();
    let mut centre = Foreign::start(maker, "delivers", MESSAGES, nth * MESSAGES)?;
    let ours_in = run_gateway(dir, centre.address.to_string(), 0.001, || centre.rate());
    let mut centre = Foreign::start(maker, "takes", MESSAGES, 0)?;
    let client = bare::against_address(centre.address, MESSAGES);
    let bare_out = centre.rate();
    drop(centre);
    client.join().unwrap();
    let mut centre = Foreign::start(maker, "takes", MESSAGES - 1, 0)?;
    let ours_out = run_gateway(dir, centre.address.to_string(), 10_000.0, || centre.rate());
    Some([bare_in, ours_in, bare_out, ours_out])
}

/// The real driver and counter in front of the bench's own centre.
fn with_gateway(dir: &Path, per_second: f64, measure: impl FnOnce(&mut Centre) -> f64) -> f64 {
    let door = load::door();
    let address = door.local_addr().unwrap().to_string();
    run_gateway(dir, address, per_second, move || {
        let mut centre = Centre::accept(&door);
        let rate = measure(&mut centre);
        std::thread::spawn(move || centre.lets_go());
        rate
    })
}

/// The real driver and counter in front of a centre; what `measure` says.
fn run_gateway(dir: &Path, address: String, per_second: f64, measure: impl FnOnce() -> f64) -> f64 {
    let counter = open(dir);
    let mut link = Link {
        kind: "smpp".to_owned(),
        country: "255".to_owned(),
        rate_per_second: per_second,
        ..Link::default()
    };
    link.smpp.address = address.clone();
    link.smpp.system_id = "bench".to_owned();
    link.smpp.window = WINDOW;
    let name = LinkName("north".to_owned());
    let parts = Parts {
        seat: Board::default().seat(&name, LinkKind::Smpp, Clock::System.now()),
        profile: link.smpp.profile(&link).unwrap(),
        transport: Transport::new(&address, None, "").unwrap(),
        counter: counter.clone(),
        coop: COOP,
        menu: None,
        seed: 1,
    };
    let driver = Driver::new(parts, &dir.join("links")).unwrap();
    let runtime = Runtime::new().unwrap();
    let (stop, stopped) = watch::channel(false);
    let running = runtime.spawn(driver.run(stopped));
    let before = spent();
    let rate = measure();
    println!(
        "    (processor time of all threads: {:.0} us a message)",
        (spent() - before) * 1e6 / MESSAGES as f64
    );
    stop.send(true).unwrap();
    runtime.block_on(running).unwrap();
    counter.close().unwrap();
    rate
}
