//! Networks: codecs and state machines without IO, and one driver each.
//!
//! A link turns what a network carries into messages and back. It does not know what a message says, who its members are,
//! or how anything is kept.

pub mod address;
pub mod gsm7;
pub mod parts;
pub mod pdu;
pub mod smpp;
pub mod ucs2;
