//! The menu behind USSD dialogues: each step goes to the counter, and its screen comes back when it is on disk.
//!
//! Does not know sessions of SMPP, nor what a menu shows.

use crate::counter::Counter;
use crate::counter::ussd::{UssdInput, UssdStep};
use crate::domain::message::CoopId;
use crate::links::smpp::ussd::{Menu, Screen, Stage, Step};
use std::sync::Arc;
use tokio::sync::oneshot;

/// The counter's menu for the members of `coop`.
#[must_use]
pub fn behind(counter: Counter, coop: CoopId) -> Menu {
    Arc::new(move |step| {
        let (answer, fate) = oneshot::channel();
        let done = Box::new(move |fate| {
            // Nobody waits any more where the carrier's patience was over.
            answer.send(fate).ok();
        });
        let arrived = counter.clock().now();
        counter.ussd(coop, as_counted(step, arrived), done);
        Box::pin(async move {
            let screen = fate.await.ok()?.ok()?;
            Some(Screen {
                text: screen.text,
                end: screen.end,
            })
        })
    })
}

fn as_counted(step: Step, arrived: chrono::DateTime<chrono::Utc>) -> UssdStep {
    UssdStep {
        link: step.link,
        session: step.session,
        from: step.from,
        code: step.code,
        input: match step.stage {
            Stage::Begin => UssdInput::First,
            Stage::Typed | Stage::Over => UssdInput::Step(step.input),
        },
        last: step.stage == Stage::Over,
        arrived,
    }
}
