//! Moves texts from the outbox to http networks: the only part of the links that waits, reads the clock and touches a socket.
//!
//! It pulls: the store never needs to know that a link exists. A row that is being sent when the process dies is leased, and due again when the
//! lease ends; the network sees the same `id` then.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::links::board::{Seat, Standing};
use crate::links::http::outgoing::{Auth, SendBy, Tried, judge_status};
use crate::links::http::schedule::{Next, Pace, after_failure};
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, Utc};
use futures_util::StreamExt;
use futures_util::stream;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use reqwest::header::{CONTENT_TYPE, RETRY_AFTER};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;
use tokio::sync::watch;

/// Between two looks into an empty outbox: an answer by sending should not wait longer than a person notices.
const LOOK_EVERY: Duration = Duration::from_millis(500);
/// Rows taken at once, so that a lease cannot run out before its row's turn comes.
const ROWS_MAX: usize = 64;
/// Requests on their way to one network at a time; more would only wait at its door.
const IN_FLIGHT_MAX: usize = 8;
/// A network that has not spoken by then counts as silent. Shorter than a lease by far.
const ANSWER_WAIT: Duration = Duration::from_secs(20);

/// One link's way out.
pub struct Sender {
    seat: Seat,
    by: SendBy,
    client: reqwest::Client,
    counter: Counter,
    clock: Clock,
    /// Spreads the pauses; seeded by the caller.
    chance: AtomicU64,
}

impl Sender {
    /// A sender for the link of `seat`. `seed` spreads its pauses.
    ///
    /// # Errors
    /// When no TLS can be set up.
    pub fn new(
        seat: Seat,
        by: SendBy,
        counter: Counter,
        clock: Clock,
        seed: u64,
    ) -> Result<Self, reqwest::Error> {
        let client = reqwest::Client::builder()
            .timeout(ANSWER_WAIT)
            // A redirect would carry the member's number and our token to somebody else.
            .redirect(reqwest::redirect::Policy::none())
            .build()?;
        Ok(Self {
            seat,
            by,
            client,
            counter,
            clock,
            chance: AtomicU64::new(seed),
        })
    }

    /// Sends what is due until `stop` turns true. A text on its way is waited for.
    pub async fn run(self: Arc<Self>, mut stop: watch::Receiver<bool>) {
        let mut pace = Pace::new(self.by.per_second, self.clock.now());
        loop {
            match self.send_due(&mut pace).await {
                Ok(0) => {
                    // Both ends of the wait are fine: a word to stop, or time for the next look.
                    let _ = tokio::time::timeout(LOOK_EVERY, stop.changed()).await;
                }
                Ok(_) => {}
                Err(error) => {
                    tracing::error!(link = %self.seat.link(), %error, "the outbox cannot be read");
                    let _ = tokio::time::timeout(LOOK_EVERY * 20, stop.changed()).await;
                }
            }
            if *stop.borrow() {
                return;
            }
        }
    }

    /// One round: leases, sends and settles what is due and what the pace allows. How many were tried.
    ///
    /// # Errors
    /// When the outbox cannot be read.
    pub async fn send_due(&self, pace: &mut Pace) -> Result<usize, CounterError> {
        let free = pace.free(self.clock.now()).min(ROWS_MAX);
        if free == 0 {
            return Ok(0);
        }
        let rows = self.lease(free).await?;
        rows.iter().for_each(|_| pace.spend());
        let tried = rows.len();
        stream::iter(rows)
            .for_each_concurrent(IN_FLIGHT_MAX, |row| self.send_and_settle(row))
            .await;
        Ok(tried)
    }

    /// The store blocks, so it is asked from a thread that may.
    async fn lease(&self, most: usize) -> Result<Vec<OutboxRow>, CounterError> {
        let (counter, link) = (self.counter.clone(), self.seat.link().clone());
        tokio::task::spawn_blocking(move || counter.lease(&link, "http", most))
            .await
            .unwrap_or(Err(CounterError::Closing))
    }

    async fn send_and_settle(&self, row: OutboxRow) {
        let now = self.clock.now();
        let tried = if now >= row.expires {
            Settled::Expired
        } else {
            let tried = self.post(&row).await;
            self.fate(&row, tried, self.clock.now())
        };
        if !matches!(tried, Settled::Sent { .. }) {
            tracing::warn!(link = %self.seat.link(), row = row.id.0, to = %row.outbound.to, fate = ?tried, "a text did not go out");
        }
        let (counter, id) = (self.counter.clone(), row.id);
        let settled = tokio::task::spawn_blocking(move || counter.settle(id, tried)).await;
        if let Ok(Err(error)) = settled {
            // The lease will run out and the text go again with the same id.
            tracing::error!(link = %self.seat.link(), row = id.0, %error, "a sent text could not be settled");
        }
    }

    async fn post(&self, row: &OutboxRow) -> Tried {
        let mut request = self
            .client
            .post(&self.by.url)
            .header(CONTENT_TYPE, "application/json")
            .body(self.by.template.fill_for(row));
        request = match &self.by.auth {
            Auth::None => request,
            Auth::Bearer(token) => request.bearer_auth(token),
            Auth::Basic(user, password) => request.basic_auth(user, Some(password)),
        };
        match request.send().await {
            Ok(response) => {
                let wish = response.headers().get(RETRY_AFTER);
                let wish = wish.and_then(|value| value.to_str().ok());
                judge_status(response.status().as_u16(), wish)
            }
            Err(_) => Tried::Later(None),
        }
    }

    fn fate(&self, row: &OutboxRow, tried: Tried, now: DateTime<Utc>) -> Settled {
        let wish = match tried {
            Tried::Taken => {
                self.seat.stand(Standing::Up, "", now);
                self.seat.count(|passed| passed.sent += 1);
                return Settled::sent();
            }
            Tried::Refused(why) => {
                self.seat.fault(&why, now);
                self.seat.count(|passed| passed.failed += 1);
                return Settled::Dead { why };
            }
            Tried::Later(wish) => wish,
        };
        self.seat.stand(Standing::Down, "", now);
        self.seat.fault("the network did not take a text", now);
        self.seat.count(|passed| passed.failed += 1);
        let draw = self.chance.fetch_add(1, Ordering::Relaxed);
        let chance = ChaCha8Rng::seed_from_u64(draw).random_range(0.0..1.0);
        match after_failure(now, row.expires, row.attempts, wish, chance) {
            Next::Retry(at) => Settled::Retry { at },
            Next::Expired => Settled::Expired,
            Next::GiveUp => Settled::Dead {
                why: "the network could not be reached".to_owned(),
            },
        }
    }
}
