//! The drill: a gateway that is killed a hundred and eighty times under load keeps every message that it acknowledged, once.
//!
//! Clients do what a network does: they send a message again under its id until it is acknowledged. The kill falls after a drawn number of
//! acknowledgements and a drawn number of the scheduler's turns, so that it meets the writer in every phase of a batch.
//!
//! A killed gateway's port is anybody's: another drill on the same machine may listen there a moment later. Each drill has a secret of its own,
//! so that no client takes a stranger's word for its own gateway's.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[allow(dead_code, reason = "each test uses its own part of it")]
#[path = "gateway/child.rs"]
mod child;

use crate::child::{Gateway, call, found, printed};
use chrono::{DateTime, Duration, Utc};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::json;
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::{Condvar, Mutex};
use std::time::SystemTime;
use tempfile::tempdir;

/// With the twenty of `tests/smpp` under a message centre, two hundred.
const KILLS: usize = 180;
/// Messages are looked for after each so many kills, and at the end.
const LOOK_EVERY: usize = 20;
const KEEPERS: usize = 12;
const CAGES: usize = 20;
/// Days after stocking on which each cage is harvested: within a cage's laying time.
const HARVESTED: std::ops::Range<i64> = 10..22;
/// Acknowledgements between two kills at the most.
const ACKS_MOST: usize = 16;
/// Turns of the scheduler that the killer lets pass at the most.
const TURNS_MOST: usize = 200;
/// Whoever waits longer than this waits for nothing.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(30);
const SEED: u64 = 20_260_310;

/// One harvest as a keeper sends it.
#[derive(Clone)]
struct Message {
    id: String,
    from: String,
    text: String,
    at: DateTime<Utc>,
}

impl Message {
    /// Whether the gateway acknowledged it as kept; a failure to answer is no acknowledgement, nor is a refusal by one that does not know us.
    fn post(&self, address: SocketAddr, secret: &str) -> bool {
        let bearer = format!("Bearer {secret}");
        let headers = [
            ("Authorization", bearer.as_str()),
            ("Content-Type", "application/json"),
        ];
        let body = json!({"id": self.id, "from": self.from, "text": self.text, "sent_at": self.at.to_rfc3339()});
        let body = body.to_string();
        let Ok(answer) = call(address, "POST", "/in/north", &headers, body.as_bytes()) else {
            return false;
        };
        if matches!(answer.status, 401 | 404 | 503) {
            return false;
        }
        assert_eq!(answer.status, 200, "{}", answer.body);
        let outcome = answer.json()["outcome"].clone();
        // A repetition is answered as the first time: it must have been kept then.
        let kept = answer.body.contains("Saved");
        assert!(
            outcome == "saved" || (outcome == "duplicate" && kept),
            "{}: {}",
            self.text,
            answer.body
        );
        true
    }
}

/// Where the gateway is, and what it has acknowledged.
struct Field {
    secret: String,
    /// The address and how many gateways there have been.
    address: Mutex<(SocketAddr, usize)>,
    moved: Condvar,
    acks: Mutex<Acks>,
    acked: Condvar,
}

/// What was acknowledged, and how much may be before the next kill: however slow the killer's thread is, the diaries outlast the kills.
struct Acks {
    ids: Vec<String>,
    limit: usize,
}

impl Field {
    fn keep_posting(&self, messages: &[Message]) {
        let mut at = *self.address.lock().unwrap();
        for message in messages {
            self.wait_until(|acks| acks.ids.len() < acks.limit);
            while !message.post(at.0, &self.secret) {
                let seen = at.1;
                let guard = self.address.lock().unwrap();
                let (now, late) = self
                    .moved
                    .wait_timeout_while(guard, PATIENCE, |now| now.1 == seen)
                    .unwrap();
                assert!(!late.timed_out(), "no gateway came back");
                at = *now;
            }
            self.acks.lock().unwrap().ids.push(message.id.clone());
            self.acked.notify_all();
        }
    }

    fn wait_until(&self, so: impl Fn(&Acks) -> bool) {
        let guard = self.acks.lock().unwrap();
        let (_acks, late) = self
            .acked
            .wait_timeout_while(guard, PATIENCE, |acks| !so(acks))
            .unwrap();
        assert!(!late.timed_out(), "nobody went on");
    }

    /// Lets the clients go on up to so many acknowledgements; how many there are.
    fn allow(&self, limit: usize) -> usize {
        let mut acks = self.acks.lock().unwrap();
        acks.limit = limit;
        self.acked.notify_all();
        acks.ids.len()
    }

    fn ids(&self) -> Vec<String> {
        self.acks.lock().unwrap().ids.clone()
    }

    fn move_to(&self, address: SocketAddr) {
        let mut now = self.address.lock().unwrap();
        *now = (address, now.1 + 1);
        self.moved.notify_all();
    }
}

fn keeper(no: usize) -> String {
    format!("+2557000003{no:02}")
}

/// A secret that no other drill on this machine has: its folder's name is drawn.
fn secret_of(dir: &Path) -> String {
    format!("a-secret-of-{}", dir.display())
}

/// A cooperative whose keepers stocked their cages three weeks ago; no flood limit, and messages of old are believed.
fn founded(dir: &Path, secret: &str, stocked: DateTime<Utc>) -> PathBuf {
    let config = dir.join("clutchline.toml");
    let data = dir.join("data");
    let text = format!(
        "[store]\nfolder = {:?}\n[flood]\nmessages = 0\n[inbound]\nsent_at_hours_max = 2000\n[links.north]\nsecret = \"{secret}\"\n",
        data.to_str().unwrap()
    );
    std::fs::write(&config, text).unwrap();
    let place = config.to_str().unwrap();
    found(["--config", place]);
    let gateway = Gateway::real(&config);
    for no in 0..KEEPERS {
        let say = |count: usize, text: String| Message {
            id: format!("setup-{no}-{count}"),
            from: keeper(no),
            text,
            at: stocked,
        };
        assert!(say(0, "join ZIWANI Asha".to_owned()).post(gateway.address, secret));
        for cage in 1..=CAGES {
            assert!(say(cage, format!("C{cage} stock 8000")).post(gateway.address, secret));
        }
    }
    gateway.terminate();
    assert!(gateway.ended().0.success());
    config
}

