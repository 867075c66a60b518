//! Numbers, days and reasons as pages write them.
//!
//! This room computes nothing.

use crate::console::words::Words;
use crate::desk::prospect::{Look, Reason};
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Datelike;

/// A weight of hundredths of a gram, as replies write it; above what one weight may be, in kilograms.
#[must_use]
pub fn grams(cg: u64) -> String {
    match u32::try_from(cg).ok().and_then(Grams::from_hundredths) {
        // Tenths are what a pocket scale tells; a page full of hundredths is hard to read.
        Some(grams) if cg < 10_000 => {
            let tenths = (grams.hundredths() + 5) / 10;
            Grams::from_hundredths(tenths * 10)
                .unwrap_or(grams)
                .to_string()
        }
        Some(grams) if cg < 100_000 => {
            let whole = (grams.hundredths() + 50) / 100;
            Grams::from_hundredths(whole * 100)
                .unwrap_or(grams)
                .to_string()
        }
        _ => format!("{:.1}kg", cg as f64 / 100_000.0),
    }
}

/// The same of grams.
#[must_use]
pub fn grams_of(grams_shown: f64) -> String {
    grams((grams_shown.max(0.0) * 100.0).round() as u64)
}

/// The same for a column: tenths throughout, so that points stand below each other.
#[must_use]
pub fn tenths(cg: u64) -> String {
    let tenths = cg.saturating_add(5) / 10;
    format!("{}.{}g", tenths / 10, tenths % 10)
}

/// The same of grams.
#[must_use]
pub fn tenths_of(grams_shown: f64) -> String {
    tenths((grams_shown.max(0.0) * 100.0).round() as u64)
}

/// A day and its weekday: `Tue 10.03.`
#[must_use]
pub fn day(words: &Words<'_>, day: FarmDay) -> String {
    let names = words.t("weekdays");
    let at = day.weekday().num_days_from_monday() as usize;
    let name = names.split_whitespace().nth(at).unwrap_or_default();
    format!("{name} {}", day.format("%d.%m."))
}

/// A reason in words.
#[must_use]
pub fn reason(words: &Words<'_>, reason: &Reason, today: FarmDay) -> String {
    match reason {
        Reason::Missing(cages, cg) => {
            let cages: Vec<String> = cages.iter().map(ToString::to_string).collect();
            let values = [
                ("cages", cages.join(", ").into()),
                ("grams", grams(u64::from(*cg)).into()),
            ];
            words.say("reason-missing", &values)
        }
        Reason::Silent(None) => words.t("reason-never"),
        Reason::Silent(Some(since)) => {
            let days = today.signed_duration_since(*since).num_days();
            words.say("reason-silent", &[("days", days.into())])
        }
        Reason::Look(Look::Water) => words.t("look-water"),
        Reason::Look(Look::Bait) => words.t("look-bait"),
        Reason::Look(Look::Heat) => words.t("look-heat"),
        Reason::Look(Look::Ants) => words.t("look-ants"),
    }
}

/// Millionths of the money's unit, with two decimals; what is less than half a hundredth is shown exactly.
#[must_use]
pub fn money(millionths: u64) -> String {
    if millionths > 0 && millionths < 5_000 {
        let text = format!("0.{millionths:06}");
        return text.trim_end_matches('0').to_owned();
    }
    let cents = millionths.saturating_add(5_000) / 10_000;
    format!("{}.{:02}", cents / 100, cents % 100)
}

/// A value in an address (RFC 3986, section 2.1).
#[must_use]
pub fn escaped(text: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"-._~".contains(&b);
    text.bytes()
        .map(|b| match plain(b) {
            true => char::from(b).to_string(),
            false => format!("%{b:02X}"),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_of_a_column_have_the_same_places() {
        assert_eq!(
            [0, 4, 5, 1_249, 123_456].map(tenths),
            ["0.0g", "0.0g", "0.1g", "12.5g", "1234.6g"]
        );
    }

    #[test]
    fn weights_are_as_fine_as_a_reader_needs() {
        let shown = [0, 4, 1250, 1254, 9_999, 12_345, 123_456, 12_345_678].map(grams);
        assert_eq!(
            shown,
            [
                "0g", "0g", "12.5g", "12.5g", "100g", "123g", "1.2kg", "123.5kg"
            ]
        );
    }
}
