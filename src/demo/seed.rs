//! Fills an empty folder with the invented cooperative: founds it, adds its people, and lets their ninety days of messages through the engine.
//!
//! A folder that was filled once is not filled again: `demo.json` in it says so, and keeps the words that open the demo's doors. This room does not
//! know who listens.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::{CounterError, OfficeError, OfficeRequest, TakeError};
use crate::counter::settings::UssdProfile;
use crate::counter::settings::{LinkRule, ReplyBy, Settings, Wakeups};
use crate::demo::cast::{self, Person};
use crate::demo::diary;
use crate::demo::eggs::weather;
use crate::domain::MemberNo;
use crate::domain::lang::Lang;
use crate::domain::message::{CoopId, Inbound, LinkName};
use crate::domain::rules::Rules;
use crate::units::day::{FarmDay, farm_day, local_hour};
use chrono::{DateTime, Duration, Utc};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::path::Path;

/// The demo's link.
pub const LINK: &str = "demo";
/// The demo's cooperative.
pub const COOP: CoopId = CoopId(1);
/// The first of the cast's member numbers; the others follow in the cast's order.
const FIRST_MEMBER: u32 = 2_001;
/// Seconds that the invented network takes.
const ON_THE_WAY_S: i64 = 4;
/// The chance stream of the wards' weather; those of the farms are the digits of their phones.
const WEATHER_STREAM: u64 = 1_000;
/// The local hour at which the demo's clock stands.
const EVENING: u32 = 20;
/// The file that says that a folder was filled.
const MARK: &str = "demo.json";

/// Why the demo could not be made.
#[derive(Debug, thiserror::Error)]
pub enum SeedError {
    /// The folder holds somebody's records.
    #[error(
        "this folder holds the cooperative {0:?} already, and no whole demo; give the demo an empty folder"
    )]
    NotADemo(String),
    /// The mark does not read or cannot be written.
    #[error("{MARK}: {0}")]
    Mark(String),
    /// An invented person was refused.
    #[error(transparent)]
    Office(#[from] OfficeError),
    /// An invented message was refused.
    #[error(transparent)]
    Take(#[from] TakeError),
    /// The folder.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

/// What the counter of a demo's folder takes: any moment up to the demo's now is believed, no number is held back, and a farm wakes up to its latest
/// message only.
#[must_use]
pub fn settings() -> Settings {
    let link = LinkName(LINK.to_owned());
    let rule = LinkRule {
        reply: ReplyBy::Response,
        flood: false,
        ussd: UssdProfile::default(),
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

/// Founds the cooperative and lets the diaries through. The clock is moved back for the founding, and forth again.
///
/// # Errors
/// When the folder holds another cooperative, or something was refused.
pub fn fill(counter: &Counter, clock: &Clock, seed: u64) -> Result<usize, SeedError> {
    let now = clock.now();
    let today = farm_day(now, cast::ZONE);
    let people = members();
    // Everybody is a member since a day before their first message.
    let back = Duration::days(diary::DAYS + 2);
    clock.advance(-back);
    let founded = found(counter, &people);
    clock.advance(back);
    founded?;
    let inbounds = messages(&people, today, seed);
    Ok(counter.take_many(COOP, inbounds)?.len())
}

fn found(counter: &Counter, people: &[(MemberNo, Person)]) -> Result<(), SeedError> {
    let standing = counter.rules(COOP)?;
    if !standing.join_code.is_empty() {
        return Err(SeedError::NotADemo(standing.name));
    }
    let mut rules = Rules::new(cast::COOP_NAME, cast::JOIN_CODE, cast::ZONE.name());
    rules.wards = cast::WARDS.map(str::to_owned).to_vec();
    counter.office(OfficeRequest::Found {
        coop: COOP,
        rules: Box::new(rules),
    })?;
    for (number, person) in people {
        counter.office(OfficeRequest::AddMember {
            coop: COOP,
            number: Some(*number),
            name: person.name.to_owned(),
            lang: Lang::EN,
            role: person.role,
            ward: Some(person.ward_name().to_owned()),
            phones: vec![person.phone()],
        })?;
    }
    Ok(())
}

/// The cast with their member numbers.
#[must_use]
pub fn members() -> Vec<(MemberNo, Person)> {
    (FIRST_MEMBER..).map(MemberNo).zip(cast::people()).collect()
}

/// All diaries, in the order in which the network brought them.
fn messages(people: &[(MemberNo, Person)], today: FarmDay, seed: u64) -> Vec<Inbound> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(WEATHER_STREAM);
    let days = usize::try_from(diary::DAYS).unwrap_or_default();
    let wards: Vec<Vec<f64>> = cast::WARDS
        .iter()
        .map(|_| weather(&mut rng, days))
        .collect();
    let mut sent: Vec<(DateTime<Utc>, &Person, String)> = people
        .iter()
        .flat_map(|(_, person)| {
            let sky = wards.get(person.ward).map_or(&[][..], Vec::as_slice);
            diary::write(person, today, seed, sky)
                .into_iter()
                .map(move |(at, text)| (at, person, text))
        })
        .collect();
    sent.sort_by_key(|(at, person, _)| (*at, person.digits));
    sent.into_iter()
        .enumerate()
        .map(|(no, (sent_at, person, text))| Inbound {
            link: LinkName(LINK.to_owned()),
            id: Some(format!("seed-{no}")),
            from: person.phone(),
            to: None,
            text,
            sent_at,
            sent_at_known: true,
            received_at: sent_at + Duration::seconds(ON_THE_WAY_S),
        })
        .collect()
}

/// What a filled folder remembers: the words that open the demo's doors, so that a restart changes none, and its day.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Mark {
    /// The link's secret.
    pub secret: String,
    /// The manager's password.
    pub console_password: String,
    /// The day on which the demo stands; none: the real one.
    pub today: Option<FarmDay>,
}

impl Mark {
    /// Where the demo's clock stands; none: it runs.
    #[must_use]
    pub fn now(&self) -> Option<DateTime<Utc>> {
        self.today.map(evening)
    }

    /// That of a folder that was filled.
    ///
    /// # Errors
    /// When the mark does not read.
    pub fn of(dir: &Path) -> Result<Option<Self>, SeedError> {
        match std::fs::read(dir.join(MARK)) {
            Ok(bytes) => serde_json::from_slice(&bytes)
                .map(Some)
                .map_err(|why| SeedError::Mark(why.to_string())),
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(why) => Err(SeedError::Mark(why.to_string())),
        }
    }

    /// Marks a folder as filled.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn put(&self, dir: &Path) -> Result<(), SeedError> {
        let bytes = serde_json::to_vec(self).map_err(|why| SeedError::Mark(why.to_string()))?;
        let part = dir.join(format!("{MARK}.part"));
        std::fs::write(&part, bytes)
            .and_then(|()| std::fs::rename(&part, dir.join(MARK)))
            .map_err(|why| SeedError::Mark(why.to_string()))
    }
}

/// The demo's now on a given day: the day's work is done and entered.
#[must_use]
pub fn evening(today: FarmDay) -> DateTime<Utc> {
    local_hour(today, EVENING, cast::ZONE)
}
