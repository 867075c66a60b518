//! The telecom codecs and state machines against published values, other people's codecs and invented faults.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "telecom/addresses.rs"]
mod addresses;
#[path = "telecom/alphabet.rs"]
mod alphabet;
#[path = "telecom/commands.rs"]
mod commands;
#[path = "telecom/parts.rs"]
mod parts;
#[path = "telecom/tpdu.rs"]
mod tpdu;
#[path = "telecom/tpdu_fields.rs"]
mod tpdu_fields;
#[path = "telecom/vectors.rs"]
mod vectors;
