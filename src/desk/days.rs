//! From a day as it was said to a date, and how far back it may lie.
//!
//! Nothing here reads a clock: the farm's today is an argument.

use crate::domain::said::DaySaid;
use crate::units::day::FarmDay;
use chrono::{Datelike, Duration, NaiveDate};

/// Days that a stocking may lie back: a cage's six weeks and a margin for catching up from a paper book.
pub const STOCKING_BACK_DAYS: u16 = 60;
/// Days that an officer may go back where nothing was stocked: a year's paper book.
pub const OFFICER_BACK_DAYS: u16 = 366;

/// Days back, today counted in, within which a day of the month is certain by its number alone: further back it may be the coming one.
const NUMBERED_DAYS: usize = 21;

/// The date of a day as it was said, never after `today`; `None` where there is no such date.
#[must_use]
pub fn resolve(said: DaySaid, today: FarmDay) -> Option<FarmDay> {
    match said {
        DaySaid::Unsaid => Some(today),
        DaySaid::Back(days) => today.checked_sub_signed(Duration::days(i64::from(days))),
        DaySaid::Weekday(weekday) => {
            let back = today.weekday().days_since(weekday);
            today.checked_sub_signed(Duration::days(i64::from(back)))
        }
        DaySaid::Date { day, month } => last_date(today, day, month),
        DaySaid::Dated(date) => (date <= today).then_some(date),
        DaySaid::OfMonth(day) => today
            .iter_days()
            .rev()
            .take(NUMBERED_DAYS)
            .find(|date| date.day() == u32::from(day)),
    }
}

/// The last such date, today included; 29/2 may lie up to eight years back.
fn last_date(today: FarmDay, day: u8, month: u8) -> Option<FarmDay> {
    (0..=8).find_map(|years| {
        NaiveDate::from_ymd_opt(today.year() - years, u32::from(month), u32::from(day))
            .filter(|date| *date <= today)
    })
}

/// Whether a written date lies ahead in this year by no more than half of it: then it was meant as a coming day, not as last year's. One with
/// its year lies ahead or does not.
#[must_use]
pub fn looks_ahead(said: DaySaid, today: FarmDay) -> bool {
    if let DaySaid::Dated(date) = said {
        return date > today;
    }
    let DaySaid::Date { day, month } = said else {
        return false;
    };
    let coming = (0..=1).find_map(|years| {
        NaiveDate::from_ymd_opt(today.year() + years, u32::from(month), u32::from(day))
            .filter(|date| *date > today)
    });
    coming.is_some_and(|date| date.signed_duration_since(today).num_days() <= 183)
}

/// Whole days from `day` to `today`; negative for a day to come.
#[must_use]
pub fn days_back(day: FarmDay, today: FarmDay) -> i64 {
    today.signed_duration_since(day).num_days()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::Weekday;

    #[test]
    fn a_day_word_never_means_the_future() {
        // Tuesday.
        let today = NaiveDate::from_ymd_opt(2026, 3, 10).unwrap();
        let shown = |said| resolve(said, today).map(|d| d.to_string());
        let is = |text: &str| Some(text.to_owned());
        assert_eq!(shown(DaySaid::Unsaid), is("2026-03-10"));
        assert_eq!(shown(DaySaid::Back(1)), is("2026-03-09"));
        assert_eq!(shown(DaySaid::Weekday(Weekday::Tue)), is("2026-03-10"));
        assert_eq!(shown(DaySaid::Weekday(Weekday::Wed)), is("2026-03-04"));
        assert_eq!(shown(DaySaid::Date { day: 10, month: 3 }), is("2026-03-10"));
        assert_eq!(shown(DaySaid::Date { day: 11, month: 3 }), is("2025-03-11"));
        assert_eq!(shown(DaySaid::Date { day: 29, month: 2 }), is("2024-02-29"));
        assert_eq!(shown(DaySaid::Date { day: 30, month: 2 }), None);
        let dated =
            |day, month, year| DaySaid::Dated(NaiveDate::from_ymd_opt(year, month, day).unwrap());
        assert_eq!(shown(dated(9, 3, 2026)), is("2026-03-09"));
        assert_eq!(shown(dated(9, 3, 2025)), is("2025-03-09"));
        assert_eq!(shown(dated(11, 3, 2026)), None);
        assert_eq!(shown(DaySaid::OfMonth(10)), is("2026-03-10"));
        assert_eq!(shown(DaySaid::OfMonth(9)), is("2026-03-09"));
        assert_eq!(shown(DaySaid::OfMonth(25)), is("2026-02-25"));
        // Tomorrow's day of the month is hardly last month's.
        assert_eq!(shown(DaySaid::OfMonth(11)), None);
        assert_eq!(shown(DaySaid::OfMonth(31)), None);
    }

    #[test]
    fn a_date_soon_to_come_is_no_date_of_last_year() {
        let today = NaiveDate::from_ymd_opt(2026, 12, 30).unwrap();
        assert!(looks_ahead(DaySaid::Date { day: 2, month: 1 }, today));
        assert!(!looks_ahead(DaySaid::Date { day: 23, month: 12 }, today));
        assert!(!looks_ahead(DaySaid::Back(1), today));
        let dated =
            |day, month, year| DaySaid::Dated(NaiveDate::from_ymd_opt(year, month, day).unwrap());
        assert!(looks_ahead(dated(31, 12, 2026), today));
        assert!(looks_ahead(dated(2, 1, 2028), today));
        assert!(!looks_ahead(dated(2, 1, 2026), today));
    }
}
