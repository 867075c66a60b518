//! `POST /in/{link}/receipt`: what became of a text that went out.
//!
//! Acknowledged when it is on disk, so that a network keeps it until then. This room does not know what the text was.

use crate::counter::Counter;
use crate::counter::answers::{CounterError, TakeError};
use crate::links::http::fields::{Format, Posted};
use crate::links::http::mapping::ReceiptMapping;
use crate::store::delivery::Matched;
use crate::web::gate::Door;
use crate::web::inbound::{Intake, enter};
use crate::web::metrics::Metrics;
use crate::web::problem::{Problem, not_found, unreadable};
use actix_web::web::{self, Data, Path, Payload};
use actix_web::{HttpRequest, HttpResponse};
use chrono::{DateTime, Utc};

/// Too many receipts wait for their texts: a network that is told so comes again.
const BUSY_FOR_S: u32 = 60;

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
    let answered = answer(&request, &link, body, &intake).await;
    if let Err(problem) = &answered {
        metrics.refused(problem.word());
    }
    answered
}

async fn answer(
    request: &HttpRequest,
    link: &str,
    body: Payload,
    intake: &Intake,
) -> Result<HttpResponse, Problem> {
    let wanted = |door: &Door| door.receipts.as_ref().map_or(Format::Json, |r| r.format);
    let entered = enter(request, link, body, intake, wanted).await?;
    let door = entered.door;
    let mapping = door.receipts.as_ref().ok_or_else(not_found)?;
    let posted =
        Posted::read(mapping.format, &entered.body, request.query_string()).map_err(unreadable)?;
    keep(&intake.counter, door, mapping, &posted, intake.clock.now()).await
}

/// Reads a receipt and keeps it; answered with the status that messages of the link are answered with, and no body to read.
///
/// # Errors
/// Wrong fields, or the store's failure.
pub async fn keep(
    counter: &Counter,
    door: &Door,
    mapping: &ReceiptMapping,
    posted: &Posted,
    now: DateTime<Utc>,
) -> Result<HttpResponse, Problem> {
    let told = mapping.read(posted, now)?;
    let (counter, link) = (counter.clone(), door.link.clone());
    // The store blocks, so it is asked from a thread that may.
    let kept = web::block(move || counter.receipt(&link, vec![told.id], told.state, told.at)).await;
    match kept.unwrap_or(Err(CounterError::Closing)) {
        Ok(Matched::Row(_) | Matched::Early) => Ok(HttpResponse::Ok()
            .content_type("application/json")
            .body("{\"kept\":true}")),
        Ok(Matched::Dropped) => Err(TakeError::Busy {
            retry_after_s: BUSY_FOR_S,
        }
        .into()),
        Err(CounterError::Closing) => Err(TakeError::Closing.into()),
        Err(error) => Err(TakeError::Store(error.to_string()).into()),
    }
}
