//! `POST /in/{link}`: one message in, one answer out.
//!
//! The checks run from the cheap to the dear: link, secret, media type, size, JSON, fields. A request that fails one leaves a count in the
//! metrics and nothing else. The answer leaves after the flush.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::TakeError;
use crate::domain::message::{CoopId, Inbound, Receipt};
use crate::links::http::posted::{read_post, write_answer};
use crate::web::gate::Doors;
use crate::web::metrics::Metrics;
use crate::web::problem::{Problem, too_large, too_slow, wrong_media_type};
use actix_web::http::header::{AUTHORIZATION, CONTENT_LENGTH, CONTENT_TYPE, HeaderValue};
use actix_web::web::{Bytes, Data, Path, Payload};
use actix_web::{HttpRequest, HttpResponse};
use std::time::Duration;
use tokio::sync::oneshot;

/// What taking a message needs.
#[derive(Clone)]
pub struct Intake {
    /// Takes the messages.
    pub counter: Counter,
    /// Which links there are.
    pub doors: Doors,
    /// Stamps messages as received.
    pub clock: Clock,
    /// Longest request body in bytes.
    pub body_bytes_max: usize,
}

/// A body of a few hundred bytes arrives in one packet or two; a minute on a bad link is generous, for ever is an attack.
const BODY_WAIT: Duration = Duration::from_secs(30);

/// The handler.
///
/// # Errors
/// Each as problem details.
pub async fn take(
    request: HttpRequest,
    link: Path<String>,
    body: Payload,
    intake: Data<Intake>,
    metrics: Data<Metrics>,
) -> Result<HttpResponse, Problem> {
    let started = Clock::System.now();
    let answered = answer(&request, &link, body, &intake).await;
    match &answered {
        Ok(_) => metrics.answered(Clock::System.now() - started),
        Err(problem) => metrics.refused(problem.word()),
    }
    answered
}

async fn answer(
    request: &HttpRequest,
    link: &str,
    body: Payload,
    intake: &Intake,
) -> Result<HttpResponse, Problem> {
    let header = |name| request.headers().get(name).map(HeaderValue::as_bytes);
    let door = intake.doors.open(link, header(AUTHORIZATION))?;
    if !header(CONTENT_TYPE).is_some_and(is_json) {
        return Err(wrong_media_type());
    }
    let body = read_body(header(CONTENT_LENGTH), body, intake.body_bytes_max).await?;
    let now = intake.clock.now();
    let inbound = read_post(&body, &door.link, &door.country, now)?;
    let id = inbound.id.clone();
    let mut receipt = submit(&intake.counter, door.coop, inbound).await?;
    if !door.answers_here {
        // The keeper would else read the answer twice, and the cooperative pay for it twice.
        receipt.replies.clear();
    }
    Ok(HttpResponse::Ok()
        .content_type("application/json")
        .body(write_answer(id.as_deref(), &receipt)))
}

/// Hands a message to the counter and waits until it is on disk.
///
/// # Errors
/// Where the counter did not take it.
pub async fn submit(counter: &Counter, coop: CoopId, inbound: Inbound) -> Result<Receipt, Problem> {
    let (done, fate) = oneshot::channel();
    counter.submit(
        coop,
        inbound,
        Box::new(move |taken| {
            // The caller may have hung up; the message is kept all the same.
            let _ = done.send(taken);
        }),
    );
    match fate.await {
        Ok(taken) => Ok(taken?),
        // The writer ended without a word: it is shutting down, and nothing was acknowledged.
        Err(_) => Err(TakeError::Closing.into()),
    }
}

/// `application/json`, with or without `charset=utf-8`.
fn is_json(value: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(value) else {
        return false;
    };
    let mut parts = text.split(';').map(str::trim);
    let named = parts
        .next()
        .is_some_and(|kind| kind.eq_ignore_ascii_case("application/json"));
    named
        && parts.all(|part| match part.split_once('=') {
            Some((name, value)) if name.trim().eq_ignore_ascii_case("charset") => {
                value.trim().trim_matches('"').eq_ignore_ascii_case("utf-8")
            }
            _ => true,
        })
}

async fn read_body(
    length: Option<&[u8]>,
    body: Payload,
    bytes_max: usize,
) -> Result<Bytes, Problem> {
    // A body that says it is too long is not waited for.
    let said = length
        .and_then(|value| std::str::from_utf8(value).ok())
        .and_then(|text| text.parse::<u64>().ok());
    if said.is_some_and(|bytes| bytes > bytes_max as u64) {
        return Err(too_large(bytes_max));
    }
    match tokio::time::timeout(BODY_WAIT, body.to_bytes_limited(bytes_max)).await {
        Ok(Ok(Ok(bytes))) => Ok(bytes),
        Ok(Ok(Err(_))) | Err(_) => Err(too_slow()),
        Ok(Err(_)) => Err(too_large(bytes_max)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_json_in_utf8_is_read() {
        for yes in [
            "application/json",
            "Application/JSON; charset=UTF-8",
            "application/json;charset=\"utf-8\"",
        ] {
            assert!(is_json(yes.as_bytes()), "{yes}");
        }
        for no in [
            "",
            "text/plain",
            "application/json; charset=latin1",
            "application/jsonx",
        ] {
            assert!(!is_json(no.as_bytes()), "{no}");
        }
    }
}
