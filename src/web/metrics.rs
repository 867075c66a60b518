//! Counts and times for a monitor, in the Prometheus text format (version 0.0.4).
//!
//! Refused requests are only counted here. No label carries a number, a name or a text.

use crate::counter::Counter;
use crate::domain::message::LinkName;
use crate::links::board::{Board, Gauges, LinkState, Passed, Standing};
use crate::web::problem::{Problem, loopback_only};
use actix_web::http::header::FORWARDED;
use actix_web::web::Data;
use actix_web::{HttpRequest, HttpResponse};
use chrono::TimeDelta;
use std::collections::BTreeMap;
use std::fmt::Write;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

/// Upper bounds of the answer times in milliseconds; 150 is what 99 % are to stay under.
const BOUNDS_MS: [i64; 9] = [5, 10, 25, 50, 100, 150, 250, 1_000, 5_000];

/// What modems measure; a link that measures nothing has no row.
fn modems(seen: &[(LinkName, LinkState)], page: &mut Page) {
    let mut each = |name: &str, about: &str, of: &dyn Fn(&Gauges) -> Option<u64>| {
        let known = |(link, state): &'_ (LinkName, LinkState)| {
            of(&state.gauges).map(|value| (link.0.clone(), value))
        };
        let rows: Vec<(String, u64)> = seen.iter().filter_map(known).collect();
        if !rows.is_empty() {
            page.head(name, "gauge", about);
        }
        for (link, value) in rows {
            page.row(name, Some(("link", &link)), value);
        }
    };
    each(
        "clutchline_link_signal",
        "Signal of a modem, 0 to 31 (3GPP TS 27.007 clause 8.5).",
        &|gauges| gauges.signal.map(u64::from),
    );
    each(
        "clutchline_link_stored",
        "Messages in the storage of a modem's SIM.",
        &|gauges| gauges.stored.map(|(used, _)| u64::from(used)),
    );
    each(
        "clutchline_link_storage_places",
        "Places in that storage.",
        &|gauges| gauges.stored.map(|(_, total)| u64::from(total)),
    );
}

/// What the web counts itself; the counter has its own counts.
#[derive(Default)]
pub struct Metrics {
    refused: Mutex<BTreeMap<&'static str, u64>>,
    /// One for each bound, and one beyond.
    answered: [AtomicU64; BOUNDS_MS.len() + 1],
    answered_us: AtomicU64,
    board: Board,
}

impl Metrics {
    /// Counts of a gateway whose links stand on `board`.
    #[must_use]
    pub fn of(board: Board) -> Self {
        Self {
            board,
            ..Self::default()
        }
    }

    /// Something passed by an http link.
    pub fn passed(&self, link: &LinkName, change: impl FnOnce(&mut Passed)) {
        self.board.count(link, change);
    }

    /// How each link stands, and what has passed.
    fn links(&self, page: &mut Page) {
        let seen = self.board.seen();
        let mut each = |name: &str, kind: &str, about: &str, of: &dyn Fn(&LinkState) -> u64| {
            page.head(name, kind, about);
            for (link, state) in &seen {
                page.row(name, Some(("link", &link.0)), of(state));
            }
        };
        each(
            "clutchline_link_up",
            "gauge",
            "1 where texts can pass by the link.",
            &|state| u64::from(state.standing == Standing::Up),
        );
        each(
            "clutchline_link_taken_total",
            "counter",
            "Texts that the link brought.",
            &|state| state.passed.taken,
        );
        each(
            "clutchline_link_sent_total",
            "counter",
            "Texts that the link's network took.",
            &|state| state.passed.sent,
        );
        each(
            "clutchline_link_failed_total",
            "counter",
            "Tries that failed, for now or for good.",
            &|state| state.passed.failed,
        );
        each(
            "clutchline_link_throttled_total",
            "counter",
            "Times the network asked for less.",
            &|state| state.passed.throttled,
        );
        each(
            "clutchline_link_quarantined_total",
            "counter",
            "What the network sent and nobody could read, kept raw.",
            &|state| state.passed.quarantined,
        );
        each(
            "clutchline_link_receipts_total",
            "counter",
            "Delivery receipts read.",
            &|state| state.passed.receipts,
        );
        modems(&seen, page);
    }

    /// A message was answered after `took`.
    pub fn answered(&self, took: TimeDelta) {
        let ms = took.num_milliseconds();
        let at = BOUNDS_MS.iter().take_while(|bound| ms > **bound).count();
        if let Some(bucket) = self.answered.get(at) {
            bucket.fetch_add(1, Ordering::Relaxed);
        }
        let us = took.num_microseconds().unwrap_or(0).max(0).unsigned_abs();
        self.answered_us.fetch_add(us, Ordering::Relaxed);
    }

    /// A request was refused; `word` is the problem's.
    pub fn refused(&self, word: &'static str) {
        let mut refused = self.refused.lock().unwrap_or_else(PoisonError::into_inner);
        *refused.entry(word).or_default() += 1;
    }

