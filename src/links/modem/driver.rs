//! The one driver of a modem link: a thread of its own, for serial ports block, joined to the gateway's tasks by one channel.
//!
//! Opens the port, again and again where it goes, and moves octets between it and its session. What a message is and what becomes of texts is in
//! [`work`](crate::links::modem). This room reads the clock.

use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::links::board::{Gauges, Seat, Standing};
use crate::links::intake::Intake;
use crate::links::modem::outgoing::Piece;
use crate::links::modem::pin::PinRecord;
use crate::links::modem::port::{Port, Said};
use crate::links::modem::profile::Profile;
use crate::links::modem::session::{Ended, Session};
use crate::links::modem::trace;
use crate::links::pace::{Pace, Rebind};
use crate::links::sending::Sending;
use chrono::{DateTime, TimeDelta, Utc};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::time::Duration;
use tokio::sync::{oneshot, watch};

/// Pieces of what was read that may wait: beyond it the reader waits too, and the modem with it.
const NOTES_MOST: usize = 64;
/// Between two looks into an empty outbox, and at parts that are due; an answer to a message that just came is looked for at once.
const LOOK_EVERY: TimeDelta = TimeDelta::milliseconds(500);
/// How long a text on its way is waited for when the gateway stops.
const LEAVE_WAIT: TimeDelta = TimeDelta::milliseconds(1_000);

/// What a driver is made of.
pub struct Parts {
    /// The link's row on the board.
    pub seat: Seat,
    /// What the modem and its SIM want.
    pub profile: Profile,
    /// Where messages go and texts come from.
    pub counter: Counter,
    /// The cooperative whose link it is.
    pub coop: CoopId,
    /// Spreads the pauses.
    pub seed: u64,
}

/// What the thread waits for.
enum Note {
    /// The port of that number said so.
    Port(u64, Said),
    /// Look around: the gateway may be stopping.
    Wake,
}

/// One link's driver.
pub struct Driver {
    worker: Worker,
    waking: SyncSender<Note>,
    stopping: Arc<AtomicBool>,
}

/// What the thread owns.
pub(super) struct Worker {
    pub(super) seat: Seat,
    pub(super) profile: Profile,
    pub(super) counter: Counter,
    pub(super) coop: CoopId,
    pub(super) intake: Intake,
    pub(super) pins: PinRecord,
    pub(super) sending: Sending<Piece>,
    pub(super) pace: Pace,
    /// The piece that the modem has: its token and its receiver.
    pub(super) going: Option<(u64, String)>,
    /// When the outbox is looked into next.
    pub(super) look_at: DateTime<Utc>,
    pub(super) gauges: Gauges,
    /// The storage was said to be nearly full.
    pub(super) alarmed: bool,
    /// Messages that are stored nowhere and that the counter could not take yet.
    pub(super) unstored: Vec<String>,
    pub(super) draws: u64,
    /// For the log.
    heard: trace::Heard,
    parts_at: DateTime<Utc>,
    notes: Receiver<Note>,
    tell: SyncSender<Note>,
    stopping: Arc<AtomicBool>,
    ports: u64,
}

impl Driver {
    /// A driver that keeps parts of long texts, unreadable octets and the record of PINs in `dir`.
    ///
    /// # Errors
    /// When the files in `dir` cannot be used.
    pub fn new(parts: Parts, dir: &Path) -> std::io::Result<Self> {
        let Parts {
            seat,
            profile,
            counter,
            coop,
            seed,
        } = parts;
        let now = counter.clock().now();
        let intake = Intake::open(dir, seat.clone(), counter.clone(), coop)?;
        let pins = PinRecord::new(dir, &seat.link().0);
        let (tell, notes) = sync_channel(NOTES_MOST);
        let stopping = Arc::new(AtomicBool::new(false));
        let pace = Pace::new(profile.per_second, now);
        let worker = Worker {
            seat,
            profile,
            counter,
            coop,
            intake,
            pins,
            sending: Sending::default(),
            pace,
            going: None,
            look_at: now,
            gauges: Gauges::default(),
            alarmed: false,
            unstored: Vec::new(),
            draws: seed,
            heard: trace::Heard::default(),
            parts_at: now,
            notes,
            tell: tell.clone(),
            stopping: stopping.clone(),
            ports: 0,
        };
        Ok(Self {
            worker,
            waking: tell,
            stopping,
        })
    }

    /// Runs until `stop` turns true; a text on its way is waited for a second.
    pub async fn run(self, mut stop: watch::Receiver<bool>) {
        let (over, ended) = oneshot::channel();
        let worker = self.worker;
        let link = worker.seat.link().clone();
        let started = std::thread::Builder::new()
            .name(format!("modem {link}"))
            .spawn(move || {
                worker.run();
                over.send(()).ok();
            });
        if let Err(error) = started {
            return tracing::error!(%link, %error, "the modem's thread could not be started");
        }
        // A sender that is gone counts as the word to stop.
        while !*stop.borrow() && stop.changed().await.is_ok() {}
        self.stopping.store(true, Ordering::SeqCst);
        // A full channel means that the thread is awake.
        self.waking.try_send(Note::Wake).ok();
        ended.await.ok();
    }
}

