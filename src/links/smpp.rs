//! SMPP 3.4: a client of a carrier's message centre, as transceiver or as a transmitter and receiver pair.
//!
//! Codec, session and texts are values without IO, clock or chance; [`driver`] is the one file that owns sockets. Nothing here knows what a text
//! means or how it is kept.

pub mod clerk;
pub mod dialogues;
pub mod driver;
pub mod fields;
pub mod flow;
pub mod frames;
pub mod incoming;
pub mod outgoing;
pub mod pdu;
pub mod profile;
pub mod pump;
pub mod receipt;
pub mod session;
pub mod status;
pub mod tlv;
pub mod transport;
pub mod ussd;
