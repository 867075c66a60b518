//! Several messages in one post, for networks that hold them back and bring them together: each is kept as if it had come alone.
//!
//! What is wrong with one keeps none of the others out. What the gateway cannot take now is refused as a whole, and comes again as a whole: those that
//! were kept are known by their ids. This room does not know what a message says.

use crate::links::http::fields::Posted;
use crate::links::http::mapping::MessageMapping;
use crate::web::gate::Door;
use crate::web::inbound::{Entered, Intake, keep};
use crate::web::metrics::Metrics;
use crate::web::problem::{Problem, unreadable};
use crate::web::receipts;
use actix_web::HttpResponse;
use actix_web::http::StatusCode;
use serde_json::json;

/// Takes each in turn, for one may answer another's question.
///
/// # Errors
/// A body without a list; what the gateway cannot take now; where none could be read, what is wrong with the last.
pub async fn take(
    entered: &Entered<'_>,
    mapping: &MessageMapping,
    intake: &Intake,
    metrics: &Metrics,
) -> Result<HttpResponse, Problem> {
    let door = entered.door;
    let posted = Posted::read_json(&entered.body).map_err(unreadable)?;
    if let Some(told) = door.receipts.as_ref().filter(|told| told.is_one(&posted)) {
        let (counter, now) = (&intake.counter, intake.clock.now());
        let list = receipts::listed(told, posted)?;
        return receipts::keep(counter, door, told, &list, now, metrics).await;
    }
    let posted = posted.each(&mapping.each).map_err(unreadable)?;
    let (mut taken, mut wrong) = (0_usize, Vec::new());
    for (at, one) in posted.into_iter().enumerate() {
        // One webhook brings them all: its id alone would make each a copy of the first.
        let webhook = entered.webhook.as_ref().map(|id| format!("{id}/{at}"));
        match take_one(door, mapping, one, webhook, intake, metrics).await {
            Ok(()) => taken += 1,
            Err(problem) if problem.is_lasting() => {
                metrics.refused(problem.word());
                wrong.push(problem);
            }
            Err(problem) => return Err(problem),
        }
    }
    let refused = wrong.len();
    match wrong.pop() {
        Some(problem) if taken == 0 => Err(problem),
        _ => Ok(write(door, taken, refused)),
    }
}

async fn take_one(
    door: &Door,
    mapping: &MessageMapping,
    posted: Posted,
    webhook: Option<String>,
    intake: &Intake,
    metrics: &Metrics,
) -> Result<(), Problem> {
    let now = intake.clock.now();
    if let Some(told) = door.receipts.as_ref().filter(|r| r.is_one(&posted)) {
        return receipts::keep(&intake.counter, door, told, &[posted], now, metrics)
            .await
            .map(drop);
    }
    let id = webhook.as_deref();
    let message = mapping.read(&posted, &door.link, &door.country, id, now)?;
    keep(door, message, webhook, intake, metrics)
        .await
        .map(drop)
}

fn write(door: &Door, taken: usize, refused: usize) -> HttpResponse {
    let status = StatusCode::from_u16(door.answer.status).unwrap_or(StatusCode::OK);
    let body = match &door.answer.body {
        Some(body) => body.fill(&[]),
        None => json!({"taken": taken, "refused": refused}).to_string(),
    };
    HttpResponse::build(status)
        .content_type(door.answer.media_type.as_str())
        .body(body)
}
