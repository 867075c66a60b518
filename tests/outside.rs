//! The contract at the outside, spoken over a socket to the built binary: the ready line, every outcome, every problem, metrics, drain.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "gateway/batch.rs"]
mod batch;
#[allow(dead_code, reason = "each test uses its own part of it")]
#[path = "gateway/child.rs"]
mod child;
#[path = "gateway/drain.rs"]
mod drain;
#[path = "gateway/examples.rs"]
mod examples;
#[path = "gateway/mapping.rs"]
mod mapping;
#[path = "gateway/outcomes.rs"]
mod outcomes;
#[path = "gateway/problems.rs"]
mod problems;
#[path = "gateway/sending.rs"]
mod sending;
#[path = "gateway/ussd.rs"]
mod ussd;
