//! Five times more than the gateway can take: it says so, takes what it can, does not grow, and goes on when it is over.
//!
//! Paced without a clock: whoever offers five messages for each that was taken offers five times what is taken, however fast that is. The long
//! run of a release is OVERLOAD_MINUTES=10 cargo test --release --test overload five -- --nocapture
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "overload/http.rs"]
mod http;

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::{OfficeRequest, TakeError};
use clutchline::counter::settings::UssdProfile;
use clutchline::counter::settings::{LinkRule, ReplyBy, Settings};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{CoopId, Inbound, LinkName, MessageNo, Outbound};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::{MemberNo, Role};
use clutchline::store::memory::MemoryDisk;
use clutchline::store::outbox::{Abandoned, Urgency};
use clutchline::store::step::{Outgoing, Step};
use clutchline::store::{Sizes, Store};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;
use tempfile::TempDir;

const COOP: CoopId = CoopId(1);
const FARMS: u64 = 200;
/// Offered for each message taken.
const TIMES: u64 = 5;
/// Taken in the short run: some seconds on a slow machine.
const TAKEN_SHORT: u64 = 12_000;
/// The queue of the counter; with it full, what is offered beyond is refused.
const QUEUE: u64 = 1_536;
/// Memory may move by this much once everything is warm: the database's cache and the allocator's slack.
const SLACK_MB: u64 = 96;

fn start() -> DateTime<Utc> {
    "2026-03-10T05:10:00Z".parse().unwrap()
}

fn link() -> LinkName {
    LinkName("north".to_owned())
}

fn phone(farm: u64) -> PhoneNumber {
    PhoneNumber::new(&format!("+2557000{farm:05}")).unwrap()
}

fn founded(dir: &TempDir, clock: &Clock) -> Counter {
    let rule = LinkRule {
        reply: ReplyBy::Response,
        flood: false,
        ussd: UssdProfile::default(),
    };
    let settings = Settings {
        links: [(link(), rule)].into(),
        cache_bytes: std::env::var("OVERLOAD_CACHE_MB")
            .ok()
            .map_or(16, |n| n.parse().unwrap())
            * 1024
            * 1024,
        ..Settings::default()
    };
    let counter = Counter::open(dir.path(), settings, clock.clone()).unwrap();
    people(&counter, clock.now());
    counter
}

/// A cooperative whose farms have stocked one cage.
fn people(counter: &Counter, stocked: DateTime<Utc>) {
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let rules = Box::new(rules);
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    for farm in 0..FARMS {
        counter
            .office(OfficeRequest::AddMember {
                coop: COOP,
                number: None,
                name: "Asha".to_owned(),
                lang: Lang::EN,
                role: Role::Keeper,
                ward: None,
                phones: vec![phone(farm)],
            })
            .unwrap();
    }
    let stocked = Clock::standing(stocked);
    let stock = |farm| inbound(&stocked, farm, 0, "C1 stock 8000");
    counter
        .take_many(COOP, (0..FARMS).map(stock).collect())
        .unwrap();
}

fn inbound(clock: &Clock, farm: u64, no: u64, text: &str) -> Inbound {
    let now = clock.now();
    Inbound {
        link: link(),
        id: Some(format!("o-{farm}-{no}")),
        from: phone(farm),
        to: None,
        text: text.to_owned(),
        sent_at: now,
        sent_at_known: true,
        received_at: now,
    }
}

/// What became of the messages offered.
#[derive(Default)]
struct Fates {
    taken: AtomicU64,
    busy: AtomicU64,
    wrong: AtomicU64,
}

impl Fates {
    fn of(&self) -> [u64; 3] {
        [&self.taken, &self.busy, &self.wrong].map(|count| count.load(Ordering::SeqCst))
    }
}

fn offer(counter: &Counter, fates: &Arc<Fates>, inbound: Inbound) {
    let fates = Arc::clone(fates);
    let done = move |fate: Result<_, TakeError>| {
        let count = match fate {
            Ok(_) => &fates.taken,
            Err(TakeError::Busy { retry_after_s }) if retry_after_s > 0 => &fates.busy,
            Err(_) => &fates.wrong,
        };
        count.fetch_add(1, Ordering::SeqCst);
    };
    counter.submit(COOP, inbound, Box::new(done));
}

/// How long the long run is; none: the short one.
fn minutes() -> Option<u64> {
    let minutes = std::env::var("OVERLOAD_MINUTES").ok();
    minutes.map(|n| n.parse().unwrap())
}

/// Resident memory of a process in megabytes (proc(5): the second number of statm, in pages of 4 kB).
fn resident_mb(process: &str) -> u64 {
    let statm = std::fs::read_to_string(format!("/proc/{process}/statm")).unwrap();
    let pages: u64 = statm.split(' ').nth(1).unwrap().parse().unwrap();
    pages * 4096 / 1024 / 1024
}

