//! Durable ingest over HTTP: the real gateway beside a bare web handler that commits the same bytes to the same database with the same grouping.
//!
//! `cargo bench --bench http` (a minute), `cargo bench --bench http -- --full` (100,000 farms, several minutes). Both servers are processes of
//! their own; the load comes from this one, 256 connections kept open, one message at a time on each. Ratios count; absolute figures are the machine's.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed bench"
)]

#[path = "http/bare.rs"]
mod bare;
#[path = "http/load.rs"]
mod load;

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::message::{CoopId, Inbound, LinkName};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};

const CONNECTIONS: usize = 256;
const SECRET: &str = "bench-secret-of-some-length";

/// How much is done.
#[derive(Clone, Copy)]
struct Size {
    farms: usize,
    messages: usize,
}

fn main() {
    if let Ok(what) = std::env::var("CLUTCHLINE_BENCH_BARE") {
        return bare::serve(&what);
    }
    let full = std::env::args().any(|arg| arg == "--full");
    let size = if full {
        Size {
            farms: 100_000,
            messages: 200_000,
        }
    } else {
        Size {
            farms: 5_000,
            messages: 40_000,
        }
    };
    let dir = tempfile::tempdir().unwrap();
    let now: DateTime<Utc> = Clock::System.now();
    fill(&dir.path().join("data"), size.farms, now);
    let requests: Vec<Vec<u8>> = (0..size.messages)
        .map(|i| request(i, size.farms, now))
        .collect();
    let store = dir.path().join("data/store");
    let before = bare::lengths(&store);
    let gateway = run_gateway(dir.path(), &requests);
    let shape = bare::shape(&store, &before, [size.farms, size.messages]);
    let bare = run_bare(dir.path(), size.farms, &shape, &requests);
    println!("farms in the store          {:>10}", size.farms);
    println!(
        "messages, connections       {:>10} {CONNECTIONS}",
        size.messages
    );
    println!(
        "record bytes a message      {:>10} in {} records",
        shape.bytes(),
        shape.records()
    );
    println!(
        "group size                  {:>10.0} gateway, {:.0} bare",
        gateway.group, bare.group
    );
    println!(
        "gateway, messages a second  {:>10.0}   p50 {:.0} ms  p99 {:.0} ms  resident {} MB",
        gateway.rate, gateway.p50_ms, gateway.p99_ms, gateway.resident_mb
    );
    println!(
        "bare,    messages a second  {:>10.0}   p50 {:.0} ms  p99 {:.0} ms  resident {} MB",
        bare.rate, bare.p50_ms, bare.p99_ms, bare.resident_mb
    );
    println!(
        "processor time a message    {:>10.0} us gateway, {:.0} us bare",
        gateway.busy_us, bare.busy_us
    );
    println!(
        "ratio gateway / bare        {:>10.2}   (wanted: at least 0.6)",
        gateway.rate / bare.rate
    );
}

struct Ran {
    rate: f64,
    p50_ms: f64,
    p99_ms: f64,
    resident_mb: u64,
    group: f64,
    /// Processor time of the server, all threads, for each message.
    busy_us: f64,
}

fn phone(farm: usize) -> String {
    format!("+2557{farm:08}")
}

/// A cooperative whose farms each stocked two cages twenty days ago.
fn fill(dir: &Path, farms: usize, now: DateTime<Utc>) {
    let settings = Settings {
        oldest_sent_at: None,
        flood: None,
        ..Settings::default()
    };
    let counter = Counter::open(dir, settings, Clock::System).unwrap();
    let coop = CoopId(1);
    let rules = Box::new(Rules::new("Bench", "BENCH", "Africa/Dar_es_Salaam"));
    counter
        .office(OfficeRequest::Found { coop, rules })
        .unwrap();
    let then = now - Duration::days(20);
    let line = |farm: usize, text: &str, later: i64| Inbound {
        link: LinkName("fill".to_owned()),
        id: None,
        from: PhoneNumber::new(&phone(farm)).unwrap(),
        to: None,
        text: text.to_owned(),
        sent_at: then + Duration::seconds(later),
        sent_at_known: true,
        received_at: then,
    };
    for some in (0..farms).collect::<Vec<_>>().chunks(5_000) {
        let lines = some.iter().flat_map(|farm| {
            [
                line(*farm, "join BENCH Asha", 0),
                line(*farm, "C1 stock 8000", 1),
                line(*farm, "C2 stock 8000", 2),
            ]
        });
        counter.take_many(coop, lines.collect()).unwrap();
    }
    counter.close().unwrap();
}

