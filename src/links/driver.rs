//! Moves texts from the outbox to http networks: the only part of the links that waits, reads the clock and touches a socket.
//!
//! It pulls: the store never needs to know that a link exists. A row that is being sent when the process dies is leased, and due again when the
//! lease ends; the network sees the same `id` then.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::links::board::{Seat, Standing};
use crate::links::http::answered::{ANSWER_BYTES_MOST, Tried};
use crate::links::http::outgoing::{Method, SendBy, parts_of};
use crate::links::http::schedule::{Next, Pace, after_failure};
use crate::store::outbox::{OutboxRow, Settled};
use chrono::{DateTime, Utc};
use futures_util::StreamExt;
use futures_util::stream;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use reqwest::header::RETRY_AFTER;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;
use tokio::sync::watch;

/// Between two looks into an empty outbox: an answer by sending should not wait longer than a person notices.
const LOOK_EVERY: Duration = Duration::from_millis(500);
/// Rows taken at once, so that a lease cannot run out before its row's turn comes.
const ROWS_MAX: usize = 64;
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
                    if ended(&mut stop, LOOK_EVERY).await {
                        return;
                    }
                }
                Ok(_) => {}
                Err(error) => {
                    tracing::error!(link = %self.seat.link(), %error, "the outbox cannot be read");
                    if ended(&mut stop, LOOK_EVERY * 20).await {
                        return;
                    }
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
            .for_each_concurrent(self.by.window, |row| self.send_and_settle(row))
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
            let (tried, words) = self.post(&row).await;
            self.fate(&row, tried, &words, self.clock.now())
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

    async fn post(&self, row: &OutboxRow) -> (Tried, String) {
        let ready = self.by.request(row, self.clock.now());
        let method = match ready.method {
            Method::Get => reqwest::Method::GET,
            Method::Post => reqwest::Method::POST,
            Method::Put => reqwest::Method::PUT,
        };
        let mut request = self.client.request(method, ready.url).body(ready.body);
        for (name, value) in ready.headers {
            request = request.header(name, value);
        }
        let mut response = match request.send().await {
            Ok(response) => response,
            // Nothing has left where no connection came about or the request could not be made.
            Err(error) if error.is_builder() => {
                return (Tried::Later(None), "the request cannot be made".to_owned());
            }
            Err(error) if error.is_connect() => {
                let words = "no connection to the network's address";
                return (Tried::Later(None), words.to_owned());
            }
            Err(_) => {
                let words = "the network was given a text and did not answer";
                return (Tried::Silent, words.to_owned());
            }
        };
        let status = response.status().as_u16();
        let wish = response.headers().get(RETRY_AFTER);
        let wish = wish
            .and_then(|value| value.to_str().ok())
            .map(str::to_owned);
        let mut body = Vec::new();
        // An answer that breaks off is judged by what came of it: the status stands.
        while body.len() < ANSWER_BYTES_MOST
            && let Ok(Some(piece)) = response.chunk().await
        {
            body.extend_from_slice(&piece);
        }
        let tried = self.by.answer.judge(status, wish.as_deref(), &body);
        (tried, format!("the network answered {status} to a text"))
    }

    fn fate(&self, row: &OutboxRow, tried: Tried, words: &str, now: DateTime<Utc>) -> Settled {
        let parts = parts_of(row);
        let silent = matches!(tried, Tried::Silent);
        let wish = match tried {
            Tried::Taken(id) => {
                self.seat.stand(Standing::Up, "", now);
                self.seat.count(|passed| passed.sent += 1);
                // Networks that give no id name ours.
                let id = id.unwrap_or_else(|| row.id.reference());
                let ids = if self.by.receipts {
                    vec![id]
                } else {
                    Vec::new()
                };
                return Settled::Sent { ids, parts };
            }
            Tried::Refused(why) => {
                self.seat.fault(&why, now);
                self.seat.count(|passed| passed.failed += 1);
                return Settled::Dead { why };
            }
            Tried::Later(wish) => wish,
            Tried::Silent => None,
        };
        self.seat.stand(Standing::Down, "", now);
        self.seat.fault(words, now);
        self.seat.count(|passed| passed.failed += 1);
        let unknown = || Settled::Unknown {
            why: "the network did not answer".to_owned(),
            ids: Vec::new(),
            parts,
        };
        if silent && !self.by.tells_repeats {
            return unknown();
        }
        let draw = self.chance.fetch_add(1, Ordering::Relaxed);
        let chance = ChaCha8Rng::seed_from_u64(draw).random_range(0.0..1.0);
        match after_failure(now, row.expires, row.attempts, wish, chance) {
            Next::Retry(at) if silent => Settled::RetryHere { at },
            Next::Retry(at) => Settled::Retry { at },
            Next::Expired | Next::GiveUp if silent => unknown(),
            Next::Expired => Settled::Expired,
            Next::GiveUp => Settled::Dead {
                why: "the network could not be reached".to_owned(),
            },
        }
    }
}

/// Waits for the word to stop, `most` at the longest. Whether it came; a sender that is gone counts as the word, or this would spin.
async fn ended(stop: &mut watch::Receiver<bool>, most: Duration) -> bool {
    match tokio::time::timeout(most, stop.changed()).await {
        Ok(Ok(())) => *stop.borrow(),
        Ok(Err(_)) => true,
        Err(_) => false,
    }
}
