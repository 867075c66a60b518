//! The farm day: which day a moment belongs to at a farm.
//!
//! A farm day starts at 03:00 local time, so that a line sent after midnight still belongs to the evening before.
//! This room does not read a clock; every moment is an argument.

use chrono::{DateTime, Duration, NaiveDate, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;

/// The local hour at which a farm day begins.
pub const DAY_STARTS_AT_HOUR: u32 = 3;

/// A calendar day as a farm counts it. Plain `chrono::NaiveDate`; the name says what it means.
pub type FarmDay = NaiveDate;

/// The farm day that `moment` falls in.
#[must_use]
pub fn farm_day(moment: DateTime<Utc>, zone: Tz) -> FarmDay {
    (moment.with_timezone(&zone).naive_local() - Duration::hours(i64::from(DAY_STARTS_AT_HOUR)))
        .date()
}

/// The first moment at or after which the local clock shows `hour` o'clock on the calendar date of `day`.
///
/// Where a clock change skips that hour, the next whole hour that exists is taken.
#[must_use]
pub fn local_hour(day: FarmDay, hour: u32, zone: Tz) -> DateTime<Utc> {
    let wanted = day.and_time(NaiveTime::MIN) + Duration::hours(i64::from(hour.min(23)));
    (0..4)
        .find_map(|later| {
            zone.from_local_datetime(&(wanted + Duration::hours(later)))
                .earliest()
        })
        .map_or_else(|| wanted.and_utc(), |local| local.with_timezone(&Utc))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]
    use super::*;

    #[test]
    fn the_day_turns_at_three_in_the_morning() {
        let zone = chrono_tz::Africa::Dar_es_Salaam;
        let at = |s: &str| farm_day(s.parse().unwrap(), zone).to_string();
        assert_eq!(at("2026-03-09T23:59:59Z"), "2026-03-09");
        assert_eq!(at("2026-03-10T00:00:00Z"), "2026-03-10");
        assert_eq!(at("2026-03-10T23:30:00Z"), "2026-03-10");
    }

    #[test]
    fn a_skipped_hour_becomes_the_next_that_exists() {
        let zone = chrono_tz::Europe::Berlin;
        let day = NaiveDate::from_ymd_opt(2026, 3, 29).unwrap();
        assert_eq!(
            local_hour(day, 2, zone).to_rfc3339(),
            "2026-03-29T01:00:00+00:00"
        );
    }
}
