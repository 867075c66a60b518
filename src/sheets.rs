//! Sheets for people and programs beside the gateway: what is kept, as rows with named columns, in CSV, XLSX or lines of JSON.
//!
//! `rows` says what each sheet holds, `form` writes rows in one of the forms, `month` sums a month up by ward, `members_in` reads a
//! sheet of members. This room does not know who asks or
//! where the bytes go.

pub mod form;
pub mod members_in;
pub mod month;
pub mod rows;

use crate::counter::answers::CounterError;
use crate::units::day::FarmDay;
use chrono::{Datelike, Months};
use std::fmt;

/// Why a sheet was not written.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// The record could not be read.
    #[error(transparent)]
    Counter(#[from] CounterError),
    /// The bytes could not be written.
    #[error("writing the sheet: {0}")]
    Written(#[from] std::io::Error),
    /// More rows than a workbook holds.
    #[error(
        "a workbook holds {0} rows, this sheet has more: take it as csv or ndjson, or one month at a time"
    )]
    TooLong(u32),
    /// The workbook could not be made.
    #[error("making the workbook: {0}")]
    Workbook(String),
}

/// What a sheet holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    /// Every member.
    Members,
    /// Every cage's running and last stock.
    Cages,
    /// Every harvest that stands.
    Harvests,
    /// Care done, things seen, temperatures.
    Care,
    /// Eggs received from farms.
    Deliveries,
    /// Every message received, with its answer.
    Messages,
    /// A month by ward, beside the month before.
    Month,
}

impl Sheet {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Members,
        Self::Cages,
        Self::Harvests,
        Self::Care,
        Self::Deliveries,
        Self::Messages,
        Self::Month,
    ];

    /// Its name, as commands and addresses call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Members => "members",
            Self::Cages => "cages",
            Self::Harvests => "harvests",
            Self::Care => "care",
            Self::Deliveries => "deliveries",
            Self::Messages => "messages",
            Self::Month => "month",
        }
    }

    /// The sheet of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|sheet| sheet.name() == name)
    }

    /// Names of its columns, in order.
    #[must_use]
    pub const fn columns(self) -> &'static [&'static str] {
        match self {
            Self::Members => &[
                "member", "name", "role", "lang", "ward", "phones", "stopped", "cages",
            ],
            Self::Cages => &[
                "member",
                "cage",
                "check_letter",
                "stocked_on",
                "retired_on",
                "pupae",
                "stock_kind",
                "grams",
                "last_harvest",
            ],
            Self::Harvests => &["member", "cage", "day", "grams", "entered_by", "message_id"],
            Self::Care => &[
                "member",
                "cage",
                "day",
                "what",
                "value",
                "entered_by",
                "message",
            ],
            Self::Deliveries => &[
                "member",
                "day",
                "grams",
                "own_grams",
                "difference",
                "received_by",
                "message_id",
            ],
            Self::Messages => &[
                "message",
                "sent_at",
                "received_at",
                "from",
                "member",
                "text",
                "outcome",
                "answer",
            ],
            Self::Month => &[
                "month",
                "ward",
                "members",
                "farms_active",
                "cages_run",
                "grams",
                "delivered",
                "grams_month_before",
                "change_percent",
            ],
        }
    }
}

/// A calendar month.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Month {
    first: FarmDay,
}

impl Month {
    /// `2026-03`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let first = format!("{text}-01").parse().ok()?;
        (text.len() == 7).then_some(Self { first })
    }

    /// The month that a day lies in.
    #[must_use]
    pub fn of(day: FarmDay) -> Self {
        Self {
            first: day.with_day(1).unwrap_or(day),
        }
    }

    /// Whether the day lies in it.
    #[must_use]
    pub fn has(self, day: FarmDay) -> bool {
        Self::of(day) == self
    }

    /// Its first day.
    #[must_use]
    pub const fn first(self) -> FarmDay {
        self.first
    }

    /// Its last day.
    #[must_use]
    pub fn last(self) -> FarmDay {
        let next = self.first.checked_add_months(Months::new(1));
        next.and_then(|day| day.pred_opt()).unwrap_or(self.first)
    }

    /// The month before.
    #[must_use]
    pub fn before(self) -> Self {
        let first = self.first.checked_sub_months(Months::new(1));
        Self {
            first: first.unwrap_or(self.first),
        }
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}", self.first.year(), self.first.month())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_knows_its_days_and_the_one_before() {
        let march = Month::read("2026-03").unwrap();
        assert_eq!(march.to_string(), "2026-03");
        assert_eq!(march.last().to_string(), "2026-03-31");
        assert_eq!(march.before().last().to_string(), "2026-02-28");
        assert_eq!(
            Month::read("2026-01").unwrap().before().to_string(),
            "2025-12"
        );
        assert!(march.has("2026-03-31".parse().unwrap()));
        assert!(!march.has("2026-04-01".parse().unwrap()));
        for wrong in ["March", "2026-3", "2026-13", "2026-03-01", ""] {
            assert_eq!(Month::read(wrong), None, "{wrong}");
        }
    }
}
