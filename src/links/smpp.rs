//! SMPP 3.4: so far the text of delivery receipts.
//!
//! Does not know sockets or settings.

pub mod receipt;
