//! `POST /ussd/{link}`: one step of a session in, one screen out.
//!
//! The same checks as for messages; the screen leaves after the flush. Where the counter cannot take the step now, the phone is told so in words and
//! the session ends: a status would show as an error of the network. This room does not know the menu.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::answers::TakeError;
use crate::counter::ussd::{UssdAnswer, UssdInput, UssdStep};
use crate::domain::message::CoopId;
use crate::links::http::ussd::UssdInput as Posted;
use crate::web::gate::Door;
use crate::web::inbound::{Intake, enter};
use crate::web::metrics::Metrics;
use crate::web::problem::{Problem, unreadable};
use actix_web::web::{Data, Path, Payload};
use actix_web::{HttpRequest, HttpResponse};
use tokio::sync::oneshot;

/// The handler.
///
/// # Errors
/// Each as problem details.
pub async fn step(
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
    let entered = enter(request, link, body, intake, |door| door.ussd.format).await?;
    let door = entered.door;
    let asked = door
        .ussd
        .read(&entered.body, request.query_string(), &door.country)
        .map_err(|fault| unreadable(fault.to_string()))?;
    let step = UssdStep {
        link: door.link.clone(),
        session: asked.session,
        from: asked.from,
        code: asked.code,
        input: match asked.input {
            Posted::First => UssdInput::First,
            Posted::Step(typed) => UssdInput::Step(typed),
            Posted::Path(path) => UssdInput::Path(path),
        },
        last: asked.last,
        // The demo's clock stands; a network's repetition is told by a clock that runs.
        arrived: Clock::System.now(),
    };
    let screen = submit(&intake.counter, door.coop, step).await?;
    Ok(write(door, &screen))
}

fn write(door: &Door, screen: &UssdAnswer) -> HttpResponse {
    let (body, media_type) = door.ussd.write(&screen.text, screen.end);
    HttpResponse::Ok().content_type(media_type).body(body)
}

/// Hands a step to the counter and waits until it is on disk.
///
/// # Errors
/// Where the counter did not take it.
pub async fn submit(
    counter: &Counter,
    coop: CoopId,
    step: UssdStep,
) -> Result<UssdAnswer, Problem> {
    let (done, fate) = oneshot::channel();
    counter.ussd(
        coop,
        step,
        Box::new(move |taken| {
            // The network may have hung up; the step is kept all the same.
            let _ = done.send(taken);
        }),
    );
    match fate.await {
        Ok(taken) => Ok(taken?),
        Err(_) => Err(TakeError::Closing.into()),
    }
}
