//! Seven octets of date, time and zone (3GPP TS 23.040 clause 9.2.3.11), kept as sent.
//!
//! Does not know which message they belong to, or whether the clock that made them was right.

use chrono::DateTime;
use chrono::Datelike;
use chrono::FixedOffset;
use chrono::NaiveDate;
use chrono::TimeZone;
use chrono::Timelike;

/// Two-digit years from here on are of the twentieth century: no message is older than the service (common practice, no source).
const PIVOT: i32 = 70;
/// Seconds in the quarter hour that zones are counted in.
const QUARTER: i32 = 15 * 60;

/// A time stamp as sent: year, month, day, hour, minute, second, zone, each with its half octets swapped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp(pub [u8; 7]);

/// A time that seven octets cannot hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a time stamp holds years 1970 to 2069 and zones in quarter hours up to 19:45")]
pub struct NotStampable;

impl Stamp {
    /// The moment with its zone; `None` where the octets are no date and time.
    #[must_use]
    pub fn moment(self) -> Option<DateTime<FixedOffset>> {
        let [year, month, day, hour, minute, second, _] = self.0;
        let year = i32::try_from(two_digits(year)?).ok()?;
        let year = if year >= PIVOT {
            1900 + year
        } else {
            2000 + year
        };
        let date = NaiveDate::from_ymd_opt(year, two_digits(month)?, two_digits(day)?)?;
        let local =
            date.and_hms_opt(two_digits(hour)?, two_digits(minute)?, two_digits(second)?)?;
        FixedOffset::east_opt(self.quarters()? * QUARTER)?
            .from_local_datetime(&local)
            .single()
    }

    /// The zone in quarter hours east of Greenwich. The sign is bit 3 of the octet as sent.
    #[must_use]
    pub fn quarters(self) -> Option<i32> {
        let [.., zone] = self.0;
        let magnitude = i32::try_from(two_digits(zone & !0x08)?).ok()?;
        Some(if zone & 0x08 == 0 {
            magnitude
        } else {
            -magnitude
        })
    }

    /// The stamp of a moment.
    ///
    /// # Errors
    /// A year or zone that does not fit.
    pub fn of(moment: DateTime<FixedOffset>) -> Result<Self, NotStampable> {
        let year = moment.year();
        let offset = moment.offset().local_minus_utc();
        let quarters = (offset / QUARTER).unsigned_abs();
        if !(1900 + PIVOT..2000 + PIVOT).contains(&year) || offset % QUARTER != 0 || quarters > 79 {
            return Err(NotStampable);
        }
        let sign = if offset < 0 { 0x08 } else { 0 };
        let fields = [
            moment.month(),
            moment.day(),
            moment.hour(),
            moment.minute(),
            moment.second(),
        ];
        let [month, day, hour, minute, second] = fields.map(swapped);
        let year = swapped(year.rem_euclid(100).unsigned_abs());
        Ok(Self([
            year,
            month,
            day,
            hour,
            minute,
            second,
            swapped(quarters) | sign,
        ]))
    }
}

/// `12` written as 0x21.
#[must_use]
pub fn swapped(number: u32) -> u8 {
    u8::try_from((number % 10) * 16 + number / 10 % 10).unwrap_or_default()
}

fn two_digits(octet: u8) -> Option<u32> {
    let (tens, ones) = (octet & 0xF, octet >> 4);
    (tens < 10 && ones < 10).then(|| u32::from(tens * 10 + ones))
}
