//! `serve --demo`: founds the invented cooperative in a data folder, sends its ninety days through the engine, and wires the gateway.
//!
//! A folder once seeded is not seeded again. Everything that it shows is invented; this room says so on standard error.

use crate::cli::Trouble;
use crate::cli::errand::SAY_LINK;
use crate::cli::link_file::fresh_secret;
use crate::cli::serve::Wiring;
use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::{OfficeAnswer, OfficeRequest};
use crate::counter::settings::{LinkRule, ReplyBy, Settings, Wakeups};
use crate::demo::cast::{
    COLLECTOR, COOP_NAME, FARMS, JOIN_CODE, OFFICER, Person, Story, WARDS, ZONE, number, people,
};
use crate::demo::{NOTICE, diary, eggs};
use crate::domain::lang::Lang;
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use crate::units::day::{farm_day, local_hour};
use crate::web::gate::{Door, Doors};
use crate::web::phone::{Handset, Owner};
use chrono::{DateTime, NaiveDate, Utc};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde::Serialize;
use std::path::PathBuf;
use std::sync::Arc;

/// The demo's one cooperative.
const COOP: CoopId = CoopId(1);
/// The demo's one link.
const LINK: &str = "demo";
/// The first member number of the demo.
const FIRST_MEMBER: u32 = 2001;
/// The local hour at which a demo with --today stands.
const EVENING: u32 = 20;

/// The line on standard output.
#[derive(Serialize)]
struct Ready<'a> {
    ready: bool,
    url: &'a str,
    link: &'a str,
    secret: &'a str,
    join_code: &'a str,
    officer_from: &'a str,
    console_user: &'a str,
    console_password: &'a str,
}

/// Opens or seeds the demo's folder and wires the gateway.
///
/// # Errors
/// When the folder cannot be used.
pub fn wire(data: Option<PathBuf>, seed: u64, today: Option<NaiveDate>) -> Result<Wiring, Trouble> {
    let keep = match &data {
        Some(_) => None,
        None => Some(
            tempfile::Builder::new()
                .prefix("clutchline-demo-")
                .tempdir()
                .map_err(Trouble::of)?,
        ),
    };
    let dir = data
        .or_else(|| keep.as_ref().map(|dir| dir.path().join("data")))
        .unwrap_or_default();
    let clock = match today {
        Some(day) => Clock::standing(local_hour(day, EVENING, ZONE)),
        None => Clock::movable(),
    };
    let counter = Counter::open(&dir, settings(), clock.clone()).map_err(Trouble::of)?;
    eprintln!("{NOTICE}");
    if counter.rules(COOP).map_err(Trouble::of)?.name.is_empty() {
        let started = Clock::System.now();
        let messages = seed_history(&counter, seed, clock.now())?;
        let took = (Clock::System.now() - started).num_milliseconds();
        eprintln!("{messages} invented messages of 90 days in {took} ms");
    }
    let secret = fresh_secret()?;
    let password = fresh_secret()?;
    let link = LinkName(LINK.to_owned());
    let handset = Handset::new(counter.clone(), clock, (COOP, link), ZONE, NOTICE, owners());
    let doors = Doors::new(vec![Door::new(LINK, COOP, "255", &secret)]);
    Ok(Wiring {
        dir,
        counter,
        doors,
        handset: Some(Arc::new(handset)),
        senders: Vec::new(),
        ready: Box::new(move |url| ready_line(url, &secret, &password)),
        keep,
    })
}

fn ready_line(url: &str, secret: &str, password: &str) -> Option<String> {
    let officer = number(OFFICER);
    eprintln!("Open {url}/phone and text as a keeper would. Stop with Ctrl-C.");
    serde_json::to_string(&Ready {
        ready: true,
        url,
        link: LINK,
        secret,
        join_code: JOIN_CODE,
        officer_from: officer.full(),
        console_user: "manager",
        console_password: password,
    })
    .ok()
}

fn settings() -> Settings {
    let quiet = LinkRule {
        reply: ReplyBy::Response,
        flood: false,
    };
    let links = [LINK, SAY_LINK].map(|name| (LinkName(name.to_owned()), quiet.clone()));
    Settings {
        oldest_sent_at: None,
        links: links.into(),
        default_link: Some(LinkName(LINK.to_owned())),
        wakeups: Wakeups::ToLatestMessage,
        ..Settings::default()
    }
}

