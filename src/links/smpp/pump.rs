//! Moves octets between one connection and its session, and what the session says between it and the counter.
//!
//! Reads and writes at once, so that neither side can block the other. Does not decide when to bind.

mod taking;

use crate::links::smpp::driver::Shared;
use crate::links::smpp::flow::{Flow, Owed, Task};
use crate::links::smpp::outgoing::Piece;
use crate::links::smpp::pdu::BindAs;
use crate::links::smpp::session::{Ended, Event, Session, State};
use crate::links::smpp::transport::Wire;
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, TimeDelta, Utc};
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::sync::{mpsc, watch};
use tokio::task::JoinSet;

/// Octets that may wait to be written: a peer that does not read what it asks for is let go.
const OUT_MOST: usize = 1024 * 1024;
/// Octets read at once.
const READ_AT_ONCE: usize = 64 * 1024;
/// The last octets of a session are written within this time, or not at all.
const LAST_WORDS: Duration = Duration::from_millis(500);
/// Fates of texts are on disk within this time at the end, or their leases run out.
const SETTLE_WAIT: Duration = Duration::from_secs(2);

/// What tasks beside the session say to it.
enum Note {
    /// A message of the peer's may be answered: whether it was kept.
    Answer(Owed, bool),
    /// Rows from the outbox; none where it could not be read.
    Leased(Vec<OutboxRow>),
    /// Something was committed that may have an answer.
    Look,
}

/// One direction or both of a link, session after session.
pub(crate) struct Pump {
    shared: Arc<Shared>,
    bind_as: BindAs,
    screens: Option<mpsc::Receiver<Piece>>,
    flow: Flow,
    notes: mpsc::UnboundedReceiver<Note>,
    noting: mpsc::UnboundedSender<Note>,
    settling: JoinSet<()>,
}

impl Pump {
    pub(crate) fn new(
        shared: Arc<Shared>,
        bind_as: BindAs,
        screens: Option<mpsc::Receiver<Piece>>,
    ) -> Self {
        let now = shared.clock.now();
        // Bounded by what a session takes at a time and by one lease.
        let (noting, notes) = mpsc::unbounded_channel();
        let flow = Flow::new(shared.profile.clone(), bind_as, now);
        Self {
            shared,
            bind_as,
            screens,
            flow,
            notes,
            noting,
            settling: JoinSet::new(),
        }
    }

    fn now(&self) -> DateTime<Utc> {
        self.shared.clock.now()
    }

    /// One session over `wire`: how it ended, and since when it was bound.
    pub(crate) async fn run(
        &mut self,
        wire: Box<dyn Wire>,
        stop: &mut watch::Receiver<bool>,
    ) -> (Ended, Option<DateTime<Utc>>) {
        let (mut reader, mut writer) = tokio::io::split(wire);
        let mut session = self.flow.session(self.now());
        let (mut out, mut input) = (Vec::new(), vec![0; READ_AT_ONCE]);
        let (mut since, mut ended, mut leaving) = (None, None, false);
        while ended.is_none() {
            let now = self.now();
            self.work(&mut session, now);
            while let Some(event) = session.next_event() {
                match event {
                    Event::Bound(_) => {
                        since = Some(now);
                        self.flow.look(now);
                        self.shared.bound(self.bind_as);
                    }
                    Event::Ended(how) => ended = Some(how),
                    other => self.event(other, now),
                }
            }
            self.settle_fates();
            out.extend(session.take_octets());
            if out.len() > OUT_MOST {
                session.lost();
            }
            if ended.is_some() || session.state() == State::Closed {
                continue;
            }
            let wait = self.wait(&session, now);
            tokio::select! {
                read = reader.read(&mut input) => match read {
                    Ok(0) | Err(_) => session.lost(),
                    Ok(n) => session.feed(input.get(..n).unwrap_or_default(), self.now()),
                },
                written = writer.write(&out), if !out.is_empty() => match written {
                    Ok(n) if n > 0 => { out.drain(..n); }
                    _ => session.lost(),
                },
                note = self.notes.recv() => self.note(note, &mut session),
                screen = next_screen(&mut self.screens), if !self.flow.holds_screen() => {
                    if let Some(screen) = screen {
                        self.flow.show(screen);
                    }
                }
                () = tokio::time::sleep(wait) => session.tick(self.now()),
                _ = stop.changed(), if !leaving => {
                    leaving = true;
                    session.leave(Shared::leave_wait(), self.now());
                }
            }
        }
        let last = async {
            writer.write_all(&out).await.ok();
            writer.shutdown().await.ok();
        };
        tokio::time::timeout(LAST_WORDS, last).await.ok();
        self.after_session().await;
        (ended.unwrap_or(Ended::Lost), since)
    }

