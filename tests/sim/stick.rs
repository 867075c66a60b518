//! The modem link of the gateway in front of a scripted modem: what the driver does with its thread, done a turn at a time.
//!
//! The session and the clerk are the driver's own. The modem is pulled out and plugged in, slow, deaf, silent; its storage survives everything.

use crate::carrier::Turn;
use crate::fake::{Fake, Slip};
use crate::promises;
use crate::scene::{self, COOP};
use crate::sms::Sms;
use crate::written;
use chrono::{DateTime, Duration, Utc};
use clutchline::counter::Counter;
use clutchline::links::board::{Board, LinkKind};
use clutchline::links::modem::clerk::Clerk;
use clutchline::links::modem::driver::Parts;
use clutchline::links::modem::profile::{Limits, Profile};
use clutchline::links::modem::session::{Ended, Event, Session};
use clutchline::links::pace::Rebind;
use clutchline::store::outbox::{OutboxId, OutboxRow};
use rand::Rng;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

struct Process {
    clerk: Clerk,
    session: Option<Session>,
    since: Option<DateTime<Utc>>,
    rebind: Rebind,
    open_at: DateTime<Utc>,
}

pub(crate) struct Stick {
    pub(crate) sms: Vec<Sms>,
    /// Parts as they lie in the storage, and whose they are.
    written: BTreeMap<String, (usize, usize)>,
    /// What the network took, by row.
    pub(crate) taken: BTreeMap<OutboxId, BTreeSet<String>>,
    pub(crate) shown: BTreeMap<OutboxId, OutboxRow>,
    fake: Fake,
    /// The row that the modem was given last.
    going: Option<OutboxId>,
    process: Process,
    to_modem: Vec<u8>,
    to_gateway: Vec<u8>,
    well: bool,
}

fn profile() -> Profile {
    Profile {
        path: "modem".into(),
        baud: 115_200,
        pin: None,
        per_second: 1.0,
        country: "255".to_owned(),
        receipts: true,
        validity: false,
        limits: Limits {
            storage: "SM".to_owned(),
            poll_every: Duration::seconds(30),
            send_wait: Duration::seconds(60),
        },
    }
}

impl Process {
    fn new(counter: &Counter, dir: &Path) -> Self {
        let now = counter.clock().now();
        let parts = Parts {
            seat: Board::default().seat(&scene::link("gsm"), LinkKind::Modem, now),
            profile: profile(),
            counter: counter.clone(),
            coop: COOP,
            seed: 1,
        };
        Self {
            clerk: Clerk::new(parts, dir).unwrap(),
            session: None,
            since: None,
            rebind: Rebind::default(),
            open_at: now,
        }
    }
}

impl Stick {
    pub(crate) fn new(counter: &Counter, dir: &Path) -> Self {
        Self {
            sms: Vec::new(),
            written: BTreeMap::new(),
            taken: BTreeMap::new(),
            shown: BTreeMap::new(),
            fake: Fake::default(),
            going: None,
            process: Process::new(counter, dir),
            to_modem: Vec::new(),
            to_gateway: Vec::new(),
            well: false,
        }
    }

    /// A phone's text is on its way to the modem.
    pub(crate) fn say(&mut self, sms: Sms, at: DateTime<Utc>) {
        let no = self.sms.len();
        let total = u8::try_from(sms.parts.len()).unwrap();
        for part in 0..sms.parts.len() {
            let numbering = [sms.reference, total, u8::try_from(part + 1).unwrap()];
            let said = sms.part(part);
            let hex = |stamp| match total {
                1 => written::text(100 + sms.phone, said, stamp),
                _ => written::part_of(100 + sms.phone, said, numbering, stamp),
            };
            // The service centre's seconds: no two lie written the same.
            let mut stamp = at;
            while self.written.contains_key(&hex(stamp)) {
                stamp -= Duration::seconds(1);
            }
            self.written.insert(hex(stamp), (no, part));
        }
        self.sms.push(sms);
    }

    /// The process died; octets that had left it may still arrive.
    pub(crate) fn restart(&mut self, dir: &Path, turn: &mut Turn<'_>) {
        if turn.rng.random_bool(0.5) {
            self.hear(turn);
        }
        self.to_modem.clear();
        self.to_gateway.clear();
        self.process = Process::new(turn.counter, dir);
    }

    /// Pulled out; plugged in again by a later turn.
    pub(crate) fn unplug(&mut self, turn: &mut Turn<'_>) {
        turn.tell(|| "the modem is pulled out".to_owned());
        self.fake.gone = true;
    }

    pub(crate) fn mend(&mut self, turn: &mut Turn<'_>) {
        self.well = true;
        self.fake.slips.clear();
        self.unplug(turn);
    }

    pub(crate) fn turn(&mut self, turn: &mut Turn<'_>) {
        if self.fake.gone {
            if let Some(session) = &mut self.process.session {
                session.lost();
                self.serve(turn);
            }
            if self.well || turn.rng.random_bool(0.5) {
                self.plug_in();
            }
            return;
        }
        self.open(turn);
        self.arrives(turn);
        self.slip(turn);
        self.serve(turn);
        self.hear(turn);
        let octets = std::mem::take(&mut self.to_gateway);
        let now = turn.now();
        if let Some(session) = &mut self.process.session {
            let cut = turn.rng.random_range(0..=octets.len());
            session.feed(&octets[..cut], now);
            session.feed(&octets[cut..], now);
            session.tick(now);
        }
        self.serve(turn);
    }

