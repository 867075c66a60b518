//! How each link stands, what was sent and what was not, and a text to try one with.
//!
//! Only a gateway that serves has links; what was sent is in the folder all the same. This room sends nothing itself: a text goes through the
//! outbox, as every other.

use crate::cli::errand::Here;
use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::store::delivery::DeliveryState;
use crate::store::outbox::OutboxId;
use chrono::{DateTime, Duration, SecondsFormat, Utc};
use serde::{Deserialize, Serialize};
use std::io::Write;

/// What is asked about links.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Ask {
    /// How each stands.
    Standing,
    /// One text.
    Send {
        /// To whom.
        number: String,
        /// What.
        text: String,
        /// By which link.
        link: Option<String>,
    },
    /// What did not go out.
    Dead,
    /// What went out.
    Sent,
}

/// Rows that a list shows; the sheets have them all.
const ROWS_MOST: usize = 50;
/// Rows of a link that are counted: beyond it the number says no more.
const COUNTED_MOST: usize = 10_000;
/// How long a text is waited for: longer than a network's answer takes.
const WAITS: u32 = 40;
const WAIT: std::time::Duration = std::time::Duration::from_millis(250);
/// A text to try a link with is worthless after this long.
const TRIED_FOR: Duration = Duration::minutes(10);

/// Answers what is asked.
///
/// # Errors
/// In words for the operator.
pub(super) fn answer(
    here: &Here,
    coop: CoopId,
    ask: &Ask,
    out: &mut dyn Write,
) -> Result<(), String> {
    match ask {
        Ask::Standing => standing(here, out),
        Ask::Send { number, text, link } => send(here, coop, number, text, link.as_deref(), out),
        Ask::Dead => dead(&here.counter, coop, out),
        Ask::Sent => sent(&here.counter, coop, out),
    }
}

const NOT_SERVING: &str =
    "no gateway serves this folder, so no link is open; start it with `clutchline serve`";

fn shown(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, true)
}

fn line(out: &mut dyn Write, text: &str) -> Result<(), String> {
    writeln!(out, "{text}").map_err(|why| why.to_string())
}

fn standing(here: &Here, out: &mut dyn Write) -> Result<(), String> {
    let board = here.board.as_ref().ok_or(NOT_SERVING)?;
    let seen = board.seen();
    if seen.is_empty() {
        return line(
            out,
            "no link is set; add one with `clutchline link add north`",
        );
    }
    line(
        out,
        "link            kind   stands    since                 waiting  taken  sent  failed  receipts  unread",
    )?;
    for (link, state) in seen {
        let waiting = here.counter.queued(&link, COUNTED_MOST);
        let waiting = waiting.map_err(|why| why.to_string())?;
        let p = state.passed;
        line(
            out,
            &format!(
                "{:<15} {:<6} {:<9} {:<21} {waiting:>7} {:>6} {:>5} {:>7} {:>9} {:>7}",
                link.0,
                state.kind.word(),
                state.standing.word(),
                shown(state.since),
                p.taken,
                p.sent,
                p.failed,
                p.receipts,
                p.quarantined
            ),
        )?;
        if !state.detail.is_empty() {
            line(out, &format!("  {}", state.detail))?;
        }
        if let Some((at, words)) = state.last_error {
            line(out, &format!("  last error, {}: {words}", shown(at)))?;
        }
    }
    Ok(())
}

