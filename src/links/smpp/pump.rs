//! Moves octets between one connection and its session, and what the session says between it and the counter.
//!
//! Reads and writes at once, so that neither side can block the other. Does not decide when to bind.

mod taking;

use crate::links::pace::Pace;
use crate::links::sending::{Meaning, Reaction, Sending};
use crate::links::smpp::driver::Shared;
use crate::links::smpp::outgoing::{self, Piece};
use crate::links::smpp::pdu::{BindAs, ShortMessage};
use crate::links::smpp::receipt::answer_id;
use crate::links::smpp::session::{Ended, Event, Session, State, Wants};
use crate::links::smpp::status;
use crate::links::smpp::tlv::Tlv;
use crate::links::smpp::transport::Wire;
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, TimeDelta, Utc};
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::sync::{mpsc, watch};
use tokio::task::JoinSet;

/// Between two looks into an empty outbox; an answer to a message that just came is looked for at once.
const LOOK_EVERY: TimeDelta = TimeDelta::milliseconds(500);
/// Octets that may wait to be written: a peer that does not read what it asks for is let go.
const OUT_MOST: usize = 1024 * 1024;
/// Octets read at once.
const READ_AT_ONCE: usize = 64 * 1024;
/// The last octets of a session are written within this time, or not at all.
const LAST_WORDS: Duration = Duration::from_millis(500);
/// Fates of texts are on disk within this time at the end, or their leases run out.
const SETTLE_WAIT: Duration = Duration::from_secs(2);
/// Tokens of screens: not of the outbox.
const SCREEN_TOKEN: u64 = u64::MAX;

/// What tasks beside the session say to it.
enum Note {
    /// A message of the peer's may be answered so, in the session of that number.
    Answer(u64, u32, Wants, u32),
    /// Rows from the outbox; none where it could not be read.
    Leased(Option<Vec<OutboxRow>>),
    /// Something was committed that may have an answer.
    Look,
}

