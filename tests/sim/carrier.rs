//! The SMPP link of the gateway in front of the simulated message centre: what the driver does with sockets and threads, done a turn at a time.
//!
//! The session, the flow of texts and the way to the counter are the driver's own. When each thing happens is drawn.

use crate::centre::Centre;
use crate::promises;
use crate::scene::{self, COOP};
use crate::tally::Tally;
use chrono::{DateTime, Duration, Utc};
use clutchline::counter::Counter;
use clutchline::links::board::{Board, LinkKind};
use clutchline::links::pace::Rebind;
use clutchline::links::parts::RefWidth;
use clutchline::links::smpp::clerk::Clerk;
use clutchline::links::smpp::flow::{Flow, Owed, Task};
use clutchline::links::smpp::incoming::{self, Incoming};
use clutchline::links::smpp::pdu::{Bind, BindAs, VERSION};
use clutchline::links::smpp::profile::{Binding, Centre as Alphabet, Ids, Long, Profile, Writing};
use clutchline::links::smpp::session::{Ended, Event, Limits, Session};
use clutchline::links::smpp::{fields::Address, ussd::UssdProfile};
use clutchline::links::ucs2::OctetOrder;
use clutchline::store::outbox::{OutboxId, OutboxRow, Settled};
use rand::Rng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex};

/// What a link of the gateway's is moved with.
pub(crate) struct Turn<'w> {
    pub(crate) counter: &'w Counter,
    pub(crate) rng: &'w mut ChaCha8Rng,
    pub(crate) parted: bool,
    pub(crate) told: bool,
    pub(crate) tally: &'w mut Tally,
}

impl Turn<'_> {
    pub(crate) fn now(&self) -> DateTime<Utc> {
        self.counter.clock().now()
    }

    pub(crate) fn tell(&self, what: impl FnOnce() -> String) {
        if self.told {
            println!("{} {}", self.now().format("%d %H:%M:%S"), what());
        }
    }
}

/// The link's side of one process: gone with it.
struct Process {
    clerk: Clerk,
    flow: Flow,
    session: Option<Session>,
    since: Option<DateTime<Utc>>,
    rebind: Rebind,
    bind_at: DateTime<Utc>,
    /// Messages that the counter is done with, and whether it kept them.
    paid: Arc<Mutex<Vec<(Owed, bool)>>>,
    /// Rows that a thread is to fetch.
    leasing: Option<usize>,
    /// Fates that threads are to settle.
    fates: Vec<(OutboxRow, Settled)>,
}

pub(crate) struct Carrier {
    pub(crate) centre: Centre,
    /// Rows that were leased.
    pub(crate) shown: BTreeMap<OutboxId, OutboxRow>,
    process: Process,
    /// Octets on their way to the centre.
    wire: Vec<u8>,
}

fn profile() -> Profile {
    let own = Address {
        ton: 3,
        npi: 1,
        digits: "20880".to_owned(),
    };
    Profile {
        address: "centre".to_owned(),
        binding: Binding::Transceiver,
        bind: Bind {
            system_id: "ziwani".to_owned(),
            version: VERSION,
            ..Bind::default()
        },
        limits: Limits {
            window: 4,
            taking: 4,
            enquire_after: Duration::seconds(30),
            answer_wait: Duration::seconds(30),
            bind_wait: Duration::seconds(30),
        },
        per_second: 2.0,
        country: "255".to_owned(),
        source: own,
        destination_ton: 1,
        destination_npi: 1,
        service_type: String::new(),
        centre: Alphabet::Gsm7,
        writing: Writing::Default,
        order: OctetOrder::default(),
        long: Long::Header(RefWidth::Eight),
        registered_delivery: 1,
        validity: true,
        reference: true,
        ids: Ids::Same,
        ussd: UssdProfile::default(),
    }
}

