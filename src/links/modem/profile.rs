//! What one modem and its SIM want: port, storage, pace, receipts. The settings say it.
//!
//! Values only. Does not know settings files.

use crate::links::modem::pin::Pin;
use chrono::TimeDelta;
use std::path::PathBuf;

/// One modem.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// The serial port, such as `/dev/serial/by-id/...`.
    pub path: PathBuf,
    /// Its speed in bits a second; USB modems do not mind.
    pub baud: u32,
    /// The SIM's PIN; none: it must not want one.
    pub pin: Option<Pin>,
    /// Texts a second at the most.
    pub per_second: f64,
    /// The country of numbers written the national way; empty where none is set.
    pub country: String,
    /// Delivery receipts are asked for.
    pub receipts: bool,
    /// The text's own end of worth is told to the service centre.
    pub validity: bool,
    /// How the session goes.
    pub limits: Limits,
}

/// What a session needs to know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Where messages are stored: `SM` the SIM, `ME` the modem, `MT` both.
    pub storage: String,
    /// Between two looks at storage, signal and registration.
    pub poll_every: TimeDelta,
    /// How long the network may take over a text; then it is unknown.
    pub send_wait: TimeDelta,
}