/// One direction or both of a link, session after session.
pub(crate) struct Pump {
    shared: Arc<Shared>,
    bind_as: BindAs,
    screens: Option<mpsc::Receiver<Piece>>,
    /// A screen that found no room.
    held_screen: Option<Piece>,
    sending: Sending<Piece>,
    pace: Pace,
    notes: mpsc::UnboundedReceiver<Note>,
    noting: mpsc::UnboundedSender<Note>,
    settling: JoinSet<()>,
    leasing: bool,
    look_at: DateTime<Utc>,
    /// When the outbox can be looked into next; none while only an answer or an event changes that.
    next_look: Option<DateTime<Utc>>,
    generation: u64,
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
        let pace = Pace::new(shared.profile.per_second, now);
        Self {
            shared,
            bind_as,
            screens,
            held_screen: None,
            sending: Sending::default(),
            pace,
            notes,
            noting,
            settling: JoinSet::new(),
            leasing: false,
            look_at: now,
            next_look: None,
            generation: 0,
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
        let profile = &self.shared.profile;
        let (bind, limits) = (profile.bind.clone(), profile.limits);
        let mut session = Session::new(self.bind_as, bind, limits, self.now());
        let (mut out, mut input) = (Vec::new(), vec![0; READ_AT_ONCE]);
        let (mut since, mut ended, mut leaving) = (None, None, false);
        self.generation += 1;
        while ended.is_none() {
            let now = self.now();
            self.work(&mut session, now);
            while let Some(event) = session.next_event() {
                match event {
                    Event::Bound(_) => {
                        since = Some(now);
                        self.look_at = now;
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
                screen = next_screen(&mut self.screens), if self.held_screen.is_none() => self.held_screen = screen,
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
        while self.leasing {
            let note = self.notes.recv().await;
            if let Some(Note::Leased(rows)) = note {
                self.leased(rows);
            }
        }
        let now = self.now();
        self.sending.give_back(true, now, now);
        self.settle_fates();
    }

    /// Waits for the fates that are on their way to the disk.
    pub(crate) async fn finish(&mut self) {
        let now = self.now();
        self.sending.give_back(true, now, now);
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
        if let Some(piece) = self.held_screen.take_if(|_| session.room() > 0) {
            let sent = session.submit(SCREEN_TOKEN, piece.message, piece.tlvs, now);
            if let Err(error) = sent {
                self.shared.seat.fault(&error.to_string(), now);
            }
        }
        let due = self.pace.paused(now).unwrap_or(now);
        self.sending.give_back(false, due, now);
        let mut free = session.room().min(self.pace.free(now));
        while free > 0 {
            let Some((token, piece)) = self.sending.next_piece() else {
                break;
            };
            match session.submit(token, piece.message, piece.tlvs, now) {
                Ok(true) => {
                    self.pace.spend();
                    free -= 1;
                }
                Ok(false) => {
                    self.sending.put_back(token);
                    break;
                }
                Err(why) => self.sending.unwritable(token, why.to_string(), now),
            }
        }
        self.lease(session, now);
    }

    /// Asks the outbox for rows where the window will have room for them.
    fn lease(&mut self, session: &Session, now: DateTime<Utc>) {
        let sends = self.bind_as != BindAs::Receiver && session.state() == State::Bound;
        let window = self.shared.profile.limits.window;
        let queued = self.sending.queued();
        let wanted = window.saturating_sub(queued);
        self.next_look = None;
        if !sends || self.leasing || wanted * 2 < window || wanted == 0 {
            return;
        }
        // At a slow pace rows would only grow old here.
        let most = wanted.min(self.pace.free(now).saturating_sub(queued));
        if most == 0 || now < self.look_at {
            let free = if most == 0 {
                self.pace.next_free(now)
            } else {
                now
            };
            self.next_look = Some(free.max(self.look_at));
            return;
        }
        self.leasing = true;
        let (counter, link) = (self.shared.counter.clone(), self.shared.seat.link().clone());
        let noting = self.noting.clone();
        tokio::task::spawn_blocking(move || {
            let rows = counter.lease_once(&link, "smpp", most);
            if let Err(error) = &rows {
                tracing::error!(link = %link, %error, "the outbox cannot be read");
            }
            noting.send(Note::Leased(rows.ok())).ok();
        });
    }

    fn leased(&mut self, rows: Option<Vec<OutboxRow>>) {
        let now = self.now();
        self.leasing = false;
        let rows = rows.unwrap_or_default();
        // A full hand may not have been all.
        self.look_at = if rows.is_empty() {
            now + LOOK_EVERY
        } else {
            now
        };
        for row in rows {
            let reference = u16::try_from(row.id.0 & 0xFFFF).unwrap_or_default();
            let (to, text) = (&row.outbound.to, &row.outbound.text);
            let worth = row.expires - now;
            match outgoing::pieces(&self.shared.profile, to, text, reference, worth) {
                Ok(pieces) => self.sending.take(row, pieces, now),
                Err(why) => self.sending.refuse(row, why.to_string()),
            }
        }
    }

    fn note(&mut self, note: Option<Note>, session: &mut Session) {
        match note {
            Some(Note::Answer(of, sequence, wants, status)) if of == self.generation => {
                session.answer(sequence, wants, status);
            }
            // The network sends it again in this session, and the counter knows it.
            Some(Note::Answer(..)) | None => {}
            Some(Note::Leased(rows)) => self.leased(rows),
            Some(Note::Look) => self.look_at = self.now(),
        }
    }

    fn event(&mut self, event: Event, now: DateTime<Utc>) {
        match event {
            Event::Answered { token, status, id } => {
                let ids = self.shared.profile.ids;
                let id = match id.as_str() {
                    "" => id,
                    id => answer_id(id, ids),
                };
                let late = id.clone();
                let (meaning, words) = (status::meaning(status), status::said(status));
                let reaction = self.sending.answered(token, meaning, &words, id, now);
                if reaction == Reaction::NotOurs && meaning == Meaning::Taken {
                    self.sending.taken_late(token, late);
                }
                self.react(reaction, status, now);
            }
            Event::Unknown { token, why } => self.sending.unknown(token, why, now),
            Event::Came {
                sequence,
                wants,
                message,
                tlvs,
                flawed,
            } => self.came((sequence, wants), *message, tlvs, flawed),
            Event::Unread { frame, why, owed } => self.unread(frame, why, owed),
            Event::Bound(_) | Event::Ended(_) => {}
        }
    }

    fn react(&mut self, reaction: Reaction, code: u32, now: DateTime<Utc>) {
        let seat = &self.shared.seat;
        match reaction {
            Reaction::Fine => self.pace.took(),
            Reaction::SlowDown => {
                self.pace.slow_down(now, self.shared.chance());
                seat.count(|passed| passed.throttled += 1);
                seat.fault(&status::said(code), now);
            }
            Reaction::Refused => seat.fault(&status::said(code), now),
            Reaction::NotOurs => {}
        }
    }

    /// Fates go to the disk beside the session; the writer takes them together.
    fn settle_fates(&mut self) {
        for (row, fate) in self.sending.take_fates() {
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

    fn wait(&self, session: &Session, now: DateTime<Utc>) -> Duration {
        let mut next = session.next_moment().unwrap_or(now + LOOK_EVERY);
        next = self.next_look.map_or(next, |look| next.min(look));
        if self.sending.queued() > 0 && session.room() > 0 {
            next = next.min(self.pace.next_free(now));
        }
        let least = TimeDelta::milliseconds(1);
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