fn send(
    here: &Here,
    coop: CoopId,
    number: &str,
    text: &str,
    link: Option<&str>,
    out: &mut dyn Write,
) -> Result<(), String> {
    let board = here.board.as_ref().ok_or(NOT_SERVING)?;
    let seen = board.seen();
    let chosen = match link {
        Some(wanted) => seen.iter().find(|(name, _)| name.0 == wanted),
        None => seen.iter().find(|(_, state)| state.sends),
    };
    let chosen = match chosen {
        Some((name, state)) if state.sends => name,
        Some((name, _)) => {
            return Err(format!(
                "link {name} has no way out; set its `send_url` in the settings"
            ));
        }
        None => {
            let able = seen.iter().filter(|(_, state)| state.sends);
            let known: Vec<&str> = able.map(|(name, _)| name.0.as_str()).collect();
            return Err(match known.as_slice() {
                [] => "no link has a way out; set `send_url` of one in the settings".to_owned(),
                known => format!("expected one of the links {}", known.join(", ")),
            });
        }
    };
    let to = PhoneNumber::new(number).ok_or("expected a number such as +255700000101")?;
    let expires = here.counter.clock().now() + TRIED_FOR;
    let row = here
        .counter
        .queue(coop, chosen.clone(), to, text.to_owned(), expires)
        .map_err(|why| why.to_string())?;
    line(out, &format!("text {} waits for link {chosen}", row.0))?;
    for _ in 0..WAITS {
        if let Some(fate) = fate(&here.counter, coop, row).map_err(|why| why.to_string())? {
            return line(out, &fate);
        }
        std::thread::sleep(WAIT);
    }
    line(
        out,
        "it still waits: the link is down or its queue is long; see `clutchline links` and `clutchline links sent`",
    )
}

/// What has become of a row, where something has.
fn fate(
    counter: &Counter,
    coop: CoopId,
    row: OutboxId,
) -> Result<Option<String>, crate::counter::answers::CounterError> {
    let dead = counter.dead(coop, usize::MAX)?;
    if let Some(record) = dead.iter().find(|record| record.row.id == row) {
        let why = record.dead.as_deref().unwrap_or_default();
        return Ok(Some(format!("refused for good: {why}")));
    }
    let sent = counter.sent(coop, false, ROWS_MOST)?;
    let known = sent.iter().any(|record| record.row.id == row);
    if !known && !counter.waits(row)? {
        // Taken by a link without receipts: ten seconds are not too late to be of use.
        let words = "the network took it; no receipt is awaited";
        return Ok(Some(words.to_owned()));
    }
    Ok(sent
        .into_iter()
        .find(|record| record.row.id == row)
        .map(|record| match &record.doubt {
            Some(why) => format!("nobody knows whether it went out: {why}"),
            None => format!(
                "the network took it in {} part(s); delivery: {}",
                record.parts,
                record.state().word()
            ),
        }))
}

fn dead(counter: &Counter, coop: CoopId, out: &mut dyn Write) -> Result<(), String> {
    let failed = |why: crate::counter::answers::CounterError| why.to_string();
    let refused = counter.dead(coop, ROWS_MOST).map_err(failed)?;
    for record in &refused {
        let row = &record.row;
        line(
            out,
            &format!(
                "text {} to {} by {}: refused: {}",
                row.id.0,
                row.outbound.to,
                row.link,
                record.dead.as_deref().unwrap_or_default()
            ),
        )?;
    }
    let doubtful = counter.sent(coop, true, ROWS_MOST).map_err(failed)?;
    for record in &doubtful {
        line(
            out,
            &format!(
                "text {} to {} by {}, {}: unknown: {}",
                record.row.id.0,
                record.row.outbound.to,
                record.row.link,
                shown(record.settled),
                record.doubt.as_deref().unwrap_or_default()
            ),
        )?;
    }
    line(
        out,
        &format!("{} refused, {} unknown", refused.len(), doubtful.len()),
    )
}

fn sent(counter: &Counter, coop: CoopId, out: &mut dyn Write) -> Result<(), String> {
    let sent = counter
        .sent(coop, false, ROWS_MOST)
        .map_err(|why| why.to_string())?;
    for record in &sent {
        let state = record.state();
        let why = match &state {
            DeliveryState::Failed { why } | DeliveryState::Unknown { why } => format!(": {why}"),
            _ => String::new(),
        };
        line(
            out,
            &format!(
                "{} text {} to {} by {}, {} part(s): {}{why}",
                shown(record.settled),
                record.row.id.0,
                record.row.outbound.to,
                record.row.link,
                record.parts,
                state.word()
            ),
        )?;
    }
    line(out, &format!("{} shown, newest first", sent.len()))
}
