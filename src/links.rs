//! Networks: how a text comes in and how one goes out, for each kind of link.
//!
//! What a link says and when it tries again is plain values and arithmetic; only `driver` touches a socket. No link knows what a text means.

pub mod driver;
pub mod http;
