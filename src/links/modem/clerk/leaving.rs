//! Texts on their way out: asked of the outbox one at a time, given to the session, settled.
//!
//! Does not know what comes in.

use crate::links::modem::clerk::{Clerk, LOOK_EVERY};
use crate::links::modem::outgoing;
use crate::links::modem::session::Session;
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, Utc};

impl Clerk {
    /// Gives the modem the next message, and asks the outbox for a text where there is none.
    pub fn submit_due(&mut self, session: &mut Session) {
        let now = self.now();
        if !session.has_room() || self.pace.free(now) == 0 {
            return;
        }
        if self.sending.queued() == 0 && self.sending.rows() == 0 && now >= self.look_at {
            self.lease(now);
        }
        if let Some((token, piece)) = self.sending.next_piece() {
            self.going = Some((token, piece.to.full().to_owned()));
            if session.submit(token, piece, now) {
                self.pace.spend();
            } else {
                self.sending.put_back(token);
            }
        }
    }

    /// One text at a time, the most urgent first: the modem sends one at a time.
    fn lease(&mut self, now: DateTime<Utc>) {
        let rows = self.counter.lease_once(self.seat.link(), "modem", 1);
        let rows = rows.unwrap_or_else(|error| {
            tracing::error!(link = %self.seat.link(), %error, "the outbox cannot be read");
            Vec::new()
        });
        self.look_at = if rows.is_empty() {
            now + LOOK_EVERY
        } else {
            now
        };
        for row in rows {
            let reference = row.id.0.to_be_bytes()[7];
            let (to, text) = (&row.outbound.to, &row.outbound.text);
            let worth = row.expires - now;
            match outgoing::pieces(&self.profile, to, text, reference, worth) {
                Ok(pieces) => self.sending.take(row, pieces, now),
                Err(why) => self.sending.refuse(row, why.to_string()),
            }
        }
    }

    /// Fates go to the disk; a lease that runs out makes a text unknown, never sent twice.
    pub fn settle_fates(&mut self) {
        for (row, fate) in self.sending.take_fates() {
            self.settle(row, fate);
        }
    }

    fn settle(&self, row: OutboxRow, fate: Settled) {
        match &fate {
            Settled::Sent { .. } => self.seat.count(|passed| passed.sent += 1),
            Settled::Retry { .. } => {}
            other => {
                self.seat.count(|passed| passed.failed += 1);
                tracing::warn!(link = %self.seat.link(), row = row.id.0, to = %row.outbound.to, fate = ?other, "a text did not go out");
            }
        }
        if let Err(error) = self.counter.settle(row.id, fate) {
            tracing::error!(link = %self.seat.link(), row = row.id.0, %error, "a text could not be settled");
        }
    }
}
