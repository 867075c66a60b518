//! The invented cooperative that `serve --demo` shows: its people, their cages, and ninety days of their messages.
//!
//! Everything in here is made up by a seeded generator, and every page that shows it says so. The messages go through the real engine; nothing is
//! written past it. This room does not know a web page.

pub mod cast;
pub mod diary;
pub mod eggs;
pub mod seed;
pub mod wording;

/// What is said wherever the demo's data is shown.
pub const NOTICE: &str = "Demo: Ziwani Fly Growers, its members, numbers and records are invented.";
