//! SMPP 3.4: codec, session, texts and driver, against hand-made octets and a scripted message centre on loopback.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "smpp/centre.rs"]
mod centre;
#[allow(dead_code, reason = "each test uses its own part of it")]
#[path = "gateway/child.rs"]
mod child;
#[path = "smpp/codec.rs"]
mod codec;
#[path = "smpp/delivering.rs"]
mod delivering;
#[path = "smpp/dissected.rs"]
mod dissected;
#[path = "smpp/drill.rs"]
mod drill;
#[path = "smpp/gateway.rs"]
mod gateway;
#[path = "smpp/parts.rs"]
mod parts;
#[path = "smpp/peers.rs"]
mod peers;
#[path = "smpp/receipts.rs"]
mod receipts;
#[path = "smpp/sending.rs"]
mod sending;
#[path = "smpp/session.rs"]
mod session;
#[path = "smpp/texts.rs"]
mod texts;
#[path = "smpp/tls.rs"]
mod tls;
#[path = "smpp/ussd.rs"]
mod ussd;