    fn write(&self, page: &mut Page) {
        let refused = self
            .refused
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        page.head(
            "clutchline_requests_refused_total",
            "counter",
            "Requests that left nothing behind, by reason.",
        );
        for (word, count) in refused {
            page.row(
                "clutchline_requests_refused_total",
                Some(("reason", word)),
                count,
            );
        }
        let name = "clutchline_answer_seconds";
        page.head(
            name,
            "histogram",
            "Time from a message's arrival to its answer, flush included.",
        );
        let mut below = 0;
        for (bound, bucket) in BOUNDS_MS.iter().zip(&self.answered) {
            below += bucket.load(Ordering::Relaxed);
            let bound = format!("{}.{:03}", bound / 1_000, bound % 1_000);
            page.row(
                "clutchline_answer_seconds_bucket",
                Some(("le", &bound)),
                below,
            );
        }
        below += self.answered[BOUNDS_MS.len()].load(Ordering::Relaxed);
        page.row(
            "clutchline_answer_seconds_bucket",
            Some(("le", "+Inf")),
            below,
        );
        let us = self.answered_us.load(Ordering::Relaxed);
        page.0.push_str(&format!(
            "{name}_sum {}.{:06}\n",
            us / 1_000_000,
            us % 1_000_000
        ));
        page.row("clutchline_answer_seconds_count", None, below);
    }
}

/// The page as it grows.
#[derive(Default)]
struct Page(String);

impl Page {
    fn head(&mut self, name: &str, kind: &str, about: &str) {
        let _ = writeln!(self.0, "# HELP {name} {about}\n# TYPE {name} {kind}");
    }

    fn row(&mut self, name: &str, label: Option<(&str, &str)>, value: u64) {
        let _ = match label {
            Some((label, text)) => writeln!(self.0, "{name}{{{label}=\"{text}\"}} {value}"),
            None => writeln!(self.0, "{name} {value}"),
        };
    }

    fn alone(&mut self, name: &str, kind: &str, about: &str, value: u64) {
        self.head(name, kind, about);
        self.row(name, None, value);
    }
}

/// The whole page.
#[must_use]
pub fn write_page(metrics: &Metrics, counter: &Counter) -> String {
    let counts = counter.counts();
    let mut page = Page::default();
    let name = "clutchline_messages_total";
    page.head(
        name,
        "counter",
        "Messages taken since the start, by outcome.",
    );
    for (outcome, count) in &counts.outcomes {
        page.row(name, Some(("outcome", outcome)), *count);
    }
    let name = "clutchline_messages_turned_away_total";
    page.head(name, "counter", "Messages that were not taken, by reason.");
    page.row(name, Some(("reason", "busy")), counts.busy);
    page.row(name, Some(("reason", "flooded")), counts.flooded);
    let name = "clutchline_outbox_settled_total";
    page.head(
        name,
        "counter",
        "Texts to phones that left the outbox, by fate.",
    );
    page.row(name, Some(("fate", "sent")), counts.sent);
    page.row(name, Some(("fate", "dead")), counts.dead);
    page.row(name, Some(("fate", "expired")), counts.expired);
    page.row(name, Some(("fate", "unknown")), counts.unknown);
    page.alone(
        "clutchline_commits_total",
        "counter",
        "Commits, one flush each.",
        counts.commits,
    );
    page.alone(
        "clutchline_reminders_total",
        "counter",
        "Reminders made.",
        counts.reminders,
    );
    page.alone(
        "clutchline_store_failures_total",
        "counter",
        "Failures of the store.",
        counts.store_failures,
    );
    page.alone(
        "clutchline_messages_waiting",
        "gauge",
        "Messages in the queue.",
        counts.waiting,
    );
    metrics.write(&mut page);
    metrics.links(&mut page);
    page.0
}

/// `GET /metrics`: for callers on this machine that no proxy speaks for.
///
/// # Errors
/// Anybody else is refused.
pub async fn page(
    request: HttpRequest,
    metrics: Data<Metrics>,
    counter: Data<Counter>,
) -> Result<HttpResponse, Problem> {
    let near = request
        .peer_addr()
        .is_some_and(|peer| peer.ip().is_loopback());
    let headers = request.headers();
    if !near || headers.contains_key(FORWARDED) || headers.contains_key("x-forwarded-for") {
        return Err(loopback_only());
    }
    Ok(HttpResponse::Ok()
        .content_type("text/plain; version=0.0.4; charset=utf-8")
        .body(write_page(&metrics, &counter)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answer_times_are_cumulative() {
        let metrics = Metrics::default();
        for ms in [1, 5, 6, 150, 151, 9_000] {
            metrics.answered(TimeDelta::milliseconds(ms));
        }
        metrics.refused("not-json");
        metrics.refused("not-json");
        let mut page = Page::default();
        metrics.write(&mut page);
        for line in [
            "clutchline_requests_refused_total{reason=\"not-json\"} 2",
            "clutchline_answer_seconds_bucket{le=\"0.005\"} 2",
            "clutchline_answer_seconds_bucket{le=\"0.010\"} 3",
            "clutchline_answer_seconds_bucket{le=\"0.150\"} 4",
            "clutchline_answer_seconds_bucket{le=\"0.250\"} 5",
            "clutchline_answer_seconds_bucket{le=\"+Inf\"} 6",
            "clutchline_answer_seconds_sum 9.313000",
            "clutchline_answer_seconds_count 6",
        ] {
            assert!(
                page.0.lines().any(|found| found == line),
                "{line}\n{}",
                page.0
            );
        }
    }
}
