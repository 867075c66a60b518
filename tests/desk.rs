//! The desk from the outside: readings go in, decisions come out, states are what their events make of them.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "desk/answers.rs"]
mod answers;
#[path = "desk/days.rs"]
mod days;
#[path = "desk/doubts.rs"]
mod doubts;
#[path = "desk/eggs.rs"]
mod eggs;
#[path = "desk/estimates.rs"]
mod estimates;
#[path = "desk/learning.rs"]
mod learning;
#[path = "desk/lessons.rs"]
mod lessons;
#[path = "desk/office.rs"]
mod office;
#[path = "desk/people.rs"]
mod people;
#[path = "desk/plausible.rs"]
mod plausible;
#[path = "desk/properties.rs"]
mod properties;
#[path = "desk/reminders.rs"]
mod reminders;
#[path = "desk/tasks.rs"]
mod tasks;
#[path = "desk/units.rs"]
mod units;
#[path = "desk/village.rs"]
mod village;