impl Worker {
    pub(super) fn now(&self) -> DateTime<Utc> {
        self.counter.clock().now()
    }

    /// Even over 0.0 to 1.0.
    pub(super) fn chance(&mut self) -> f64 {
        self.draws = self.draws.wrapping_add(1);
        ChaCha8Rng::seed_from_u64(self.draws).random_range(0.0..1.0)
    }

    fn is_stopping(&self) -> bool {
        self.stopping.load(Ordering::SeqCst)
    }

    /// One port after the other.
    fn run(mut self) {
        let mut rebind = Rebind::default();
        while !self.is_stopping() {
            self.ports += 1;
            let (number, tell) = (self.ports, self.tell.clone());
            let note = move |said| Note::Port(number, said);
            let opened = Port::open(&self.profile.path, self.profile.baud, tell, note);
            let (held, needs_person) = match opened {
                Ok(port) => {
                    let (ended, since) = self.serve(port);
                    self.over(&ended);
                    (since.map(|since| self.now() - since), ended.needs_person())
                }
                Err(error) => {
                    let why = format!("{} cannot be opened: {error}", self.profile.path.display());
                    self.down(Standing::Down, &why);
                    (None, false)
                }
            };
            let now = self.now();
            self.sending.give_back(true, now, now);
            self.settle_fates();
            let chance = self.chance();
            self.rest(rebind.pause(held, needs_person, chance));
        }
        let now = self.now();
        self.sending.give_back(true, now, now);
        self.settle_fates();
    }

    /// Waits between two ports; long texts are looked after meanwhile.
    fn rest(&mut self, pause: TimeDelta) {
        let until = self.now() + pause;
        while !self.is_stopping() && self.now() < until {
            // What an old port still says does not count.
            let wait = (until - self.now()).min(LOOK_EVERY);
            self.notes.recv_timeout(as_std(wait)).ok();
            self.look_after();
        }
    }

    /// One session over an open port: how it ended, and since when texts could pass.
    fn serve(&mut self, mut port: Port) -> (Ended, Option<DateTime<Utc>>) {
        let limits = self.profile.limits.clone();
        let mut session = Session::new(limits, self.now());
        let (mut since, mut leaving) = (None, None);
        self.look_at = self.now();
        loop {
            self.look_after();
            self.submit_due(&mut session);
            while let Some(event) = session.next_event() {
                if let Some(ended) = self.event(event, &mut session, &mut since) {
                    self.settle_fates();
                    return (ended, since);
                }
            }
            self.settle_fates();
            let octets = session.take_octets();
            if tracing::enabled!(tracing::Level::DEBUG) && !octets.is_empty() {
                tracing::debug!(link = %self.seat.link(), to = trace::shown(&octets));
            }
            if !octets.is_empty() && port.write(&octets).is_err() {
                session.lost();
                continue;
            }
            let now = self.now();
            if self.is_stopping() && *leaving.get_or_insert(now + LEAVE_WAIT) <= now
                || self.is_stopping() && !session.is_sending()
            {
                session.lost();
                continue;
            }
            self.hear(&mut session);
            session.tick(self.now());
        }
    }

    /// Waits for the port, or until something is to be done.
    fn hear(&mut self, session: &mut Session) {
        let now = self.now();
        let next = session.next_moment().unwrap_or(now + LOOK_EVERY);
        let mut wait = (next.min(now + LOOK_EVERY) - now).max(TimeDelta::milliseconds(1));
        for due in [self.look_at, self.pace.next_free(now)] {
            if due > now {
                wait = wait.min(due - now);
            }
        }
        let mut note = self.notes.recv_timeout(as_std(wait)).ok();
        while let Some(Note::Port(number, said)) = note {
            if number == self.ports {
                match said {
                    Said::Octets(octets) => {
                        if tracing::enabled!(tracing::Level::DEBUG)
                            && let Some(said) = self.heard.whole(&octets)
                        {
                            tracing::debug!(link = %self.seat.link(), from = said);
                        }
                        session.feed(&octets, self.now());
                    }
                    Said::Gone(why) => {
                        tracing::warn!(link = %self.seat.link(), why, "the port is gone");
                        session.lost();
                    }
                }
            }
            note = self.notes.try_recv().ok();
        }
    }

    /// Gives up long texts that never complete, and tries again what the counter could not take.
    fn look_after(&mut self) {
        let now = self.now();
        self.sending
            .give_back(false, self.pace.paused(now).unwrap_or(now), now);
        if now < self.parts_at {
            return;
        }
        self.parts_at = now + LOOK_EVERY * 4;
        self.intake.parts_due();
        for hex in std::mem::take(&mut self.unstored) {
            self.take_unstored(hex);
        }
    }
}

fn as_std(wait: TimeDelta) -> Duration {
    wait.to_std().unwrap_or_default()
}
