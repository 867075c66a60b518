//! Damage to a data folder, and the way back: a torn tail, flipped bytes, a full or read-only disk, a backup taken while serving; and folders
//! that older programs wrote.
//!
//! The simulation (`tests/sim.rs`) plays faults out by the million in memory, the drill (`tests/drill.rs`) kills the real process; this looks at
//! the real files.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "gateway/child.rs"]
#[allow(dead_code, reason = "only some of it is needed here")]
mod child;
#[path = "crash/disk.rs"]
mod disk;
#[path = "crash/folder.rs"]
mod folder;
#[path = "crash/golden.rs"]
mod golden;
#[path = "crash/moment.rs"]
mod moment;
#[path = "crash/mounted.rs"]
mod mounted;