impl Process {
    fn new(counter: &Counter, dir: &Path) -> Self {
        let now = counter.clock().now();
        let seat = Board::default().seat(&scene::link("smpp"), LinkKind::Smpp, now);
        Self {
            clerk: Clerk::new(dir, seat, counter.clone(), COOP).unwrap(),
            flow: Flow::new(profile(), BindAs::Transceiver, now),
            session: None,
            since: None,
            rebind: Rebind::default(),
            bind_at: now,
            paid: Arc::default(),
            leasing: None,
            fates: Vec::new(),
        }
    }
}

impl Carrier {
    pub(crate) fn new(counter: &Counter, dir: &Path) -> Self {
        Self {
            centre: Centre::default(),
            shown: BTreeMap::new(),
            process: Process::new(counter, dir),
            wire: Vec::new(),
        }
    }

    /// The process died; octets that had left it may still arrive.
    pub(crate) fn restart(&mut self, dir: &Path, turn: &mut Turn<'_>) {
        if turn.rng.random_bool(0.5) {
            let now = turn.now();
            self.centre.hear(&self.wire, turn.rng, now);
        }
        self.wire.clear();
        self.centre.cut();
        self.process = Process::new(turn.counter, dir);
    }

    /// The network cuts the connection, in the middle of a frame if there is one.
    pub(crate) fn cut(&mut self, turn: &mut Turn<'_>) {
        turn.tell(|| "the line to the centre breaks".to_owned());
        let last = self.centre.last_octets();
        let now = turn.now();
        if let Some(session) = &mut self.process.session {
            session.feed(&last, now);
            session.lost();
        }
        self.wire.clear();
        self.centre.cut();
        self.events(turn);
    }

    /// Everything works from here on.
    pub(crate) fn mend(&mut self) {
        self.centre.well = true;
    }

    /// Once around both ends.
    pub(crate) fn turn(&mut self, turn: &mut Turn<'_>) {
        let now = turn.now();
        self.bind(turn);
        self.pay(turn);
        self.lease(turn);
        let process = &mut self.process;
        if let Some(session) = &mut process.session {
            process.flow.work(session, now);
            session.tick(now);
        }
        self.events(turn);
        self.settle(turn);
        if let Some(session) = &mut self.process.session {
            self.wire.extend(session.take_octets());
        }
        if turn.parted {
            return;
        }
        // Octets arrive in pieces of any size.
        let most = if self.centre.well {
            self.wire.len()
        } else {
            turn.rng.random_range(0..=self.wire.len())
        };
        let octets: Vec<u8> = self.wire.drain(..most).collect();
        self.centre.hear(&octets, turn.rng, now);
        self.centre.turn(turn.rng, now);
        while let Some(octets) = self.centre.next_octets(now) {
            let cut = turn.rng.random_range(0..octets.len());
            if let Some(session) = &mut self.process.session {
                session.feed(&octets[..cut], now);
                session.feed(&octets[cut..], now);
            }
            if !self.centre.well && turn.rng.random_bool(0.2) {
                break;
            }
        }
        self.events(turn);
    }

    fn bind(&mut self, turn: &mut Turn<'_>) {
        let (process, now) = (&mut self.process, turn.now());
        // A clock that was put back would have it wait for long.
        let waits = now < process.bind_at && process.bind_at - now < Duration::seconds(61);
        if process.session.is_none() && !waits && !turn.parted {
            turn.tell(|| "a bind to the centre".to_owned());
            process.session = Some(process.flow.session(now));
            self.wire.clear();
            self.centre.connect();
        }
    }

    fn pay(&mut self, turn: &mut Turn<'_>) {
        let paid = std::mem::take(&mut *self.process.paid.lock().unwrap());
        for (owed, kept) in paid {
            turn.tell(|| format!("message {} of the centre: kept {kept}", owed.sequence()));
            if let Some(session) = &mut self.process.session {
                self.process.flow.pay(session, owed, kept);
            }
            self.process.flow.look(turn.now());
        }
    }

