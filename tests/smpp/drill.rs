//! The drill over SMPP: a gateway that is killed again and again while a message centre delivers keeps every text that it answered, once.
//!
//! The centre does what centres do: what was not answered, or answered "not now", is delivered again on the next bind. SMPP gives a text no id, so
//! that the second copy is known by its sender and words.

use crate::centre::{Centre, Peer, text_from};
use crate::child::{Gateway, found, printed};
use clutchline::links::smpp::pdu::Body;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::fmt::Write;
use tempfile::tempdir;

const KILLS: usize = 20;
/// Texts without an answer at a time.
const WINDOW: usize = 8;
const KEEPERS: u32 = 4;
const CAGES: u32 = 6;
const JOBS: [&str; 4] = ["bait", "water", "moat", "shade"];
/// Each job is told for so many days back.
const DAYS: u32 = 10;
const SEED: u64 = 20_260_310;

/// What is delivered: by whom, and its words. No two are alike.
fn texts() -> Vec<(u32, String)> {
    let mut texts = Vec::new();
    for day in (1..=DAYS).rev() {
        for cage in 1..=CAGES {
            for job in JOBS {
                for keeper in 0..KEEPERS {
                    texts.push((keeper, format!("C{cage} {job} -{day}")));
                }
            }
        }
    }
    texts
}

/// One day at the centre: what waits, what was answered.
struct Day {
    texts: Vec<(u32, String)>,
    queue: VecDeque<usize>,
    answered: BTreeSet<usize>,
    submitted: u32,
}

impl Day {
    /// Delivers until so many more are answered, or all are. What is then without an answer waits for the next bind.
    fn deliver(&mut self, peer: &mut Peer, more: usize) {
        let wanted = (self.answered.len() + more).min(self.texts.len());
        let mut waiting: BTreeMap<u32, usize> = BTreeMap::new();
        while self.answered.len() < wanted {
            while waiting.len() < WINDOW
                && let Some(next) = self.queue.pop_front()
            {
                let (keeper, text) = &self.texts[next];
                waiting.insert(peer.deliver(text_from(*keeper, text), Vec::new()), next);
            }
            let pdu = peer.next();
            match pdu.body {
                Body::DeliverResp(_) => {
                    let text = waiting.remove(&pdu.sequence).unwrap();
                    if pdu.status == 0 {
                        self.answered.insert(text);
                    } else {
                        self.queue.push_back(text);
                    }
                }
                Body::Submit(_) => {
                    self.submitted += 1;
                    peer.answer(pdu.sequence, 0, &format!("s-{}", self.submitted));
                }
                Body::EnquireLink => peer.send(pdu.sequence, 0, Body::EnquireLinkResp, Vec::new()),
                other => panic!("{other:?}"),
            }
        }
        for (_, text) in waiting.into_iter().rev() {
            self.queue.push_front(text);
        }
    }
}

#[test]
fn kills_over_smpp_lose_and_double_nothing() {
    let (dir, centre) = (tempdir().unwrap(), Centre::open());
    let config = dir.path().join("clutchline.toml");
    let mut settings = format!(
        "[store]\nfolder = {:?}\n[flood]\nmessages = 0\n[links.north]\nkind = \"smpp\"\ncountry = \"255\"\nrate_per_second = 1000.0\n",
        dir.path().join("data").to_str().unwrap()
    );
    write!(
        settings,
        "[links.north.smpp]\naddress = \"{}\"\nsystem_id = \"ziwani\"\npassword = \"geheim\"\nsource = \"40123\"\n",
        centre.address()
    )
    .unwrap();
    std::fs::write(&config, settings).unwrap();
    let place = config.to_str().unwrap();
    found(["--config", place]);
    let mut gateway = Gateway::real(&config);
    let mut peer = centre.bound();
    // One after the other: a keeper's first line makes the member.
    let mut begin = |texts: Vec<(u32, String)>| {
        let queue = (0..texts.len()).collect();
        let mut day = Day {
            texts,
            queue,
            answered: BTreeSet::new(),
            submitted: 0,
        };
        day.deliver(&mut peer, usize::MAX / 2);
    };
    for keeper in 0..KEEPERS {
        begin(vec![(keeper, "join ZIWANI Asha".to_owned())]);
        let now: chrono::DateTime<chrono::Utc> = std::time::SystemTime::now().into();
        let stocked = now - chrono::Duration::days(i64::from(DAYS) + 2);
        for cage in 1..=CAGES {
            begin(vec![(
                keeper,
                format!("C{cage} stock 8000 {}", stocked.format("%d/%m")),
            )]);
        }
    }
    let texts = texts();
    let queue = (0..texts.len()).collect();
    let mut day = Day {
        texts,
        queue,
        answered: BTreeSet::new(),
        submitted: 0,
    };
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    let share = day.texts.len() / KILLS;
    for _ in 0..KILLS {
        day.deliver(&mut peer, rng.random_range(1..share));
        for _ in 0..rng.random_range(0..200) {
            std::thread::yield_now();
        }
        gateway.kill();
        gateway = Gateway::real(&config);
        peer = centre.bound();
    }
    day.deliver(&mut peer, usize::MAX / 2);
    assert_eq!(day.answered.len(), day.texts.len());
    let rows = printed(&["export", "--what", "care", "--config", place]);
    let rows: Vec<&str> = rows
        .lines()
        .skip(1)
        .filter(|row| JOBS.iter().any(|job| row.contains(job)))
        .collect();
    // Member, cage, day and job: what a second copy would repeat.
    let of_what = |row: &&str| row.split(',').take(4).collect::<Vec<_>>().join(",");
    let unique: BTreeSet<String> = rows.iter().map(of_what).collect();
    assert_eq!(rows.len(), unique.len(), "something was kept twice");
    assert_eq!(
        rows.len(),
        day.texts.len(),
        "something that was answered is gone"
    );
    drop(gateway);
    printed(&["check", "--config", place]);
}