    /// A modem that starts anew: only its storage is as before.
    fn plug_in(&mut self) {
        (self.fake.gone, self.fake.deaf) = (false, false);
        (self.fake.echo, self.fake.text_mode) = (true, true);
        (self.fake.message, self.fake.line) = (None, Vec::new());
        self.to_modem.clear();
        self.to_gateway.clear();
    }

    fn open(&mut self, turn: &mut Turn<'_>) {
        let (process, now) = (&mut self.process, turn.now());
        let waits = now < process.open_at && process.open_at - now < Duration::seconds(61);
        if process.session.is_none() && !waits {
            turn.tell(|| "the port is opened".to_owned());
            process.session = Some(process.clerk.session());
        }
    }

    /// The network gives the modem what it can take; now and then twice.
    fn arrives(&mut self, turn: &mut Turn<'_>) {
        if turn.parted {
            return;
        }
        let stored: BTreeSet<String> = self.fake.storage.values().map(|s| s.1.clone()).collect();
        for (hex, (no, part)) in &self.written {
            let state = &mut self.sms[*no].parts[*part];
            let again = !self.well && turn.rng.random_bool(0.02);
            let new = !state.given && (self.well || turn.rng.random_bool(0.6));
            if stored.contains(hex) || !(new || (state.given && again)) {
                continue;
            }
            let said = self.fake.arrives(hex);
            if said.contains("CMTI") {
                turn.tally.copies += u64::from(state.given);
                state.given = true;
            }
            if self.well || turn.rng.random_bool(0.9) {
                self.to_gateway.extend(said.into_bytes());
            }
        }
    }

    /// What goes wrong with the next text.
    fn slip(&mut self, turn: &mut Turn<'_>) {
        if self.well || !self.fake.slips.is_empty() || !turn.rng.random_bool(0.2) {
            return;
        }
        let slips = [
            Slip::NoPrompt,
            Slip::ErrorForPrompt("+CMS ERROR: 500"),
            Slip::TakenInSilence,
            Slip::TakenWithoutOk,
            Slip::Says("+CMS ERROR: 38"),
            Slip::Says("+CMS ERROR: 1"),
            Slip::Says("ERROR"),
            Slip::Unplugged,
        ];
        let slip = slips[turn.rng.random_range(0..slips.len())].clone();
        self.fake.slips.push_back(slip);
    }

    /// The driver's turn: what is due to be submitted, what was heard, what is settled.
    fn serve(&mut self, turn: &mut Turn<'_>) {
        let process = &mut self.process;
        process.clerk.look_after();
        let Some(mut session) = process.session.take() else {
            return;
        };
        process.clerk.submit_due(&mut session);
        if let Some(row) = process.clerk.in_hand().next() {
            self.going = Some(row.id);
            promises::none_to_one_who_opted_out(turn.counter, turn.tally, row);
            if self.shown.insert(row.id, row.clone()).is_none() {
                turn.tell(|| format!("row {} leased by the modem's link", row.id.0));
                turn.tally.count_shown(row);
            }
        }
        let mut ended: Option<Ended> = None;
        while let Some(event) = session.next_event() {
            turn.tell(|| format!("modem: {event:?}").chars().take(200).collect());
            turn.tally.in_doubt += u64::from(matches!(event, Event::Unknown { .. }));
            turn.tally.bound += u64::from(event == Event::Ready);
            if let Some(how) = process.clerk.event(event, &mut session, &mut process.since) {
                ended = Some(how);
            }
        }
        process.clerk.settle_fates();
        self.to_modem.extend(session.take_octets());
        let Some(how) = ended else {
            process.session = Some(session);
            return;
        };
        process.clerk.over(&how);
        process.clerk.rest();
        let now = turn.now();
        let held = process.since.take().map(|since| now - since);
        let draw = turn.rng.random_range(0.0..1.0);
        process.open_at = now + process.rebind.pause(held, how.needs_person(), draw);
        self.to_modem.clear();
    }

    /// The modem hears the gateway; what it deletes was promised, and what the network took is noted.
    fn hear(&mut self, turn: &mut Turn<'_>) {
        let most = if self.well {
            self.to_modem.len()
        } else {
            turn.rng.random_range(0..=self.to_modem.len())
        };
        let octets: Vec<u8> = self.to_modem.drain(..most).collect();
        let before = self.fake.storage.clone();
        let sent = self.fake.sent.len();
        let said = self.fake.hear(&octets);
        self.to_gateway.extend(said);
        for (place, (_, hex)) in before {
            if !self.fake.storage.contains_key(&place) {
                let (no, part) = self.written[&hex];
                turn.tell(|| format!("m-{no} part {part} is deleted from the SIM"));
                self.sms[no].parts[part].acked = true;
            }
        }
        for hex in self.fake.sent.iter().skip(sent) {
            let row = self.going.unwrap();
            turn.tell(|| format!("the network took row {}", row.0));
            let new = self.taken.entry(row).or_default().insert(hex.clone());
            assert!(new, "row {} was taken and is sent again", row.0);
        }
    }
}