    /// Rows that were not begun go back at once.
    async fn after_session(&mut self) {
        while self.flow.is_leasing() {
            let note = self.notes.recv().await;
            if let Some(Note::Leased(rows)) = note {
                self.flow.leased(rows, self.now());
            }
        }
        self.flow.rest(self.now());
        self.settle_fates();
    }

    /// Waits for the fates that are on their way to the disk.
    pub(crate) async fn finish(&mut self) {
        self.flow.rest(self.now());
        self.settle_fates();
        let all = async { while self.settling.join_next().await.is_some() {} };
        tokio::time::timeout(SETTLE_WAIT, all).await.ok();
    }

    /// What can be done without waiting: texts into the window, and a look into the outbox.
    fn work(&mut self, session: &mut Session, now: DateTime<Utc>) {
        while self.settling.try_join_next().is_some() {}
        // All at once: answers that became due together leave in one write, and a step's answer before its screen.
        while let Ok(note) = self.notes.try_recv() {
            self.note(Some(note), session);
        }
        if let Some(task) = self.flow.work(session, now) {
            self.task(task, now);
        }
        self.lease(session, now);
    }

    /// Asks the outbox for rows where the window will have room for them.
    fn lease(&mut self, session: &Session, now: DateTime<Utc>) {
        let Some(most) = self.flow.wanted(session, now) else {
            return;
        };
        let (counter, link) = (self.shared.counter.clone(), self.shared.seat.link().clone());
        let noting = self.noting.clone();
        tokio::task::spawn_blocking(move || {
            let rows = counter.lease_once(&link, "smpp", most);
            let rows = rows.unwrap_or_else(|error| {
                tracing::error!(link = %link, %error, "the outbox cannot be read");
                Vec::new()
            });
            noting.send(Note::Leased(rows)).ok();
        });
    }

    fn note(&mut self, note: Option<Note>, session: &mut Session) {
        match note {
            Some(Note::Answer(owed, kept)) => self.flow.pay(session, owed, kept),
            Some(Note::Leased(rows)) => self.flow.leased(rows, self.now()),
            Some(Note::Look) => self.flow.look(self.now()),
            None => {}
        }
    }

    fn event(&mut self, event: Event, now: DateTime<Utc>) {
        let shared = self.shared.clone();
        let task = self.flow.event(event, || shared.chance(), now);
        if let Some(task) = task {
            self.task(task, now);
        }
    }

    fn task(&self, task: Task, now: DateTime<Utc>) {
        let seat = &self.shared.seat;
        match task {
            Task::Fault { said, slower } => {
                if slower {
                    seat.count(|passed| passed.throttled += 1);
                }
                seat.fault(&said, now);
            }
            Task::Unread { frame, why, owed } => self.unread(frame, why, owed),
            Task::Came {
                owed,
                message,
                tlvs,
                flawed,
            } => self.came(owed, *message, tlvs, flawed),
        }
    }

    /// Fates go to the disk beside the session; the writer takes them together.
    fn settle_fates(&mut self) {
        for (row, fate) in self.flow.take_fates() {
            let seat = &self.shared.seat;
            match &fate {
                Settled::Sent { .. } => seat.count(|passed| passed.sent += 1),
                Settled::Retry { .. } => {}
                other => {
                    seat.count(|passed| passed.failed += 1);
                    tracing::warn!(link = %seat.link(), row = row.id.0, to = %row.outbound.to, fate = ?other, "a text did not go out");
                }
            }
            let counter = self.shared.counter.clone();
            let link = seat.link().clone();
            self.settling.spawn_blocking(move || {
                if let Err(error) = counter.settle(row.id, fate) {
                    // The lease runs out and the row becomes unknown: never sent twice.
                    tracing::error!(link = %link, row = row.id.0, %error, "a text could not be settled");
                }
            });
        }
    }

    fn wait(&mut self, session: &Session, now: DateTime<Utc>) -> Duration {
        let least = TimeDelta::milliseconds(1);
        let next = self.flow.next_moment(session, now);
        (next - now).max(least).to_std().unwrap_or_default()
    }
}

async fn next_screen(screens: &mut Option<mpsc::Receiver<Piece>>) -> Option<Piece> {
    match screens {
        Some(screens) => match screens.recv().await {
            Some(piece) => Some(piece),
            None => std::future::pending().await,
        },
        None => std::future::pending().await,
    }
}