/// Message `i`: farm after farm, each farm's next on its next day, two cages a line.
fn request(i: usize, farms: usize, now: DateTime<Utc>) -> Vec<u8> {
    let (farm, round) = (i % farms, i / farms);
    let back = 9 - i64::try_from(round % 9).unwrap();
    let sent_at = now - Duration::days(back) + Duration::seconds(i64::try_from(round / 9).unwrap());
    let grams = 3 + (farm + round) % 3;
    let body = format!(
        "{{\"id\":\"b-{i}\",\"from\":\"{}\",\"to\":\"40123\",\"text\":\"C1 {grams}.5 bait C2 {grams} water\",\"sent_at\":\"{}\"}}",
        phone(farm),
        sent_at.format("%Y-%m-%dT%H:%M:%SZ")
    );
    load::post("/in/bench", SECRET, &body)
}

fn run_gateway(dir: &Path, requests: &[Vec<u8>]) -> Ran {
    let config = dir.join("clutchline.toml");
    let folder = dir.join("data");
    let text = format!(
        "[store]\nfolder = \"{}\"\n[server]\nlisten = \"127.0.0.1:18931\"\n[inbound]\nsent_at_hours_max = 2000\n[flood]\nmessages = 0\n[links.bench]\nkind = \"http\"\ncoop = 1\nsecret = \"{SECRET}\"\n",
        folder.display()
    );
    fs::write(&config, text).unwrap();
    let child = Command::new(env!("CARGO_BIN_EXE_clutchline"))
        .args(["serve", "--config"])
        .arg(&config)
        .env("CLUTCHLINE_LOG", "warn")
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    measure(child, "127.0.0.1:18931", requests, |metrics| {
        let line = metrics
            .lines()
            .find(|line| line.starts_with("clutchline_commits_total"))
            .unwrap();
        line.rsplit(' ').next().unwrap().parse().unwrap()
    })
}

fn run_bare(dir: &Path, farms: usize, shape: &bare::Shape, requests: &[Vec<u8>]) -> Ran {
    let what = format!(
        "{}|{farms}|{}",
        dir.join("bare").display(),
        serde_json::to_string(shape).unwrap()
    );
    let child = Command::new(std::env::current_exe().unwrap())
        .env("CLUTCHLINE_BENCH_BARE", what)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    measure(child, bare::ADDRESS, requests, |metrics| {
        metrics.trim().parse().unwrap()
    })
}

fn measure(
    mut child: Child,
    address: &str,
    requests: &[Vec<u8>],
    commits: impl Fn(&str) -> f64,
) -> Ran {
    load::wait_for(address);
    let before = commits(&load::get(address, "/metrics"));
    let busy = busy_us(child.id());
    let mut done = load::run(address, CONNECTIONS, requests);
    let busy = busy_us(child.id()) - busy;
    let commits = commits(&load::get(address, "/metrics")) - before;
    let resident_mb = resident_mb(child.id());
    child.kill().unwrap();
    child.wait().unwrap();
    done.waits_ms.sort_by(f64::total_cmp);
    let at = |share: f64| done.waits_ms[((done.waits_ms.len() - 1) as f64 * share) as usize];
    Ran {
        rate: requests.len() as f64 / done.seconds,
        p50_ms: at(0.5),
        p99_ms: at(0.99),
        resident_mb,
        group: requests.len() as f64 / commits.max(1.0),
        busy_us: busy / requests.len() as f64,
    }
}

/// Time that a process has run so far, in user mode and in the kernel: fields 14 and 15 of its `stat`, in hundredths of a second (proc(5)).
fn busy_us(process: u32) -> f64 {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).unwrap();
    let (_, fields) = stat.rsplit_once(')').unwrap();
    let ticks = fields.split_whitespace().skip(11).take(2);
    ticks.map(|ticks| ticks.parse::<f64>().unwrap() * 1e4).sum()
}

fn resident_mb(process: u32) -> u64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    let line = status
        .lines()
        .find(|line| line.starts_with("VmRSS"))
        .unwrap();
    line.split_whitespace()
        .nth(1)
        .unwrap()
        .parse::<u64>()
        .unwrap()
        / 1024
}
