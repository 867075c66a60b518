//! One seed's story: phones, networks, disk and clock misbehave around a gateway that is moved a turn at a time.
//!
//! Everything is drawn from the seed; nothing waits and nothing runs beside.

use crate::carrier::Turn;
use crate::network::{Copy, Outgoing, Said, text};
use crate::promises;
use crate::scene::{self, COOP, KEEPERS, LINKS};
use crate::tally::Tally;
use crate::ways::{MENDED_ROUNDS, Ways};
use chrono::{DateTime, Duration, Utc};
use clutchline::clock::Clock;
use clutchline::counter::Counter;
use clutchline::links::http::schedule::{Next, after_failure};
use clutchline::store::memory::{Fault, MemoryDisk};
use clutchline::store::outbox::{OutboxRow, Settled};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// Turns of a story before everything is mended and must come right.
const TURNS: usize = 70;
/// The same where a third of the turns are a link's.
const TURNS_BY_LINK: usize = 110;
/// A network tells a text again after this long without an acknowledgement.
const TOLD_AGAIN_S: i64 = 40;
/// Turns within which a mended world must have come right.
const MENDED_TURNS: usize = 10;

pub(crate) struct World {
    told: bool,
    rng: ChaCha8Rng,
    pub(crate) clock: Clock,
    pub(crate) disk: MemoryDisk,
    pub(crate) counter: Counter,
    pub(crate) said: Vec<Said>,
    copies: Vec<Copy>,
    pub(crate) out: Outgoing,
    in_flight: Vec<OutboxRow>,
    parted: bool,
    pub(crate) ways: Ways,
    pub(crate) tally: Tally,
}

fn open(disk: &MemoryDisk, clock: &Clock) -> Counter {
    Counter::in_memory(disk, scene::settings(), clock.clone()).unwrap()
}

