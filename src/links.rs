//! Networks: how a text comes in and how one goes out, for each kind of link.
//!
//! Codecs and state machines without IO, and one driver each: only `driver` files touch a socket. No link knows what a text means, who its members
//! are, or how anything is kept.

pub mod address;
pub mod board;
pub mod driver;
pub mod failover;
pub mod gsm7;
pub mod http;
pub mod intake;
pub mod journal;
pub mod keeping;
pub mod leftovers;
pub mod modem;
pub mod pace;
pub mod parts;
pub mod pdu;
pub mod sending;
pub mod smpp;
pub mod ucs2;
