//! The one driver of a modem link: a thread of its own, for serial ports block, joined to the gateway's tasks by one channel.
//!
//! Opens the port, again and again where it goes, and moves octets between it and its session. What a message is and what becomes of texts is in
//! [`clerk`](crate::links::modem::clerk). This room reads the clock.

use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::links::board::{Seat, Standing};
use crate::links::modem::clerk::{Clerk, LOOK_EVERY};
use crate::links::modem::port::{Port, Said};
use crate::links::modem::profile::Profile;
use crate::links::modem::session::{Ended, Session};
use crate::links::modem::trace;
use crate::links::pace::Rebind;
use chrono::{DateTime, TimeDelta, Utc};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::time::Duration;
use tokio::sync::{oneshot, watch};

/// Pieces of what was read that may wait: beyond it the reader waits too, and the modem with it.
const NOTES_MOST: usize = 64;
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
struct Worker {
    clerk: Clerk,
    /// For the log.
    heard: trace::Heard,
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
        let clerk = Clerk::new(parts, dir)?;
        let (tell, notes) = sync_channel(NOTES_MOST);
        let stopping = Arc::new(AtomicBool::new(false));
        let worker = Worker {
            clerk,
            heard: trace::Heard::default(),
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
        let link = worker.clerk.link().clone();
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
    fn now(&self) -> DateTime<Utc> {
        self.clerk.now()
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
            let profile = self.clerk.profile();
            let opened = Port::open(&profile.path, profile.baud, tell, note);
            let (held, needs_person) = match opened {
                Ok(port) => {
                    let (ended, since) = self.serve(port);
                    self.clerk.over(&ended);
                    (since.map(|since| self.now() - since), ended.needs_person())
                }
                Err(error) => {
                    let why = format!("{} cannot be opened: {error}", profile.path.display());
                    self.clerk.down(Standing::Down, &why);
                    (None, false)
                }
            };
            self.clerk.rest();
            let chance = self.clerk.chance();
            self.rest(rebind.pause(held, needs_person, chance));
        }
        self.clerk.rest();
    }

    /// Waits between two ports; long texts are looked after meanwhile.
    fn rest(&mut self, pause: TimeDelta) {
        let until = self.now() + pause;
        while !self.is_stopping() && self.now() < until {
            // What an old port still says does not count.
            let wait = (until - self.now()).min(LOOK_EVERY);
            self.notes.recv_timeout(as_std(wait)).ok();
            self.clerk.look_after();
        }
    }

    /// One session over an open port: how it ended, and since when texts could pass.
    fn serve(&mut self, mut port: Port) -> (Ended, Option<DateTime<Utc>>) {
        let mut session = self.clerk.session();
        let (mut since, mut leaving) = (None, None);
        loop {
            self.clerk.look_after();
            self.clerk.submit_due(&mut session);
            while let Some(event) = session.next_event() {
                if let Some(ended) = self.clerk.event(event, &mut session, &mut since) {
                    self.clerk.settle_fates();
                    return (ended, since);
                }
            }
            self.clerk.settle_fates();
            let octets = session.take_octets();
            if tracing::enabled!(tracing::Level::DEBUG) && !octets.is_empty() {
                tracing::debug!(link = %self.clerk.link(), to = trace::shown(&octets));
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
        if let Some(due) = self.clerk.next_moment(now) {
            wait = wait.min(due - now);
        }
        let mut note = self.notes.recv_timeout(as_std(wait)).ok();
        while let Some(Note::Port(number, said)) = note {
            if number == self.ports {
                match said {
                    Said::Octets(octets) => {
                        if tracing::enabled!(tracing::Level::DEBUG)
                            && let Some(said) = self.heard.whole(&octets)
                        {
                            tracing::debug!(link = %self.clerk.link(), from = said);
                        }
                        session.feed(&octets, self.now());
                    }
                    Said::Gone(why) => {
                        tracing::warn!(link = %self.clerk.link(), why, "the port is gone");
                        session.lost();
                    }
                }
            }
            note = self.notes.try_recv().ok();
        }
    }
}

fn as_std(wait: TimeDelta) -> Duration {
    wait.to_std().unwrap_or_default()
}