impl World {
    pub(crate) fn new(seed: u64, told: bool) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        // Stories begin before a reminder hour (06:00 at UTC+3), and one in eight around a change of redelivery shelves.
        let start: DateTime<Utc> = scene::stocked() + Duration::days(11 + rng.random_range(0..4));
        let start = match seed % 8 {
            0 => scene::shelf_change() - Duration::minutes(rng.random_range(0..6)),
            _ => start - Duration::minutes(rng.random_range(100..240)),
        };
        let clock = Clock::standing(start);
        let disk = scene::disk();
        let counter = open(&disk, &clock);
        let ways = Ways::new(seed, &counter);
        Self {
            told,
            rng,
            clock,
            disk,
            counter,
            said: Vec::new(),
            copies: Vec::new(),
            out: Outgoing::default(),
            in_flight: Vec::new(),
            parted: false,
            ways,
            tally: Tally::default(),
        }
    }

    pub(crate) fn run(mut self) -> Tally {
        let turns = if self.ways.is_http() {
            TURNS
        } else {
            TURNS_BY_LINK
        };
        for turn in 0..turns {
            self.turn(turn);
            if self.disk.is_cut() {
                self.restart();
            }
        }
        self.mend();
        promises::all_kept(&self);
        self.tally.delivered = self.out.taken.len() as u64;
        self.tally.dead = self.out.dead.len() as u64;
        self.tally.acked = self.said.iter().filter(|said| said.is_acked()).count() as u64;
        self.tally.failed_commits += self.counter.counts().store_failures;
        self.ways.count(&mut self.tally);
        self.tally
    }

    fn tell(&self, what: impl FnOnce() -> String) {
        if self.told {
            println!("{} {}", self.clock.now().format("%d %H:%M:%S"), what());
        }
    }

    fn turn(&mut self, turn: usize) {
        let sides = if self.ways.is_http() { 100 } else { 155 };
        match self.rng.random_range(0..sides) {
            100.. => self.by_link(Ways::turn),
            0..26 => self.say(turn),
            26..50 => self.arrive(),
            50..62 => {
                let worked = self.counter.step();
                self.tell(|| format!("the writer takes a turn: {worked}"));
            }
            62..68 => self.tick(),
            68..76 => self.lease(),
            76..82 => self.settle_one(),
            82..91 => {
                let by = Duration::seconds(self.rng.random_range(1..90));
                self.advance(by);
            }
            91 => {
                let by = Duration::minutes(self.rng.random_range(20..150));
                self.advance(by);
            }
            92 => {
                let by = Duration::seconds(self.rng.random_range(1..400));
                self.tally.clock_back += 1;
                self.advance(-by);
            }
            93 => self.parted = !self.parted,
            94..98 => self.plan_fault(),
            _ => self.restart(),
        }
        // Clocks are put right when they are found wrong: soon after midnight, in some stories.
        let since = self.clock.now() - scene::shelf_change();
        if since > Duration::zero() && since < Duration::minutes(3) && self.rng.random_bool(0.2) {
            self.tally.clock_back += 1;
            self.advance(-since - Duration::seconds(20));
        }
        self.collect();
    }

    /// The link of the seed's own network moves.
    fn by_link(&mut self, how: impl FnOnce(&mut Ways, &mut Turn<'_>)) {
        let mut turn = Turn {
            counter: &self.counter,
            rng: &mut self.rng,
            parted: self.parted,
            told: self.told,
            tally: &mut self.tally,
        };
        how(&mut self.ways, &mut turn);
    }

    fn advance(&mut self, by: Duration) {
        self.clock.advance(by);
        self.tell(|| format!("the clock moves by {} s", by.num_seconds()));
    }

    fn say(&mut self, turn: usize) {
        let no = self.rng.random_range(0..=KEEPERS);
        let text = text(self.rng.random(), turn);
        let by = self.ways.links()[self.rng.random_range(0..3)];
        let now = self.clock.now();
        self.tell(|| format!("phone {no} says by {by}: {text}"));
        if !LINKS.contains(&by) {
            self.tally.said += 1;
            return self.by_link(|ways, turn| ways.say(no, text, turn));
        }
        let inbound = scene::inbound(
            by,
            format!("m-{}", self.said.len()),
            &scene::phone(no),
            &text,
            now,
        );
        self.tally.said += 1;
        self.said.push(Said {
            inbound,
            acks: Vec::new(),
            sent_acks: Arc::default(),
            refused: Arc::default(),
        });
        self.put_on_the_way(self.said.len() - 1);
    }

    /// One copy or two, each with a delay of its own, so that texts overtake each other.
    fn put_on_the_way(&mut self, said: usize) {
        let copies = if self.rng.random_bool(0.2) { 2 } else { 1 };
        for _ in 0..copies {
            let delay = Duration::milliseconds(self.rng.random_range(0..30_000));
            let arrives = self.clock.now() + delay;
            self.copies.push(Copy { said, arrives });
        }
        self.tally.copies += copies - 1;
    }

    /// Every copy whose time has come meets the gateway, or nobody where the network is parted or drops it.
    fn arrive(&mut self) {
        let now = self.clock.now() + Duration::seconds(15);
        let (due, later): (Vec<Copy>, Vec<Copy>) =
            self.copies.drain(..).partition(|copy| copy.arrives <= now);
        self.copies = later;
        for copy in due {
            if self.parted || self.rng.random_bool(0.1) {
                self.tell(|| format!("a copy of m-{} is lost", copy.said));
                continue;
            }
            self.submit(copy.said);
        }
        for said in 0..self.said.len() {
            let waits = self.copies.iter().any(|copy| copy.said == said);
            let old = self.clock.now() - self.said[said].inbound.sent_at;
            if !self.said[said].is_acked() && !waits && old > Duration::seconds(TOLD_AGAIN_S) {
                self.tally.copies += 1;
                self.put_on_the_way(said);
            }
        }
    }

    fn submit(&mut self, said: usize) {
        self.tell(|| format!("m-{said} arrives"));
        let acks = Arc::clone(&self.said[said].sent_acks);
        let refused = Arc::clone(&self.said[said].refused);
        let mut inbound = self.said[said].inbound.clone();
        inbound.received_at = self.clock.now();
        let done = Box::new(move |fate: Result<_, _>| match fate {
            Ok(receipt) => acks.lock().unwrap().push(receipt),
            Err(_) => refused.store(true, Ordering::Relaxed),
        });
        self.counter.submit(COOP, inbound, done);
    }

    /// Acknowledgements that the gateway sent reach the network, or are lost; either way the gateway has promised.
    fn collect(&mut self) {
        for no in 0..self.said.len() {
            if self.said[no].refused.swap(false, Ordering::Relaxed) {
                // A network that is refused asks again at once.
                self.put_on_the_way(no);
            }
            let sent = std::mem::take(&mut *self.said[no].sent_acks.lock().unwrap());
            for receipt in sent {
                promises::an_answer_stays(&self.said[no], &receipt);
                let lost = self.parted || self.rng.random_bool(0.15);
                self.tell(|| format!("m-{no} acknowledged: {:?}, lost: {lost}", receipt.outcome));
                let said = &mut self.said[no];
                said.acks.push(receipt);
                if lost {
                    // The promise stands, and the network asks again all the same.
                    self.put_on_the_way(no);
                }
            }
        }
    }

    fn tick(&mut self) {
        let woken = self.counter.tick();
        self.tell(|| format!("farms woken: {woken:?}"));
    }

    fn lease(&mut self) {
        let most = self.rng.random_range(1..6);
        // Both links have a way out: notices and reminders leave where a member was last heard.
        let by = scene::link(LINKS[self.rng.random_range(0..LINKS.len())]);
        let Ok(rows) = self.counter.lease(&by, "sim", most) else {
            return;
        };
        promises::in_order_of_urgency(&rows);
        for row in rows {
            self.tell(|| {
                format!(
                    "row {} leased: {:?} to {}",
                    row.id.0, row.urgency, row.outbound.to
                )
            });
            promises::none_to_one_who_opted_out(&self.counter, &mut self.tally, &row);
            if self.out.shown.insert(row.id, row.clone()).is_none() {
                self.tally.count_shown(&row);
            }
            self.in_flight.push(row);
        }
    }

    /// One text meets the outgoing network; the gateway may never hear how it went.
    fn settle_one(&mut self) {
        if self.in_flight.is_empty() {
            return;
        }
        let row = self
            .in_flight
            .remove(self.rng.random_range(0..self.in_flight.len()));
        let fate = match self.rng.random_range(0..10) {
            0..6 if !self.parted => Settled::sent(),
            6 if !self.parted => Settled::Dead {
                why: "no such number".to_owned(),
            },
            _ => {
                let chance = self.rng.random_range(0.0..1.0);
                match after_failure(self.clock.now(), row.expires, row.attempts, None, chance) {
                    Next::Retry(at) => Settled::Retry { at },
                    Next::Expired => Settled::Expired,
                    Next::GiveUp => return,
                }
            }
        };
        self.tell(|| format!("row {} meets the network: {fate:?}", row.id.0));
        if matches!(fate, Settled::Sent { .. }) {
            self.out.taken.insert(row.id, row.clone());
        }
        if self.rng.random_bool(0.15) {
            return;
        }
        if matches!(fate, Settled::Dead { .. }) {
            // Even where the settling fails: a write whose flush failed may be carried by the next one.
            self.out.dead.insert(row.id);
        }
        self.counter.settle(row.id, fate).ok();
    }

    fn plan_fault(&mut self) {
        let fault = [
            Fault::WriteFails,
            Fault::FlushFails,
            Fault::CutBeforeWrite,
            Fault::CutBeforeFlush,
            Fault::CutAfterFlush,
        ][self.rng.random_range(0..5)];
        self.tell(|| format!("the next commit meets {fault:?}"));
        self.disk.plan(fault);
    }

    /// The process dies with everything it held in memory, the disk keeps what was safe and maybe more, and the process starts again.
    fn restart(&mut self) {
        self.collect();
        let kept = match self.rng.random_bool(0.5) {
            true => 0,
            false => self.rng.random_range(0..=self.disk.waiting()),
        };
        self.tell(|| format!("the power goes; {kept} unflushed writes stay"));
        self.tally.restarts += 1;
        self.tally.failed_commits += self.counter.counts().store_failures;
        self.disk.restart(kept);
        self.counter = open(&self.disk, &self.clock);
        self.by_link(Ways::restart);
        self.in_flight.retain(|_| self.rng.random_bool(0.5));
        if self.rng.random_bool(0.3) {
            promises::holds_together(self);
        }
    }

    /// Everything works again; the networks tell and fetch until nothing is left to do.
    fn mend(&mut self) {
        self.tell(|| "everything is mended".to_owned());
        self.parted = false;
        self.restart();
        self.in_flight.clear();
        self.by_link(Ways::mend);
        for _ in 0..MENDED_TURNS {
            self.mended_rounds();
            for no in 0..self.said.len() {
                if !self.said[no].is_acked() {
                    self.submit(no);
                }
            }
            while self.counter.step() {}
            self.collect_all();
            self.tick();
            let lease = |by: &str| self.counter.lease(&scene::link(by), "sim", 50).unwrap();
            for row in LINKS.into_iter().flat_map(lease).collect::<Vec<_>>() {
                promises::none_to_one_who_opted_out(&self.counter, &mut self.tally, &row);
                self.out.shown.insert(row.id, row.clone());
                self.counter.settle(row.id, Settled::sent()).unwrap();
                self.out.taken.insert(row.id, row);
            }
            self.mended_rounds();
        }
        // What the last tick made leaves too, one text in half a minute by a modem.
        (0..MENDED_TURNS).for_each(|_| self.mended_rounds());
    }

    fn mended_rounds(&mut self) {
        for _ in 0..MENDED_ROUNDS {
            self.clock.advance(Duration::seconds(4));
            self.by_link(Ways::round);
        }
    }

    fn collect_all(&mut self) {
        for said in &mut self.said {
            for receipt in std::mem::take(&mut *said.sent_acks.lock().unwrap()) {
                promises::an_answer_stays(said, &receipt);
                said.acks.push(receipt);
            }
        }
    }
}
