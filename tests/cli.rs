//! The operator's commands, run as an operator runs them: each says what it did, or what it expected instead.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[allow(dead_code, reason = "each test uses its own part of it")]
#[path = "gateway/child.rs"]
mod child;
#[path = "commands/climate.rs"]
mod climate;
#[path = "commands/door.rs"]
mod door;
#[path = "commands/keeping.rs"]
mod keeping;
#[path = "commands/office.rs"]
mod office;
#[path = "commands/people.rs"]
mod people;
#[path = "commands/settings.rs"]
mod settings;