/// One keeper's harvests in the order of days; each has its own weight from 1 to 2.9 g.
fn diary(no: usize, stocked: DateTime<Utc>) -> Vec<Message> {
    let mut messages = Vec::new();
    for day in HARVESTED {
        for cage in 1..=CAGES {
            let tenths = 10 + (no * 7 + cage * 3 + usize::try_from(day).unwrap()) % 20;
            messages.push(Message {
                id: format!("m-{no}-{day}-{cage}"),
                from: keeper(no),
                text: format!("C{cage} {}.{}", tenths / 10, tenths % 10),
                at: stocked + Duration::days(day) + Duration::minutes(i64::try_from(cage).unwrap()),
            });
        }
    }
    messages
}

/// Every row of the export by the id of its message: cage and grams, once.
fn exported(config: &Path) -> BTreeMap<String, (String, String)> {
    let csv = printed(&[
        "export",
        "--what",
        "harvests",
        "--config",
        config.to_str().unwrap(),
    ]);
    let mut rows = BTreeMap::new();
    let mut slots = BTreeMap::new();
    for line in csv.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let [member, cage, day, grams, _, id] = fields[..] else {
            panic!("{line}");
        };
        let slot = format!("{member} {cage} {day}");
        assert!(
            slots.insert(slot, id.to_owned()).is_none(),
            "two harvests: {line}"
        );
        let row = (cage.to_owned(), grams.to_owned());
        assert!(rows.insert(id.to_owned(), row).is_none(), "twice: {line}");
    }
    rows
}

fn assert_kept(acks: &[String], sent: &BTreeMap<String, Message>, config: &Path) {
    let rows = exported(config);
    for id in acks {
        let (cage, grams) = rows
            .get(id)
            .unwrap_or_else(|| panic!("{id} was acknowledged and is gone"));
        let text = format!("{cage} {grams}");
        let said = sent[id].text.trim_end_matches(".0");
        assert_eq!(text, said, "{id}");
    }
}

#[test]
fn a_hundred_and_eighty_kills_lose_and_double_nothing() {
    let dir = tempdir().unwrap();
    let now: DateTime<Utc> = SystemTime::now().into();
    let stocked = now - Duration::days(HARVESTED.end + 1);
    let secret = secret_of(dir.path());
    let config = founded(dir.path(), &secret, stocked);
    let diaries: Vec<_> = (0..KEEPERS).map(|no| diary(no, stocked)).collect();
    let sent: BTreeMap<String, Message> = diaries
        .iter()
        .flatten()
        .map(|m| (m.id.clone(), m.clone()))
        .collect();
    let mut gateway = Gateway::real(&config);
    let field = Field {
        secret,
        address: Mutex::new((gateway.address, 0)),
        moved: Condvar::new(),
        acks: Mutex::new(Acks {
            ids: Vec::new(),
            limit: 0,
        }),
        acked: Condvar::new(),
    };
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    let mut kills = 0;
    std::thread::scope(|scope| {
        for diary in &diaries {
            let field = &field;
            scope.spawn(move || field.keep_posting(diary));
        }
        while kills < KILLS {
            let limit = (kills + 1) * (sent.len() - 2 * KEEPERS) / KILLS;
            let acks = field.allow(limit);
            let wanted = limit.min(acks + rng.random_range(1..=ACKS_MOST));
            field.wait_until(|acks| acks.ids.len() >= wanted);
            for _ in 0..rng.random_range(0..TURNS_MOST) {
                std::thread::yield_now();
            }
            gateway.kill();
            kills += 1;
            gateway = Gateway::real(&config);
            if kills % LOOK_EVERY == 0 {
                assert_kept(&field.ids(), &sent, &config);
            }
            field.move_to(gateway.address);
        }
        field.allow(usize::MAX);
    });
    let acks = field.ids();
    assert_eq!(acks.len(), sent.len());
    assert_kept(&acks, &sent, &config);
    assert_eq!(
        exported(&config).len(),
        sent.len(),
        "more was stored than sent"
    );
    drop(gateway);
    printed(&["check", "--config", config.to_str().unwrap()]);
}

#[test]
fn a_stranger_on_the_old_port_acknowledges_nothing() {
    let (ours, theirs) = (tempdir().unwrap(), tempdir().unwrap());
    let now: DateTime<Utc> = SystemTime::now().into();
    let stocked = now - Duration::days(HARVESTED.end + 1);
    let secret = secret_of(ours.path());
    let config = founded(ours.path(), &secret, stocked);
    let other = founded(theirs.path(), &secret_of(theirs.path()), stocked);
    let message = diary(0, stocked).remove(0);
    let mut gateway = Gateway::real(&config);
    let port = gateway.address;
    gateway.kill();
    let stranger = Gateway::real_at(&other, port);
    let acked = message.post(stranger.address, &secret);
    drop(stranger);
    let gateway = Gateway::real_at(&config, port);
    let kept = exported(&config).contains_key(&message.id);
    assert_eq!(
        acked, kept,
        "acknowledged by one gateway, looked for in another"
    );
    assert!(message.post(gateway.address, &secret) && exported(&config).len() == 1);
}
