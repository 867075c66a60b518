//! The cooperative's room from outside: who may open what, forms that are not ours, wrong passwords, planted sessions.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

#[path = "console/broadcast.rs"]
mod broadcast;
#[path = "console/browser.rs"]
mod browser;
#[path = "console/bulk.rs"]
mod bulk;
#[path = "console/deliveries.rs"]
mod deliveries;
#[path = "console/doors.rs"]
mod doors;
#[path = "console/exports.rs"]
mod exports;
#[path = "console/members.rs"]
mod members;
#[path = "console/pages.rs"]
mod pages;
#[path = "console/printing.rs"]
mod printing;
#[path = "console/settings.rs"]
mod settings;
#[path = "console/teach.rs"]
mod teach;
#[path = "console/visits.rs"]
mod visits;
