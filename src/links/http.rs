//! The http link's side without IO: what a posted message looks like, what is answered, and when a text is sent again.
//!
//! The web server and the driver move the bytes; this room reads and writes them.

pub mod answered;
pub mod fields;
pub mod halves;
pub mod mapping;
pub mod number;
pub mod outgoing;
pub mod posted;
pub mod schedule;
pub mod signing;
pub mod template;
pub mod ussd;
