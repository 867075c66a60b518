//! `POST /in/{link}`: one message in, one answer out.
//!
//! The checks run from the cheap to the dear: link, secret, media type, size, signature, fields. A request that fails one leaves a count in the
//! metrics and nothing else. The answer leaves after the flush.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::TakeError;
use crate::domain::message::{CoopId, Inbound, MessageNo, Outcome, Receipt};
use crate::links::http::fields::{Each, Format, Posted};
use crate::links::http::mapping::Message;
use crate::links::http::posted::read_post;
use crate::web::batch;
use crate::web::gate::{Door, Doors};
use crate::web::metrics::Metrics;
use crate::web::problem::{
    Problem, method_not_allowed, several, too_large, too_slow, unreadable, wrong_media_type,
};
use crate::web::receipts;
use actix_web::http::header::{CONTENT_LENGTH, CONTENT_TYPE, HeaderValue};
use actix_web::http::{Method, StatusCode};
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
    let answered = answer(&request, &link, body, &intake, &metrics).await;
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
    metrics: &Metrics,
) -> Result<HttpResponse, Problem> {
    let wanted = |door: &Door| door.message.as_ref().map_or(Format::Json, |m| m.format);
    let entered = enter(request, link, body, intake, wanted).await?;
    let (door, now) = (entered.door, intake.clock.now());
    let message = match &door.message {
        None => read_post(&entered.body, &door.link, &door.country, now)?,
        Some(mapping) if mapping.each != Each::Whole => {
            return batch::take(&entered, mapping, intake, metrics).await;
        }
        Some(mapping) => {
            let posted = Posted::read(mapping.format, &entered.body, request.query_string())
                .map_err(unreadable)?;
            if let Some(receipts) = door.receipts.as_ref().filter(|r| r.is_one(&posted)) {
                let told = receipts::listed(receipts, posted)?;
                return receipts::keep(&intake.counter, door, receipts, &told, now, metrics).await;
            }
            if let Some(list) = posted.passes_over(&mapping.from, &mapping.text) {
                return Err(several(&list, "inbound.each"));
            }
            let webhook = entered.webhook.as_deref();
            mapping.read(&posted, &door.link, &door.country, webhook, now)?
        }
    };
    let (id, receipt) = keep(door, message, entered.webhook, intake, metrics).await?;
    Ok(write(door, id.as_deref(), &receipt))
}

/// Waits until a message is on disk. `webhook` stands in for a missing id. Its id, and what it is answered.
///
/// # Errors
/// Where the counter did not take it.
pub async fn keep(
    door: &Door,
    message: Message,
    webhook: Option<String>,
    intake: &Intake,
    metrics: &Metrics,
) -> Result<(Option<String>, Receipt), Problem> {
    let mut inbound = match message {
        Message::FromPhone(inbound) => inbound,
        Message::FromService { id } => {
            metrics.refused("no-phone");
            return Ok((id, from_service()));
        }
    };
    if inbound.id.is_none() {
        inbound.id = webhook;
    }
    let id = inbound.id.clone();
    let mut receipt = submit(&intake.counter, door.coop, inbound).await?;
    metrics.passed(&door.link, |passed| passed.taken += 1);
    if !door.answers_here {
        // The keeper would else read the answer twice, and the cooperative pay for it twice.
        receipt.replies.clear();
    }
    Ok((id, receipt))
}

/// What a short code or a name is answered: taken, and nothing said, so that two machines do not write to each other for ever.
const fn from_service() -> Receipt {
    Receipt {
        message: MessageNo(0),
        outcome: Outcome::Refused,
        replies: Vec::new(),
    }
}

fn write(door: &Door, id: Option<&str>, receipt: &Receipt) -> HttpResponse {
    let status = StatusCode::from_u16(door.answer.status).unwrap_or(StatusCode::OK);
    HttpResponse::build(status)
        .content_type(door.answer.media_type.as_str())
        .body(door.answer.write(id, receipt))
}

/// A caller whose key fitted, with its body.
pub struct Entered<'d> {
    /// The link's door.
    pub door: &'d Door,
    /// The body; empty where everything is in the query string.
    pub body: Bytes,
    /// The id of a signed webhook: the same id again is the same request.
    pub webhook: Option<String>,
}

/// Checks a request from the cheap to the dear: link, secret, method and media type for the format that `wanted` names, size, signature.
///
/// # Errors
/// The first that does not fit.
pub async fn enter<'d>(
    request: &HttpRequest,
    link: &str,
    body: Payload,
    intake: &'d Intake,
    wanted: impl Fn(&Door) -> Format,
) -> Result<Entered<'d>, Problem> {
    let headers = request.headers();
    let reads = request.method() == Method::GET;
    let format = intake.doors.look(link).map(&wanted);
    // A network that writes into the address may use either method; others have a body.
    if reads && format != Some(Format::Query) {
        return Err(method_not_allowed("POST"));
    }
    let caller = intake.doors.call(link, headers)?;
    let kind = match format {
        Some(Format::Json) => Some("application/json"),
        Some(Format::Form) => Some("application/x-www-form-urlencoded"),
        Some(Format::Query) | None => None,
    };
    let given = headers.get(CONTENT_TYPE).map(HeaderValue::as_bytes);
    if let Some(kind) = kind
        && !given.is_some_and(|given| is_called(given, kind))
    {
        return Err(wrong_media_type(kind));
    }
    let length = headers.get(CONTENT_LENGTH).map(HeaderValue::as_bytes);
    let body = read_body(length, body, intake.body_bytes_max).await?;
    let signed = if kind.is_some() {
        &body[..]
    } else {
        request.query_string().as_bytes()
    };
    let (door, webhook) = caller.enter(headers, signed, intake.clock.now())?;
    Ok(Entered {
        door,
        body,
        webhook,
    })
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

/// That media type, with or without `charset=utf-8`.
fn is_called(value: &[u8], wanted: &str) -> bool {
    let Ok(text) = std::str::from_utf8(value) else {
        return false;
    };
    let mut parts = text.split(';').map(str::trim);
    let named = parts
        .next()
        .is_some_and(|kind| kind.eq_ignore_ascii_case(wanted));
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
            assert!(is_called(yes.as_bytes(), "application/json"), "{yes}");
        }
        for no in [
            "",
            "text/plain",
            "application/json; charset=latin1",
            "application/jsonx",
        ] {
            assert!(!is_called(no.as_bytes(), "application/json"), "{no}");
        }
    }
}
