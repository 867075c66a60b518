//! What is kept: messages as received, events, states, what is to be sent and when a farm wakes up.
//!
//! The rest of the program sees verbs, not keys: load a stream, commit what a batch of messages changed, find a redelivery, what is due, lease
//! and settle. This room does not decide anything and does not know how a message arrives.

pub mod outbox;
