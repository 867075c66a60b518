//! A GSM modem on a serial port: AT commands and short messages in PDU mode (3GPP TS 27.005 and TS 27.007).
//!
//! Lines, replies, the session and texts are values without IO, clock or chance; [`driver`] is the one file that owns ports. Nothing here knows
//! what a text means or how it is kept.

pub mod clerk;
pub mod driver;
pub mod faults;
pub mod incoming;
pub mod lines;
pub mod outgoing;
pub mod pin;
pub mod port;
pub mod profile;
pub mod reply;
pub mod session;
pub mod trace;
