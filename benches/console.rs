//! Pages of a large cooperative: how long each takes to make, and how many bytes it has.
//!
//! `cargo bench --bench console` (1,000 farms of five cages), `-- --full` for 100,000 farms and 500,000 cages (many minutes, nearly all of them to make
//! the farms' rows), `-- --farms 10000` for others. The record is made by messages like any other; pages are asked of the room itself, without a network, one after the
//! other. Wanted: Today and Supply under 150 ms at the 99th of a hundred, every page under 100 kB.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed bench"
)]

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::console::entrance::Asked;
use clutchline::console::routes::Method;
use clutchline::console::{Console, password, sessions};
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::Settings;
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{CoopId, Inbound, LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::user::{Login, Power, UserEvent};
use clutchline::domain::{MemberNo, Role};
use std::time::Instant;

const COOP: CoopId = CoopId(1);
const WARDS: usize = 50;
/// Requests of each page.
const ASKED: usize = 100;
/// Milliseconds and bytes that a page may have.
const WANTED: (f64, usize) = (150.0, 100_000);
const PASSWORD: &str = "kisima-upepo-ndizi";
/// Callers of commands at once, so that they share flushes.
const CALLERS: usize = 128;
const NAMES: [&str; 8] = [
    "Asha", "Baraka", "Chausiku", "Daudi", "Eshe", "Faraja", "Gasira", "Hamisi",
];

fn ward(at: usize) -> String {
    format!("Ward {at:02}")
}

fn number(farm: usize) -> u32 {
    10_000 + u32::try_from(farm).unwrap()
}

fn phone(farm: usize) -> PhoneNumber {
    PhoneNumber::new(&format!("+2557{farm:08}")).unwrap()
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let full = words.iter().any(|word| word == "--full");
    let named = words.iter().skip_while(|word| *word != "--farms").nth(1);
    let named = named.map(|word| word.parse().unwrap());
    let farms: usize = named.unwrap_or(if full { 100_000 } else { 1_000 });
    let dir = tempfile::tempdir().unwrap();
    let now: DateTime<Utc> = "2026-03-10T15:00:00Z".parse().unwrap();
    let counter = open(dir.path(), now);
    let began = Instant::now();
    fill(&counter, farms, now);
    println!(
        "{farms} farms, {} cages: filled in {:.0} s",
        farms * 5,
        began.elapsed().as_secs_f64()
    );
    let began = Instant::now();
    let followed = counter.follow(COOP, usize::MAX).unwrap();
    let each = began.elapsed().as_secs_f64() * 1e3 / followed as f64;
    println!("rows made                   {followed:>8}   {each:.2} ms each");
    let room = Room::new(&counter);
    println!(
        "{:<38} {:>8} {:>8} {:>8} {:>9}",
        "page", "p50 ms", "p99 ms", "most ms", "bytes"
    );
    let last = number(farms - 1);
    let mut over = Vec::new();
    for (who, address, held) in [
        ("manager", "/console/today".to_owned(), true),
        ("officer", "/console/today".to_owned(), true),
        ("manager", "/console/supply".to_owned(), true),
        ("manager", "/console/supply?ward=Ward%2007".to_owned(), true),
        ("manager", "/console/farms".to_owned(), false),
        (
            "manager",
            format!("/console/farms?after={}", number(farms / 2)),
            false,
        ),
        ("manager", "/console/farms?q=cha".to_owned(), false),
        ("manager", format!("/console/farms?q={last}"), false),
        ("officer", "/console/farms".to_owned(), false),
        ("officer", "/console/farms?q=cha".to_owned(), false),
        ("manager", format!("/console/farms/{last}"), false),
        ("manager", "/console/unreadable".to_owned(), false),
        ("manager", "/console/export".to_owned(), false),
    ] {
        let page = room.measure(who, &address, &mut || {});
        page.print(&format!("{who}: {address}"));
        over.extend(page.over(&address, held));
    }
    // While messages come: each page brings the rows of sixteen farms up to the record first.
    let mut turn = 0;
    for address in ["/console/today", "/console/supply"] {
        let page = room.measure("manager", address, &mut || {
            turn += 1;
            let lines = (0..16).map(|at| line((turn * 16 + at) % farms, "C1 7.5", now));
            counter.take_many(COOP, lines.collect()).unwrap();
        });
        page.print(&format!("16 farms behind: {address}"));
        over.extend(page.over(address, true));
    }
    assert!(over.is_empty(), "{over:?}");
}

fn open(dir: &std::path::Path, now: DateTime<Utc>) -> Counter {
    let settings = Settings {
        oldest_sent_at: None,
        flood: None,
        ..Settings::default()
    };
    Counter::open(dir, settings, Clock::standing(now)).unwrap()
}

fn line(farm: usize, text: &str, sent_at: DateTime<Utc>) -> Inbound {
    Inbound {
        link: LinkName("fill".to_owned()),
        id: None,
        from: phone(farm),
        to: None,
        text: text.to_owned(),
        sent_at,
        sent_at_known: true,
        received_at: sent_at,
    }
}

/// Farms of five cages that have laid for four days; every tenth gives little, every fiftieth is silent, some send what nobody can read.
fn fill(counter: &Counter, farms: usize, now: DateTime<Utc>) {
    let mut rules = Rules::new("Bench", "BENCH", "Africa/Dar_es_Salaam");
    rules.wards = (0..WARDS).map(ward).collect();
    let rules = Box::new(rules);
    counter
        .office(OfficeRequest::Found { coop: COOP, rules })
        .unwrap();
    std::thread::scope(|scope| {
        for caller in 0..CALLERS {
            scope.spawn(move || {
                for farm in (caller..farms).step_by(CALLERS) {
                    add(counter, farm, farms);
                }
            });
        }
    });
    let (mut saved, mut sent) = (0, 0);
    for some in (0..farms).collect::<Vec<_>>().chunks(5_000) {
        let lines = some.iter().flat_map(|farm| lines(*farm, now));
        let receipts = counter.take_many(COOP, lines.collect()).unwrap();
        sent += receipts.len();
        saved += receipts
            .iter()
            .filter(|receipt| receipt.outcome == Outcome::Saved)
            .count();
    }
    // A bench of an empty store would be quick and say nothing.
    assert!(
        saved * 10 > sent * 8,
        "only {saved} of {sent} messages were saved"
    );
    println!("messages                    {sent:>8}   {saved} saved");
}

/// Wards lie one after the other by number, as they join: the worst for whoever reads past others' farms.
fn add(counter: &Counter, farm: usize, farms: usize) {
    let name = NAMES.get(farm % NAMES.len()).unwrap();
    counter
        .office(OfficeRequest::AddMember {
            coop: COOP,
            number: Some(MemberNo(number(farm))),
            name: format!("{name} {farm}"),
            lang: Lang::EN,
            role: if farm == 0 {
                Role::Officer
            } else {
                Role::Keeper
            },
            ward: Some(ward(farm * WARDS / farms)),
            phones: vec![phone(farm)],
        })
        .unwrap();
}

fn lines(farm: usize, now: DateTime<Utc>) -> Vec<Inbound> {
    let at = |days: i64| now - Duration::days(days) - Duration::hours(6);
    let stocked: Vec<String> = (1..=5).map(|cage| format!("C{cage} stock 8000")).collect();
    let mut lines = vec![line(farm, &stocked.join(" "), at(13))];
    if farm.is_multiple_of(50) {
        return lines;
    }
    for days in (0..4).rev() {
        let low = farm.is_multiple_of(10) && days < 3;
        let grams = if low { 1 } else { 8 + (farm as i64 + days) % 3 };
        let text: Vec<String> = (1..=5)
            .map(|cage| format!("C{cage} {grams}.{cage}"))
            .collect();
        lines.push(line(farm, &text.join(" "), at(days)));
    }
    if farm.is_multiple_of(997) {
        lines.push(line(farm, "zzqw plmk vvbn", at(0)));
    }
    lines
}

struct Room {
    console: Console,
    manager: String,
    officer: String,
}

/// What a page took and had.
struct Page {
    waits_ms: Vec<f64>,
    bytes: usize,
}

impl Page {
    fn at(&self, share: f64) -> f64 {
        self.waits_ms[((self.waits_ms.len() - 1) as f64 * share) as usize]
    }

    fn print(&self, name: &str) {
        println!(
            "{name:<38} {:>8.1} {:>8.1} {:>8.1} {:>9}",
            self.at(0.5),
            self.at(0.99),
            self.at(1.0),
            self.bytes
        );
    }

    fn over(&self, address: &str, held: bool) -> Option<String> {
        let late = held && self.at(0.99) > WANTED.0;
        (late || self.bytes > WANTED.1)
            .then(|| format!("{address}: {:.0} ms, {} bytes", self.at(0.99), self.bytes))
    }
}

impl Room {
    fn new(counter: &Counter) -> Self {
        let hash = password::hash(PASSWORD).unwrap();
        for (name, power, wards) in [
            ("manager", Power::Manager, vec![]),
            ("officer", Power::Officer, vec![ward(WARDS - 1)]),
        ] {
            let events = vec![
                UserEvent::Added(power),
                UserEvent::PasswordSet(hash.clone()),
                UserEvent::WardsSet(wards),
            ];
            counter
                .change_user(COOP, &Login::new(name).unwrap(), events, None)
                .unwrap();
        }
        let console = Console::new(counter.clone(), Clock::System, None);
        let mut room = Self {
            console,
            manager: String::new(),
            officer: String::new(),
        };
        room.manager = room.sign_in("manager");
        room.officer = room.sign_in("officer");
        room
    }

    fn sign_in(&self, name: &str) -> String {
        let token = sessions::token().unwrap();
        let body = format!("token={token}&user={name}&password={PASSWORD}");
        let mut asked = asked(Method::Post, "/console/sign-in", None);
        asked.body = body.into_bytes();
        asked.sign_in = Some(token);
        self.console.answer(asked).session.unwrap()
    }

    fn measure(&self, who: &str, address: &str, before: &mut dyn FnMut()) -> Page {
        let session = if who == "manager" {
            &self.manager
        } else {
            &self.officer
        };
        let mut page = Page {
            waits_ms: Vec::new(),
            bytes: 0,
        };
        for _ in 0..ASKED {
            before();
            let began = Instant::now();
            let answer = self
                .console
                .answer(asked(Method::Get, address, Some(session)));
            page.waits_ms.push(began.elapsed().as_secs_f64() * 1e3);
            assert_eq!(answer.status, 200, "{address}");
            page.bytes = page.bytes.max(answer.body.len());
        }
        page.waits_ms.sort_by(f64::total_cmp);
        page
    }
}

fn asked(method: Method, address: &str, session: Option<&str>) -> Asked {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    Asked {
        method,
        path: path.to_owned(),
        query: query.to_owned(),
        body: Vec::new(),
        body_kind: "application/x-www-form-urlencoded".to_owned(),
        session: session.map(str::to_owned),
        sign_in: None,
        sign_in_token: None,
        lang: None,
        accepts: String::new(),
        address: "192.0.2.7".to_owned(),
        ours: true,
        secure: false,
    }
}