#[test]
fn five_times_what_can_be_taken_is_refused_in_time_and_leaves_no_trace() {
    let minutes = minutes();
    let dir = TempDir::new().unwrap();
    let clock = Clock::standing(start());
    let counter = founded(&dir, &clock);
    let fates = Arc::new(Fates::default());
    let begun = Instant::now();
    let over = |taken: u64| match minutes {
        None => taken >= TAKEN_SHORT,
        Some(minutes) => begun.elapsed().as_secs() >= minutes * 60,
    };
    // Warm once a third of the way is gone.
    let mut warm: Option<u64> = None;
    let mut curve: Vec<u64> = Vec::new();
    let (mut offered, mut most_waiting, mut peak) = (0, 0, 0);
    loop {
        let [taken, busy, _] = fates.of();
        if over(taken) {
            break;
        }
        // The first burst fills the queue; after it five for each that was taken.
        if offered >= TIMES * taken + TIMES * QUEUE {
            std::thread::yield_now();
            continue;
        }
        most_waiting = most_waiting.max(offered - taken - busy);
        let (farm, no) = (offered % FARMS, 1 + offered / FARMS);
        // A minute later each round: no message is another's repetition.
        if farm == 0 {
            clock.advance(Duration::minutes(11));
        }
        offer(&counter, &fates, inbound(&clock, farm, no, "C1 water"));
        offered += 1;
        if offered.is_multiple_of(5_000) {
            let now = resident_mb("self");
            let third = match minutes {
                None => taken >= TAKEN_SHORT / 3,
                Some(minutes) => begun.elapsed().as_secs() >= minutes * 20,
            };
            if third && warm.is_none() {
                warm = Some(now);
            }
            peak = peak.max(now);
            // One figure a minute: whether it levels off is for a person to see.
            if begun.elapsed().as_secs() >= 60 * curve.len() as u64 {
                curve.push(now);
            }
        }
    }
    counter.settle_down().unwrap();
    let [taken, busy, wrong] = fates.of();
    println!(
        "offered {offered}, taken {taken}, refused {busy}, most in the queue {most_waiting}, resident {} MB warm, {peak} MB at most, {} s",
        warm.unwrap_or(0),
        begun.elapsed().as_secs()
    );
    println!("resident at each minute, MB: {curve:?}");
    assert_eq!(wrong, 0, "every refusal says when to come again");
    assert_eq!(taken + busy, offered, "each message has one fate");
    assert!(busy > taken, "it was more than could be taken");
    assert!(most_waiting <= QUEUE + 512, "{most_waiting} waited");
    assert_eq!(counter.counts().busy, busy);
    assert!(
        peak <= warm.unwrap() + SLACK_MB,
        "{peak} MB, warm {warm:?} MB"
    );
    // It goes on without a restart, and what was taken is there.
    for farm in 0..FARMS {
        clock.advance(Duration::minutes(11));
        let receipt = counter
            .take(COOP, inbound(&clock, farm, u64::MAX, "C1 water"))
            .unwrap();
        assert!(!receipt.replies.is_empty());
    }
    let mut kept = 0;
    counter
        .each_message(COOP, &mut |row| {
            kept += u64::from(row.text == "C1 water");
            true
        })
        .unwrap();
    assert_eq!(kept, taken + FARMS);
    counter.close().unwrap();
}

#[test]
fn an_answer_overtakes_ten_thousand_texts_to_many() {
    let sizes = Sizes {
        cache_bytes: 0,
        cached_streams: 10,
    };
    let store = Store::in_memory(&MemoryDisk::default(), sizes).unwrap();
    let row = |urgency, text: &str, minute| Outgoing {
        link: link(),
        urgency,
        outbound: Outbound {
            to: phone(1),
            member: Some(MemberNo(1001)),
            text: text.to_owned(),
        },
        answers: Some(MessageNo(1)),
        due: start() + Duration::minutes(minute),
        expires: start() + Duration::days(1),
    };
    let mut outgoing: Vec<Outgoing> = (0..10_000)
        .map(|_| row(Urgency::Broadcast, "to many", 0))
        .collect();
    // Later than all of them, and yet first.
    outgoing.push(row(Urgency::Reminder, "reminder", 1));
    outgoing.push(row(Urgency::Answer, "answer", 2));
    let mut draft = store.draft();
    draft
        .push(Step {
            coop: COOP,
            received: None,
            heard: None,
            changes: Vec::new(),
            outgoing,
        })
        .unwrap();
    let now = start() + Duration::minutes(3);
    let leased = draft
        .lease(
            &link(),
            "driver",
            3,
            Abandoned::Again,
            [now, now + Duration::minutes(2)],
        )
        .unwrap();
    let texts: Vec<&str> = leased
        .rows
        .iter()
        .map(|row| row.outbound.text.as_str())
        .collect();
    assert_eq!(texts, ["answer", "reminder", "to many"]);
}
