//! The command line.
//!
//! Knows which commands there are, not how they do their work.

pub mod pdu;
