//! The modem link: session, PIN and driver against a scripted modem, in memory with time as an argument and over a pseudo-terminal.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "modem/bench.rs"]
mod bench;
#[allow(dead_code, reason = "each test uses its own part of it")]
#[path = "gateway/child.rs"]
mod child;
#[path = "modem/driving.rs"]
mod driving;
#[path = "modem/fake.rs"]
mod fake;
#[path = "modem/faults.rs"]
mod faults;
#[path = "modem/gateway.rs"]
mod gateway;
#[path = "modem/machine.rs"]
mod machine;
#[path = "modem/pins.rs"]
mod pins;
#[path = "modem/rig.rs"]
mod rig;
#[path = "modem/sim.rs"]
mod sim;
#[path = "modem/submitting.rs"]
mod submitting;
#[path = "modem/texts.rs"]
mod texts;
