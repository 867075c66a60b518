//! What keeping costs: messages a second through the counter, bytes of disk a message, memory, and the time to open.
//!
//! `cargo bench --bench store` (50,000 messages of 1,000 farms), `cargo bench --bench store -- --full` (1,000,000 of 20,000 farms). Every farm sends a
//! line a day, after the day's round has woken it and dropped old redelivery keys. The figures in `docs/store.md` are this bench's.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed bench"
)]

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::Role;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{CoopId, Inbound, LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use std::fs;
use std::path::Path;
use std::time::Instant;

const COOP: CoopId = CoopId(1);

fn main() {
    let full = std::env::args().any(|arg| arg == "--full");
    let (farms, days) = if full { (20_000, 50) } else { (1_000, 50) };
    let dir = tempfile::tempdir().unwrap();
    // 20:00 at the farms: nothing is due that day any more.
    let clock = Clock::standing("2026-01-05T17:00:00Z".parse().unwrap());
    let settings = Settings {
        flood: None,
        ..Settings::default()
    };
    let counter = Counter::open(dir.path(), settings.clone(), clock.clone()).unwrap();
    found(&counter, farms);
    let messages = send(&counter, &clock, farms, days);
    let commits = counter.counts().commits;
    println!("commits so far: {commits}");
    let disk = counter.size_on_disk().unwrap();
    println!(
        "disk: {:.0} MB, {:.0} bytes a message",
        megabytes(disk),
        disk as f64 / messages as f64
    );
    counter.close().unwrap();

    let opening = Instant::now();
    let counter = Counter::open(dir.path(), settings, clock).unwrap();
    let opened = opening.elapsed().as_secs_f64();
    println!("opening {messages} messages: {opened:.2} s");
    counter.close().unwrap();
    archived(dir.path(), messages);
}

/// The same folder after its messages went to the archive and the slack with them.
fn archived(dir: &Path, messages: usize) {
    let clock = Clock::standing("2027-01-05T17:00:00Z".parse().unwrap());
    let counter = Counter::open(dir, Settings::default(), clock.clone()).unwrap();
    let before = clock.now() - Duration::days(90);
    let (file, moved) = counter
        .archive(&dir.join("archive"), before)
        .unwrap()
        .unwrap();
    let size = fs::metadata(file).unwrap().len();
    println!(
        "archive: {moved} messages in {:.1} MB, {:.0} bytes a message",
        megabytes(size),
        size as f64 / messages as f64
    );
    counter.close().unwrap();
    let (before, after) = clutchline::counter::keeping::compact(dir).unwrap();
    let opening = Instant::now();
    let counter = Counter::open(dir, Settings::default(), clock).unwrap();
    println!(
        "compacted: {:.0} MB to {:.0} MB; opening then: {:.2} s",
        megabytes(before),
        megabytes(after),
        opening.elapsed().as_secs_f64()
    );
    counter.close().unwrap();
}

fn phone(farm: usize) -> PhoneNumber {
    PhoneNumber::new(&format!("+25570{farm:07}")).unwrap()
}

fn found(counter: &Counter, farms: usize) {
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let rules = Box::new(rules);
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    let first = OfficeRequest::AddMember {
        coop: COOP,
        number: None,
        name: "Asha".to_owned(),
        lang: Lang::EN,
        role: Role::Keeper,
        ward: None,
        phones: vec![phone(0)],
    };
    counter.office(first).unwrap();
    let now = counter.clock().now();
    let joins = (1..farms).map(|farm| text(farm, "join ZIWANI Asha".to_owned(), now));
    counter.take_many(COOP, joins.collect()).unwrap();
    // Ids are made of the time.
    let now = now - Duration::minutes(1);
    let stocks = (0..farms).map(|farm| text(farm, "C4 stock 8000 1/1".to_owned(), now));
    let receipts = counter.take_many(COOP, stocks.collect()).unwrap();
    let other = receipts.iter().find(|r| r.outcome != Outcome::Saved);
    assert!(other.is_none(), "{other:?}");
}

fn text(farm: usize, text: String, at: DateTime<Utc>) -> Inbound {
    Inbound {
        link: LinkName("web".to_owned()),
        id: Some(format!("{}-{farm:06}", at.timestamp())),
        from: phone(farm),
        to: Some("40123".to_owned()),
        text,
        sent_at: at,
        sent_at_known: true,
        received_at: at,
    }
}

/// A line a farm and day; how many messages in all.
fn send(counter: &Counter, clock: &Clock, farms: usize, days: usize) -> usize {
    let mut slowest = f64::INFINITY;
    for day in 1..=days {
        clock.advance(Duration::days(1));
        let now = clock.now();
        let started = Instant::now();
        let woken = counter.tick().unwrap();
        let round = started.elapsed().as_secs_f64();
        let lines = (0..farms).map(|farm| {
            // Nothing before the eggs come, so that no line is held by a question.
            let line = if (8..30).contains(&day) {
                format!("C4 {}.{} water", farm % 7 + 2, day % 10)
            } else {
                "C4 water bait".to_owned()
            };
            text(farm, line, now)
        });
        let lines: Vec<Inbound> = lines.collect();
        let started = Instant::now();
        let receipts = counter.take_many(COOP, lines).unwrap();
        let rate = farms as f64 / started.elapsed().as_secs_f64();
        slowest = slowest.min(rate);
        let saved = receipts
            .iter()
            .filter(|r| r.outcome == Outcome::Saved)
            .count();
        if day % 10 == 0 {
            println!(
                "day {day}: {rate:.0} messages a second, {saved} of {farms} saved, {woken} farms woken in {round:.1} s, resident {:.0} MB",
                resident()
            );
        }
    }
    println!("slowest day: {slowest:.0} messages a second");
    farms * days
}

fn megabytes(bytes: u64) -> f64 {
    bytes as f64 / 1e6
}

/// Resident memory of this process in MB, by Linux's own account.
fn resident() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    line.and_then(|line| line.split_whitespace().nth(1))
        .and_then(|kb| kb.parse::<f64>().ok())
        .map_or(0.0, |kb| kb / 1e3)
}
