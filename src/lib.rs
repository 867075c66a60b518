//! clutchline: black soldier fly cage records by SMS and USSD.
//!
//! One line comes in, is read by the grammar, judged by the desk, committed by the store, and answered with one line.
//! The rooms, from the ground up; each may import only from floors below its own, and `tests/house_rules.rs` holds them to it.
#![cfg_attr(
    test,
    allow(
        clippy::unwrap_used,
        clippy::panic,
        reason = "a failed unwrap is a failed test"
    )
)]

// Floor 0: quantities and their units.
pub mod units;

// Floor 1: who and what exists, what can be said, what can have happened.
pub mod domain;

// Floor 2: the sums; files of texts.
pub mod biology;
pub mod texts;

// Floor 3: text to what was said.
pub mod grammar;

// Floor 4: what was said to what is decided, and its words.
pub mod desk;

// Floor 5: the menu of a USSD session.
pub mod menu;

// Floor 6: what is kept, and the only wall clock.
pub mod clock;
pub mod store;

// Floor 7: one message in, one receipt out.
pub mod counter;

// Floor 8: networks; sheets for people and programs beside the gateway.
pub mod links;
pub mod sheets;

// Floor 9: the cooperative's room in the browser; the invented cooperative.
pub mod console;
pub mod demo;

// Floor 10: what a browser or an aggregator talks to.
pub mod web;

// Floor 11: settings.
pub mod config;

// Floor 12: commands, the way in.
pub mod cli;
