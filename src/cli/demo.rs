//! `serve --demo`: the invented cooperative in a folder of its own, on loopback.

use crate::cli::Failure;
use crate::cli::gateway::{Gateway, until_stopped};
use crate::cli::serve::{Args, bind};
use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::settings::{LinkRule, ReplyBy, Settings, Wakeups};
use crate::demo::NOTICE;
use crate::demo::cast::{self, Person, Story};
use crate::demo::seed::{self, Mark, evening};
use crate::domain::Role;
use crate::domain::message::LinkName;
use crate::web::gate::{Door, Doors};
use crate::web::phone::{Handset, Owner};
use crate::web::server::Sizes;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

/// Where the demo listens where nothing is said.
const LISTEN: &str = "127.0.0.1:0";
/// The manager of the invented cooperative.
const CONSOLE_USER: &str = "manager";
/// Tanzania's calling code: the demo reads national numbers.
const COUNTRY: &str = "255";
/// A number that is not a member's, for the phone page.
const STRANGER: u8 = 190;

/// The line that says that the demo is ready; nothing else goes to standard output.
#[derive(serde::Serialize)]
struct Ready {
    ready: bool,
    url: String,
    link: &'static str,
    secret: String,
    join_code: &'static str,
    officer_from: String,
    console_user: &'static str,
    console_password: String,
}

/// Fills the folder where it is empty, and runs.
///
/// # Errors
/// In words for the operator.
pub fn run(args: &Args) -> Result<(), Failure> {
    let listener = bind(args.listen.as_deref().unwrap_or(LISTEN))?;
    let address = listener.local_addr()?;
    if !address.ip().is_loopback() {
        return Err("the demo listens on loopback only, such as --listen 127.0.0.1:0".into());
    }
    // A temporary folder lives as long as the demo.
    let temporary = match args.place.data {
        Some(_) => None,
        None => Some(
            tempfile::Builder::new()
                .prefix("clutchline-demo-")
                .tempdir()?,
        ),
    };
    let dir = match (&args.place.data, &temporary) {
        (Some(dir), _) => dir.clone(),
        (None, Some(temporary)) => temporary.path().to_owned(),
        (None, None) => return Err("expected a folder, such as --data demo".into()),
    };
    let clock = match args.today {
        Some(today) => Clock::standing(evening(today)),
        None => Clock::movable(),
    };
    let counter = Counter::open(&dir, settings(), clock.clone())?;
    let mark = filled(&counter, &clock, &dir, args)?;
    let link = LinkName(seed::LINK.to_owned());
    let handset = Handset::new(
        counter.clone(),
        clock.clone(),
        (seed::COOP, link),
        cast::ZONE,
        NOTICE,
        owners(),
    );
    let door = Door::new(seed::LINK, seed::COOP, COUNTRY, &mark.secret);
    let gateway = Gateway {
        dir,
        counter,
        clock,
        doors: Doors::new(vec![door]),
        handset: Some(Arc::new(handset)),
        sizes: Sizes::default(),
        body_bytes_max: crate::config::Server::default().body_bytes_max,
        metrics: None,
        senders: Vec::new(),
        nightly: None,
    };
    let ready = Ready {
        ready: true,
        url: format!("http://{address}"),
        link: seed::LINK,
        secret: mark.secret,
        join_code: cast::JOIN_CODE,
        officer_from: cast::number(cast::OFFICER).full().to_owned(),
        console_user: CONSOLE_USER,
        console_password: mark.console_password,
    };
    let ready = serde_json::to_string(&ready)?;
    eprintln!("{NOTICE}\nThe phone page: http://{address}/phone");
    until_stopped(gateway, listener, move || {
        let mut out = std::io::stdout().lock();
        writeln!(out, "{ready}")?;
        out.flush()
    })
}

/// The mark of a folder that was filled, or of one that now is.
fn filled(counter: &Counter, clock: &Clock, dir: &Path, args: &Args) -> Result<Mark, Failure> {
    if let Some(mut mark) = Mark::of(dir)? {
        if mark.today != args.today {
            mark.today = args.today;
            mark.put(dir)?;
        }
        return Ok(mark);
    }
    let mark = Mark::draw(args.today)?;
    let messages = seed::fill(counter, clock, args.seed)?;
    mark.put(dir)?;
    tracing::info!(messages, "the invented history went through the engine");
    Ok(mark)
}

/// The demo believes any moment up to its now, knows no flood, and wakes a farm up to its latest message.
#[must_use]
pub fn settings() -> Settings {
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

/// The phones of the phone page: everybody of the cast, and somebody who is no member.
fn owners() -> Vec<Owner> {
    let mut owners: Vec<Owner> = cast::people().iter().map(owner).collect();
    owners.push(Owner {
        number: cast::number(STRANGER),
        member: None,
        label: "Somebody new".to_owned(),
        about: "This phone is not known to the cooperative.".to_owned(),
        lines: lines(&["C1 12.5", "join ZIWANI Asha", "help"]),
    });
    owners
}

fn lines(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|&text| text.to_owned()).collect()
}

fn owner(person: &Person) -> Owner {
    let (about, try_these): (&str, &[&str]) = match (person.role, person.farm) {
        (Role::Officer, _) => (
            "An officer, who visits farms and enters for others.",
            &["for 2101 C4 water", "for 2103", "help"],
        ),
        (_, Some(farm)) => match farm.story {
            Story::Steady => (
                "Years of practice: eight cages, a line every morning.",
                &["C4 25.5 bait water", "C4 150", "tasks", "C4?"],
            ),
            Story::New => (
                "New: two cages, stocked not two weeks ago.",
                &["C1 1.5", "?"],
            ),
            Story::NoBait => (
                "No bait for weeks: eggs dwindle.",
                &["C1 0.5", "C1-C5 bait", "tasks"],
            ),
            Story::Heat => ("A week of heat.", &["temp 27-41", "C2 2.5", "C2?"]),
            Story::Silent => ("Not heard of for nine days.", &["tasks", "C1 4", "away 5"]),
            Story::Sloppy => (
                "Writes as it comes, and not every day.",
                &["c 1 l2.5", "C2 baot", "C3 4,5"],
            ),
            Story::Plain => ("As most are.", &["C1 8", "all water", "undo", "tasks"]),
        },
        _ => ("Receives and weighs eggs at a collection point.", &["help"]),
    };
    Owner {
        number: person.phone(),
        member: Some(seed::member(person)),
        label: format!(
            "{} ({}, {})",
            person.name,
            seed::member(person),
            person.ward_name()
        ),
        about: about.to_owned(),
        lines: lines(try_these),
    }
}