/// Everybody's ninety days, in the order of time, through the engine; how many messages.
fn seed_history(counter: &Counter, seed: u64, now: DateTime<Utc>) -> Result<usize, Trouble> {
    let mut rules = Rules::new(COOP_NAME, JOIN_CODE, ZONE.name());
    rules.wards = WARDS.iter().map(|ward| (*ward).to_owned()).collect();
    office(
        counter,
        OfficeRequest::Found {
            coop: COOP,
            rules: Box::new(rules),
        },
    )?;
    let people = people();
    for (no, person) in (FIRST_MEMBER..).zip(&people) {
        office(counter, join(person, MemberNo(no)))?;
    }
    let today = farm_day(now, ZONE);
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let days = usize::try_from(diary::DAYS).unwrap_or_default();
    let weather: Vec<Vec<f64>> = WARDS
        .iter()
        .map(|_| eggs::weather(&mut rng, days))
        .collect();
    let mut sent = Vec::new();
    for person in &people {
        let of_ward = weather.get(person.ward).map_or(&[][..], Vec::as_slice);
        let own = diary::write(person, today, seed, of_ward);
        sent.extend(own.into_iter().map(|(at, text)| (at, person.digits, text)));
    }
    sent.sort();
    let inbounds: Vec<Inbound> = sent
        .into_iter()
        .enumerate()
        .map(|(count, (at, digits, text))| Inbound {
            link: LinkName(LINK.to_owned()),
            id: Some(format!("seed-{count}")),
            from: number(digits),
            to: None,
            text,
            sent_at: at,
            sent_at_known: true,
            received_at: at,
        })
        .collect();
    let count = inbounds.len();
    counter.take_many(COOP, inbounds).map_err(Trouble::of)?;
    Ok(count)
}

fn office(counter: &Counter, request: OfficeRequest) -> Result<OfficeAnswer, Trouble> {
    counter.office(request).map_err(Trouble::of)
}

fn join(person: &Person, member: MemberNo) -> OfficeRequest {
    OfficeRequest::AddMember {
        coop: COOP,
        number: Some(member),
        name: person.name.to_owned(),
        lang: Lang::EN,
        role: person.role,
        ward: Some(person.ward_name().to_owned()),
        phones: vec![person.phone()],
    }
}

/// The phones of the phone page: farms with a story first, then a few others, officer and collector, and a free number.
fn owners() -> Vec<Owner> {
    let mut owners: Vec<Owner> = (FIRST_MEMBER..)
        .zip(people())
        .filter(|(_, person)| {
            person.farm.is_none_or(|farm| farm.story != Story::Plain)
                || person.digits.is_multiple_of(9)
        })
        .map(|(no, person)| owner(MemberNo(no), &person))
        .collect();
    owners.push(Owner {
        number: number(190),
        member: None,
        label: "A new number".to_owned(),
        about: "Not a member yet.".to_owned(),
        lines: vec![
            format!("join {JOIN_CODE} Asha"),
            "C1 stock 8000".to_owned(),
            "help".to_owned(),
        ],
    });
    owners
}

fn owner(member: MemberNo, person: &Person) -> Owner {
    let (about, lines) = match (person.farm.map(|farm| farm.story), person.role) {
        (Some(Story::Steady), _) => (
            "Years of practice, a line every morning.",
            vec!["C1 9.5 C2 7 water", "C4 12.5 bait", "tasks", "C4?"],
        ),
        (Some(Story::New), _) => (
            "Two cages, stocked not two weeks ago.",
            vec!["C1", "help", "C1 2.1", "C2 water"],
        ),
        (Some(Story::NoBait), _) => (
            "No bait for weeks: eggs dwindle.",
            vec!["tasks", "C1-C5 bait", "C2 0.5"],
        ),
        (Some(Story::Heat), _) => (
            "A week of heat.",
            vec!["temp 24-39", "all water shade", "C3 1.2"],
        ),
        (Some(Story::Silent), _) => (
            "Nothing heard for nine days.",
            vec!["tasks", "C1 4 C2 3.5", "away 5"],
        ),
        (Some(Story::Sloppy), _) => (
            "Writes as it comes.",
            vec!["c 1 l2.5 wtaer thanks", "C2 125", "C3 4 5"],
        ),
        (Some(Story::Plain), _) => (
            "As most farms are.",
            vec!["C1 6.5", "C1 6.5 yesterday", "undo", "lang sw"],
        ),
        (None, Role::Officer) => (
            "Visits farms and enters for others.",
            vec!["for 2001 C1 8.5", "for 2002 tasks"],
        ),
        (None, _) => ("Receives eggs at the collection point.", vec!["help"]),
    };
    Owner {
        number: person.phone(),
        member: Some(member),
        label: format!("{} {member}, {}", person.name, person.ward_name()),
        about: about.to_owned(),
        lines: lines.into_iter().map(str::to_owned).collect(),
    }
}

const _: () = assert!(
    FARMS < COLLECTOR - 101 && OFFICER < COLLECTOR,
    "numbers 190 to 199 stay free"
);
