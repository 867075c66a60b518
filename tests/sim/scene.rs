//! Who is there when a seed begins: a founded cooperative, four keepers with cages that lay.
//!
//! Made once and copied for every seed. Everybody is invented.

use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::counter::answers::OfficeRequest;
use clutchline::counter::settings::UssdProfile;
use clutchline::counter::settings::{LinkRule, ReplyBy, Settings};
use clutchline::domain::message::{CoopId, Inbound, LinkName, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::store::memory::MemoryDisk;
use std::sync::OnceLock;

pub(crate) const COOP: CoopId = CoopId(1);
pub(crate) const KEEPERS: u32 = 4;
pub(crate) const CAGES: u32 = 3;
/// The link that answers in its response, and the one that answers by sending.
pub(crate) const LINKS: [&str; 2] = ["web", "send"];

pub(crate) fn link(name: &str) -> LinkName {
    LinkName(name.to_owned())
}

pub(crate) fn phone(no: u32) -> PhoneNumber {
    PhoneNumber::new(&format!("+2557000001{no:02}")).unwrap()
}

pub(crate) fn settings() -> Settings {
    let rule = |reply| LinkRule {
        reply,
        flood: false,
        ussd: UssdProfile::default(),
    };
    Settings {
        flood: None,
        links: [
            (link("web"), rule(ReplyBy::Response)),
            (link("send"), rule(ReplyBy::Send)),
            (link("smpp"), rule(ReplyBy::Send)),
            (link("gsm"), rule(ReplyBy::Send)),
        ]
        .into(),
        default_link: Some(link("send")),
        ..Settings::default()
    }
}

pub(crate) fn inbound(
    by: &str,
    id: String,
    from: &PhoneNumber,
    text: &str,
    at: DateTime<Utc>,
) -> Inbound {
    Inbound {
        link: link(by),
        id: Some(id),
        from: from.clone(),
        to: None,
        text: text.to_owned(),
        sent_at: at,
        sent_at_known: true,
        received_at: at,
    }
}

/// When the cages were stocked: eggs come from the tenth day.
pub(crate) fn stocked() -> DateTime<Utc> {
    "2026-03-02T05:00:00Z".parse().unwrap()
}

/// Midnight UTC of a day that begins a span of redelivery keys: the 20,526th of 1970's, a multiple of three.
pub(crate) fn shelf_change() -> DateTime<Utc> {
    "2026-03-14T00:00:00Z".parse().unwrap()
}

/// A disk with the scene on it; another one for each caller.
pub(crate) fn disk() -> MemoryDisk {
    static SCENE: OnceLock<MemoryDisk> = OnceLock::new();
    SCENE.get_or_init(founded).copy()
}

fn founded() -> MemoryDisk {
    let disk = MemoryDisk::default();
    let counter = Counter::in_memory(&disk, settings(), Clock::standing(stocked())).unwrap();
    let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
    let found = OfficeRequest::Found {
        coop: COOP,
        rules: Box::new(rules),
    };
    counter.office(found).unwrap();
    for no in 0..KEEPERS {
        let say = |count: u32, text: &str| {
            let id = format!("scene-{no}-{count}");
            let at = stocked() + Duration::seconds(i64::from(count));
            let by = LINKS[usize::try_from(no % 2).unwrap()];
            counter.clock().advance(Duration::seconds(20));
            let receipt = counter
                .take(COOP, inbound(by, id, &phone(no), text, at))
                .unwrap();
            assert!(
                matches!(receipt.outcome, Outcome::Saved | Outcome::Answered),
                "{text}: {receipt:?}"
            );
        };
        say(0, "join ZIWANI Asha");
        for cage in 1..=CAGES {
            say(cage, &format!("C{cage} stock 8000"));
        }
    }
    disk.restart(0);
    disk
}
