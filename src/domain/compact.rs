//! How days and moments are written inside records: short in binary formats, readable in text formats.
//!
//! A binary format gets days since 2020 (two bytes until 2042) and seconds with nanoseconds, exactly; a text format gets ISO 8601.
//! This room does not know which format is in use; it asks the serializer.

use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The day that binary records count from.
const EPOCH: NaiveDate = match NaiveDate::from_ymd_opt(2020, 1, 1) {
    Some(day) => day,
    None => NaiveDate::MIN,
};
/// The same moment, in Unix seconds.
const EPOCH_SECONDS: i64 = 1_577_836_800;

fn number(day: NaiveDate) -> i32 {
    i32::try_from(day.signed_duration_since(EPOCH).num_days()).unwrap_or(i32::MAX)
}

fn from_number<E: serde::de::Error>(number: i32) -> Result<NaiveDate, E> {
    EPOCH
        .checked_add_signed(Duration::days(i64::from(number)))
        .ok_or_else(|| E::custom("a day out of the calendar's range"))
}

/// For a `FarmDay` field: `#[serde(with = "compact::day")]`.
pub mod day {
    use chrono::NaiveDate;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    /// Writes a day.
    pub fn serialize<S: Serializer>(day: &NaiveDate, to: S) -> Result<S::Ok, S::Error> {
        if to.is_human_readable() {
            day.serialize(to)
        } else {
            crate::domain::compact::number(*day).serialize(to)
        }
    }

    /// Reads a day.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<NaiveDate, D::Error> {
        if from.is_human_readable() {
            NaiveDate::deserialize(from)
        } else {
            crate::domain::compact::from_number(i32::deserialize(from)?)
        }
    }
}

/// For an `Option<FarmDay>` field: `#[serde(with = "compact::day_or_none")]`.
pub mod day_or_none {
    use chrono::NaiveDate;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    #[derive(Serialize, Deserialize)]
    struct Day(#[serde(with = "crate::domain::compact::day")] NaiveDate);

    /// Writes a day or nothing.
    pub fn serialize<S: Serializer>(day: &Option<NaiveDate>, to: S) -> Result<S::Ok, S::Error> {
        day.map(Day).serialize(to)
    }

    /// Reads a day or nothing.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<NaiveDate>, D::Error> {
        Ok(Option::<Day>::deserialize(from)?.map(|day| day.0))
    }
}

/// For a `Vec<u8>` field: `#[serde(with = "compact::bytes")]`; hexadecimal in text.
pub mod bytes {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};
    use std::fmt::Write as _;

    /// Writes bytes.
    pub fn serialize<S: Serializer>(bytes: &[u8], to: S) -> Result<S::Ok, S::Error> {
        if !to.is_human_readable() {
            return bytes.serialize(to);
        }
        let mut text = String::with_capacity(2 * bytes.len());
        for byte in bytes {
            // Writing to a string cannot fail.
            let _written = write!(text, "{byte:02x}");
        }
        text.serialize(to)
    }

    /// Reads bytes.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<u8>, D::Error> {
        if !from.is_human_readable() {
            return Vec::deserialize(from);
        }
        let text = String::deserialize(from)?;
        let digits = text.as_bytes();
        let pairs = digits.chunks(2).map(|pair| {
            let pair = std::str::from_utf8(pair).ok().filter(|p| p.len() == 2);
            pair.and_then(|pair| u8::from_str_radix(pair, 16).ok())
        });
        let read: Option<Vec<u8>> = pairs.collect();
        read.ok_or_else(|| serde::de::Error::custom("bytes as pairs of hexadecimal digits"))
    }
}

/// For a `DateTime<Utc>` field: `#[serde(with = "compact::moment")]`. Exact to the nanosecond.
pub mod moment {
    use super::{DateTime, Deserialize, Deserializer, EPOCH_SECONDS, Serialize, Serializer, Utc};

    /// Writes a moment.
    pub fn serialize<S: Serializer>(moment: &DateTime<Utc>, to: S) -> Result<S::Ok, S::Error> {
        if to.is_human_readable() {
            moment.serialize(to)
        } else {
            (
                moment.timestamp() - EPOCH_SECONDS,
                moment.timestamp_subsec_nanos(),
            )
                .serialize(to)
        }
    }

    /// Reads a moment.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<DateTime<Utc>, D::Error> {
        if from.is_human_readable() {
            return DateTime::deserialize(from);
        }
        let (seconds, nanos) = <(i64, u32)>::deserialize(from)?;
        seconds
            .checked_add(EPOCH_SECONDS)
            .and_then(|s| DateTime::from_timestamp(s, nanos))
            .ok_or_else(|| serde::de::Error::custom("a moment out of the calendar's range"))
    }
}
