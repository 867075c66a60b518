//! `POST /in/{link}/receipt`: what became of a text that went out.
//!
//! Acknowledged when it is on disk, so that a network keeps it until then. This room does not know what the text was.

use crate::counter::Counter;
use crate::counter::answers::{CounterError, TakeError};
use crate::links::http::fields::{Each, Format, Posted};
use crate::links::http::mapping::{ReceiptMapping, Told};
use crate::store::delivery::Matched;
use crate::web::gate::Door;
use crate::web::inbound::{Intake, enter};
use crate::web::metrics::Metrics;
use crate::web::problem::{Problem, not_found, several, unreadable};
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
    let answered = answer(&request, &link, body, &intake, &metrics).await;
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
    metrics: &Metrics,
) -> Result<HttpResponse, Problem> {
    let wanted = |door: &Door| door.receipts.as_ref().map_or(Format::Json, |r| r.format);
    let entered = enter(request, link, body, intake, wanted).await?;
    let door = entered.door;
    let mapping = door.receipts.as_ref().ok_or_else(not_found)?;
    let posted = if mapping.each == Each::Body {
        Posted::read_json(&entered.body)
    } else {
        Posted::read(mapping.format, &entered.body, request.query_string())
    };
    let posted = listed(mapping, posted.map_err(unreadable)?)?;
    let now = intake.clock.now();
    keep(&intake.counter, door, mapping, &posted, now, metrics).await
}

/// The receipts of a post.
///
/// # Errors
/// A list that is not where the settings say.
pub fn listed(mapping: &ReceiptMapping, posted: Posted) -> Result<Vec<Posted>, Problem> {
    if mapping.each != Each::Whole {
        return posted.each(&mapping.each).map_err(unreadable);
    }
    match posted.passes_over(&mapping.id, &mapping.state) {
        Some(list) => Err(several(&list, "receipts.each")),
        None => Ok(vec![posted]),
    }
}

/// Reads receipts and keeps them. What is wrong with one keeps none of the others out.
///
/// # Errors
/// Wrong fields of the last where none could be read, or the store's failure: all come again then, and those that were kept change nothing.
pub async fn keep(
    counter: &Counter,
    door: &Door,
    mapping: &ReceiptMapping,
    posted: &[Posted],
    now: DateTime<Utc>,
    metrics: &Metrics,
) -> Result<HttpResponse, Problem> {
    let (mut kept, mut wrong) = (false, None);
    for one in posted {
        match mapping.read(one, now) {
            Ok(told) => {
                keep_one(counter, door, told).await?;
                metrics.passed(&door.link, |passed| passed.receipts += 1);
                kept = true;
            }
            Err(fault) => wrong = Some(fault),
        }
    }
    match wrong {
        Some(fault) if !kept => Err(fault.into()),
        _ => Ok(HttpResponse::Ok()
            .content_type("application/json")
            .body("{\"kept\":true}")),
    }
}

async fn keep_one(counter: &Counter, door: &Door, told: Told) -> Result<(), Problem> {
    let (counter, link) = (counter.clone(), door.link.clone());
    // The store blocks, so it is asked from a thread that may.
    let kept = web::block(move || counter.receipt(&link, vec![told.id], told.state, told.at)).await;
    match kept.unwrap_or(Err(CounterError::Closing)) {
        Ok(Matched::Row(_) | Matched::Early) => Ok(()),
        Ok(Matched::Dropped) => Err(TakeError::Busy {
            retry_after_s: BUSY_FOR_S,
        }
        .into()),
        Err(CounterError::Closing) => Err(TakeError::Closing.into()),
        Err(error) => Err(TakeError::Store(error.to_string()).into()),
    }
}
