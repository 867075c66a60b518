//! `serve --demo`: has the invented cooperative put into a data folder, and wires the gateway.
//!
//! A folder once seeded is not seeded again. Everything that it shows is invented; this room says so on standard error.

use crate::cli::Trouble;
use crate::cli::link_file::fresh_secret;
use crate::cli::wiring::Wiring;
use crate::clock::Clock;
use crate::console::password;
use crate::counter::Counter;
use crate::demo::NOTICE;
use crate::demo::cast::{COLLECTOR, FARMS, JOIN_CODE, OFFICER, Person, Story, ZONE, number};
use crate::demo::seed::{self, COOP, LINK, Mark};
use crate::domain::message::LinkName;
use crate::domain::user::{Login, Power, UserEvent};
use crate::domain::{MemberNo, Role};
use crate::links::board::Board;
use crate::units::day::FarmDay;
use crate::web::gate::{Door, Doors};
use crate::web::phone::{Handset, Owner};
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The demo's user of the room in the browser.
const MANAGER: &str = "manager";

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

/// Opens or fills the demo's folder and wires the gateway.
///
/// # Errors
/// When the folder cannot be used.
pub fn wire(data: Option<PathBuf>, seed: u64, today: Option<FarmDay>) -> Result<Wiring, Trouble> {
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
        Some(day) => Clock::standing(seed::evening(day)),
        None => Clock::movable(),
    };
    let counter = Counter::open(&dir, seed::settings(), clock.clone()).map_err(Trouble::of)?;
    eprintln!("{NOTICE}");
    let mark = filled(&counter, &clock, &dir, seed, today)?;
    // Whoever opens the room at once sees all of it.
    counter.mark_for_the_day(COOP).map_err(Trouble::of)?;
    counter.follow(COOP, usize::MAX).map_err(Trouble::of)?;
    let link = LinkName(LINK.to_owned());
    let handset = Handset::new(counter.clone(), clock, (COOP, link), ZONE, NOTICE, owners());
    let doors = Doors::new(vec![Door::new(LINK, COOP, "255", &mark.secret)]);
    Ok(Wiring {
        dir,
        counter,
        doors,
        handset: Some(Arc::new(handset)),
        ways: Vec::new(),
        board: Board::default(),
        ready: Box::new(move |url| ready_line(url, &mark)),
        keep,
    })
}

/// The mark of a folder that was filled, or of one that now is.
fn filled(
    counter: &Counter,
    clock: &Clock,
    dir: &Path,
    seed: u64,
    today: Option<FarmDay>,
) -> Result<Mark, Trouble> {
    if let Some(mut mark) = Mark::of(dir).map_err(Trouble::of)? {
        if mark.today != today {
            mark.today = today;
            mark.put(dir).map_err(Trouble::of)?;
        }
        return Ok(mark);
    }
    let mark = Mark {
        secret: fresh_secret()?,
        console_password: fresh_secret()?,
        today,
    };
    let started = Clock::System.now();
    let messages = seed::fill(counter, clock, seed).map_err(Trouble::of)?;
    add_manager(counter, &mark.console_password)?;
    mark.put(dir).map_err(Trouble::of)?;
    let took = (Clock::System.now() - started).num_milliseconds();
    eprintln!("{messages} invented messages of 90 days in {took} ms");
    Ok(mark)
}

/// Somebody who may do everything in the room in the browser, and who enters in the officer's name.
fn add_manager(counter: &Counter, secret: &str) -> Result<(), Trouble> {
    let login = Login::new(MANAGER).ok_or_else(|| Trouble(format!("{MANAGER:?} is no name")))?;
    let hash = password::hash(secret).map_err(Trouble::of)?;
    let officer = seed::members()
        .into_iter()
        .find(|(_, person)| person.role == Role::Officer);
    let events = vec![
        UserEvent::Added(Power::Manager),
        UserEvent::PasswordSet(hash),
        UserEvent::MemberSet(officer.map(|(no, _)| no)),
    ];
    let added = counter.change_user(COOP, &login, events, None);
    added.map_err(Trouble::of)
}

fn ready_line(url: &str, mark: &Mark) -> Option<String> {
    let officer = number(OFFICER);
    eprintln!(
        "Open {url}/phone and text as a keeper would; {url}/console is the cooperative's room. Stop with Ctrl-C."
    );
    serde_json::to_string(&Ready {
        ready: true,
        url,
        link: LINK,
        secret: &mark.secret,
        join_code: JOIN_CODE,
        officer_from: officer.full(),
        console_user: MANAGER,
        console_password: &mark.console_password,
    })
    .ok()
}

/// The phones of the phone page: farms with a story first, then a few others, officer and collector, and numbers that are free to join.
fn owners() -> Vec<Owner> {
    let mut owners: Vec<Owner> = seed::members()
        .into_iter()
        .filter(|(_, person)| {
            person.farm.is_none_or(|farm| farm.story != Story::Plain)
                || person.digits.is_multiple_of(9)
        })
        .map(|(no, person)| owner(no, &person))
        .collect();
    owners.extend([190, 191, 192].map(|digits| Owner {
        number: number(digits),
        member: None,
        label: format!("A new number, ...{digits}"),
        about: "Not a member yet.".to_owned(),
        lines: vec![
            "C1 5".to_owned(),
            format!("join {JOIN_CODE} Asheri"),
            "C1 stock 8000".to_owned(),
            "help".to_owned(),
            DIAL.to_owned(),
        ],
    }));
    owners
}

/// Opens the menu, on the page as on a phone.
const DIAL: &str = "*40123#";

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
        (None, _) => (
            "Receives eggs at the collection point.",
            vec!["got 2001 48.2", "help got"],
        ),
    };
    Owner {
        number: person.phone(),
        member: Some(member),
        label: format!("{} {member}, {}", person.name, person.ward_name()),
        about: about.to_owned(),
        lines: lines.into_iter().chain([DIAL]).map(str::to_owned).collect(),
    }
}

const _: () = assert!(
    FARMS < COLLECTOR - 101 && OFFICER < COLLECTOR,
    "numbers 190 to 199 stay free"
);
