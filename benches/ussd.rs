//! Screens under load: 500 USSD sessions at once over HTTP, each step on disk before its screen leaves.
//!
//! `cargo bench --bench ussd` (half a minute). Every session weighs two cages, with a second between a screen and the next key, which is quicker
//! than people are; then the same without any pause, where the 500 wait for each other. Wanted: 50 ms at the 99th percentile of the first.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed bench"
)]

#[path = "http/load.rs"]
#[expect(dead_code, reason = "the other bench uses the rest")]
mod load;

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::message::{CoopId, Inbound, LinkName};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration as Pause, Instant};
use tokio::io::{AsyncReadExt, AsyncWriteExt};

const SESSIONS: usize = 500;
const SECRET: &str = "bench-secret-of-some-length";
const ADDRESS: &str = "127.0.0.1:18941";
/// Eggs, a weight, yes, the next weight, yes.
const KEYS: [&str; 6] = ["", "1", "4.5", "1", "5.5", "1"];

fn main() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("data");
    fill(&folder, Clock::System.now());
    let config = dir.path().join("clutchline.toml");
    let text = format!(
        "[store]\nfolder = \"{}\"\n[server]\nlisten = \"{ADDRESS}\"\n[flood]\nmessages = 0\n[links.bench]\nkind = \"http\"\ncoop = 1\nsecret = \"{SECRET}\"\n",
        folder.display()
    );
    std::fs::write(&config, text).unwrap();
    let mut gateway = Command::new(env!("CARGO_BIN_EXE_clutchline"))
        .args(["serve", "--config"])
        .arg(&config)
        .env("CLUTCHLINE_LOG", "warn")
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    load::wait_for(ADDRESS);
    for (name, pause) in [("a second between", 1_000), ("no pause", 0)] {
        let (rate, waits) = run(name, Pause::from_millis(pause));
        let at = |share: f64| waits[((waits.len() - 1) as f64 * share) as usize];
        println!(
            "{name:<17} {SESSIONS} sessions, {rate:>6.0} steps a second, p50 {:>5.1} ms, p99 {:>5.1} ms",
            at(0.5),
            at(0.99)
        );
    }
    println!("wanted            50 ms at p99 with a second between");
    gateway.kill().unwrap();
    gateway.wait().unwrap();
}

fn phone(farm: usize) -> String {
    format!("+2557{farm:08}")
}

/// A farm for each phone: two laying cages.
fn fill(dir: &Path, now: DateTime<Utc>) {
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
    let mut lines = Vec::new();
    for farm in 0..SESSIONS {
        for (back, text) in [
            (20, "join BENCH Asha"),
            (20, "C1 stock 8000"),
            (20, "C2 stock 8000"),
            (2, "C1 4.2 C2 5.1"),
        ] {
            let at = now - Duration::days(back);
            lines.push(Inbound {
                link: LinkName("fill".to_owned()),
                id: None,
                from: PhoneNumber::new(&phone(farm)).unwrap(),
                to: None,
                text: text.to_owned(),
                sent_at: at,
                sent_at_known: true,
                received_at: at,
            });
        }
    }
    counter.take_many(coop, lines).unwrap();
    counter.close().unwrap();
}

/// All sessions at once; steps a second, and the waits in order.
fn run(name: &str, pause: Pause) -> (f64, Vec<f64>) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let started = Instant::now();
    let waits = runtime.block_on(async {
        let all = (0..SESSIONS).map(|farm| session(name, farm, pause));
        futures_util::future::join_all(all).await
    });
    let mut waits = waits.concat();
    let rate = waits.len() as f64 / started.elapsed().as_secs_f64();
    waits.sort_by(f64::total_cmp);
    (rate, waits)
}

async fn session(name: &str, farm: usize, pause: Pause) -> Vec<f64> {
    // People do not dial in step.
    tokio::time::sleep(pause.mul_f64(farm as f64 / SESSIONS as f64)).await;
    let mut stream = tokio::net::TcpStream::connect(ADDRESS).await.unwrap();
    stream.set_nodelay(true).unwrap();
    let mut waits = Vec::new();
    for key in KEYS {
        let body = format!(
            "{{\"session\":\"{name} {farm}\",\"from\":\"{}\",\"code\":\"*40123#\",\"input\":\"{key}\",\"final\":false}}",
            phone(farm)
        );
        let sent = Instant::now();
        stream
            .write_all(&load::post("/ussd/bench", SECRET, &body))
            .await
            .unwrap();
        let mut answer = Vec::with_capacity(1024);
        while !answer.ends_with(b"}") {
            let read = stream.read_buf(&mut answer).await.unwrap();
            assert!(read > 0, "the server hung up");
        }
        assert!(
            answer.starts_with(b"HTTP/1.1 200"),
            "{}",
            String::from_utf8_lossy(&answer)
        );
        waits.push(sent.elapsed().as_secs_f64() * 1000.0);
        tokio::time::sleep(pause).await;
    }
    waits
}