    fn lease(&mut self, turn: &mut Turn<'_>) {
        let process = &mut self.process;
        let now = turn.now();
        let wanted = process
            .session
            .as_ref()
            .and_then(|session| process.flow.wanted(session, now));
        process.leasing = process.leasing.or(wanted);
        // The thread that fetches may be late.
        if process.leasing.is_none() || (!self.centre.well && turn.rng.random_bool(0.3)) {
            return;
        }
        self.fetch(turn);
    }

    fn fetch(&mut self, turn: &mut Turn<'_>) {
        let Some(most) = self.process.leasing.take() else {
            return;
        };
        let link = scene::link("smpp");
        let rows = turn.counter.lease_once(&link, "smpp", most);
        let rows = rows.unwrap_or_default();
        promises::in_order_of_urgency(&rows);
        for row in &rows {
            turn.tell(|| format!("row {} leased by the centre's link", row.id.0));
            promises::none_to_one_who_opted_out(turn.counter, turn.tally, row);
            if self.shown.insert(row.id, row.clone()).is_none() {
                turn.tally.count_shown(row);
            }
        }
        self.process.flow.leased(rows, turn.now());
    }

    fn events(&mut self, turn: &mut Turn<'_>) {
        let now = turn.now();
        while let Some(event) = self.process.session.as_mut().and_then(Session::next_event) {
            turn.tell(|| format!("session: {event:?}").chars().take(200).collect());
            match event {
                Event::Bound(_) => {
                    turn.tally.bound += 1;
                    self.process.since = Some(now);
                    self.process.flow.look(now);
                }
                Event::Ended(how) => self.ended(how, turn),
                other => {
                    if matches!(other, Event::Unknown { .. }) {
                        turn.tally.in_doubt += 1;
                    }
                    let draw = turn.rng.random_range(0.0..1.0);
                    if let Some(task) = self.process.flow.event(other, || draw, now) {
                        self.task(task);
                    }
                }
            }
        }
    }

    fn ended(&mut self, how: Ended, turn: &mut Turn<'_>) {
        // A lease on its way is waited for.
        self.fetch(turn);
        let now = turn.now();
        let process = &mut self.process;
        process.flow.rest(now);
        process.session = None;
        let held = process.since.take().map(|since| now - since);
        let refused = matches!(how, Ended::Refused(_));
        let draw = turn.rng.random_range(0.0..1.0);
        process.bind_at = now + process.rebind.pause(held, refused, draw);
        self.centre.cut();
    }

    fn task(&mut self, task: Task) {
        let paid = Arc::clone(&self.process.paid);
        let pay = move |owed, kept| paid.lock().unwrap().push((owed, kept));
        match task {
            Task::Fault { .. } => {}
            Task::Unread { why, .. } => panic!("the centre sends nothing unreadable: {why}"),
            Task::Came {
                owed,
                message,
                tlvs,
                ..
            } => match incoming::read(&profile(), &message, &tlvs) {
                Incoming::Text { from, text } => {
                    let to = message.destination.digits;
                    let done = move |kept| pay(owed, kept);
                    self.process.clerk.text(from, to, text, done);
                }
                Incoming::Unusable(why) => panic!("the centre sends nothing unusable: {why}"),
                other => {
                    let clerk = &self.process.clerk;
                    let kept = clerk.keep(other, owed.sequence(), *message, tlvs);
                    pay(owed, kept);
                }
            },
        }
    }

    /// Threads settle in any order, and late.
    fn settle(&mut self, turn: &mut Turn<'_>) {
        self.process.fates.extend(self.process.flow.take_fates());
        for (row, fate) in std::mem::take(&mut self.process.fates) {
            if !self.centre.well && turn.rng.random_bool(0.2) {
                self.process.fates.push((row, fate));
                continue;
            }
            turn.tell(|| format!("row {} is settled: {fate:?}", row.id.0));
            turn.counter.settle(row.id, fate).ok();
        }
    }

    /// Gives up long texts, and tries again what the counter could not take.
    pub(crate) fn look_after_parts(&self) {
        self.process.clerk.parts_due();
    }
}
