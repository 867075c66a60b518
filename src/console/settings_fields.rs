//! The rules that a manager may set, one row each: name, bounds, how it is read and written.
//!
//! Forms, differences and the trail walk these rows. This room decides nothing.

use crate::biology::tables::TABLE;
use crate::domain::CareJob;
use crate::domain::rules::Rules;
use crate::units::Celsius;

/// A number of the rules.
pub struct Field {
    /// Its name in the form and the trail.
    pub name: &'static str,
    /// The key of what it is called.
    pub key: &'static str,
    /// Smallest and largest value.
    pub bounds: (f64, f64),
    /// May be empty: not reminded of.
    pub optional: bool,
    /// The value.
    pub get: fn(&Rules) -> Option<f64>,
    /// Sets it.
    pub set: fn(&mut Rules, Option<f64>),
}

/// Whole, not below nothing; the bounds were looked at before.
fn whole(value: Option<f64>) -> u16 {
    value.unwrap_or_default().round().clamp(0.0, 65_535.0) as u16
}

fn air(value: Option<f64>) -> Celsius {
    let tenths = (value.unwrap_or_default() * 10.0)
        .round()
        .clamp(-200.0, 600.0) as i16;
    Celsius::from_tenths(tenths).unwrap_or(Celsius::MIN)
}

fn care(rules: &Rules, job: CareJob) -> Option<f64> {
    rules.care_days.get(&job).map(|days| f64::from(*days))
}

fn set_care(rules: &mut Rules, job: CareJob, days: Option<f64>) {
    match days {
        Some(_) => rules.care_days.insert(job, whole(days)),
        None => rules.care_days.remove(&job),
    };
}

macro_rules! number {
    ($name:ident, $key:literal, $low:literal, $high:literal, $kind:ty) => {
        Field {
            name: stringify!($name),
            key: $key,
            bounds: ($low, $high),
            optional: false,
            get: |rules| Some(f64::from(rules.$name)),
            set: |rules, value| rules.$name = <$kind>::try_from(whole(value)).unwrap_or_default(),
        }
    };
}

macro_rules! degrees {
    ($name:ident, $key:literal, $low:literal, $high:literal) => {
        Field {
            name: stringify!($name),
            key: $key,
            bounds: ($low, $high),
            optional: false,
            get: |rules| Some(rules.$name.as_f64()),
            set: |rules, value| rules.$name = air(value),
        }
    };
}

macro_rules! care {
    ($name:literal, $key:literal, $job:ident) => {
        Field {
            name: $name,
            key: $key,
            bounds: (1.0, 60.0),
            optional: true,
            get: |rules| care(rules, CareJob::$job),
            set: |rules, value| set_care(rules, CareJob::$job, value),
        }
    };
}

/// Rules about texts and days.
pub const RULES: &[Field] = &[
    number!(hour, "rule-hour", 0.0, 23.0, u8),
    number!(back_days, "rule-back-days", 1.0, 60.0, u16),
    number!(question_hours, "rule-question-hours", 1.0, 168.0, u16),
];

/// Days after which each job is due again.
pub const CARE: &[Field] = &[
    care!("bait", "care-bait", Bait),
    care!("water", "care-water", Water),
    care!("moat", "care-moat", Moat),
    care!("traps", "care-traps", Traps),
    care!("shade", "care-shade", Shade),
    care!("swept", "care-swept", Swept),
];

/// Where a farm is warned, and what a run is held against.
pub const THRESHOLDS: &[Field] = &[
    degrees!(heat, "rule-heat", 25.0, 50.0),
    degrees!(cold, "rule-cold", 0.0, 24.0),
    number!(first_eggs_days, "rule-first-eggs", 3.0, 30.0, u16),
    number!(retire_days, "rule-retire", 14.0, 90.0, u16),
    number!(pupa_mg, "rule-pupa-mg", 50.0, 300.0, u16),
];

/// A value as forms write it; empty: none.
#[must_use]
pub fn shown(value: Option<f64>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// What was typed is no number, or out of its bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotInBounds;

/// A number as typed, a decimal comma allowed; nothing where the field is empty.
///
/// # Errors
/// When it is no number or out of its bounds.
pub fn typed(text: &str, (low, high): (f64, f64)) -> Result<Option<f64>, NotInBounds> {
    if text.is_empty() {
        return Ok(None);
    }
    let value: f64 = text.replace(',', ".").parse().map_err(|_| NotInBounds)?;
    if (low..=high).contains(&value) {
        Ok(Some(value))
    } else {
        Err(NotInBounds)
    }
}

/// What differs between two rules: name, before, after.
#[must_use]
pub fn differences(from: &Rules, to: &Rules) -> Vec<(String, String, String)> {
    let mut found: Vec<(String, String, String)> = Vec::new();
    let mut note = |name: &str, before: String, after: String| {
        if before != after {
            found.push((name.to_owned(), before, after));
        }
    };
    note("name", from.name.clone(), to.name.clone());
    note("join_code", from.join_code.clone(), to.join_code.clone());
    let letter = |rules: &Rules| rules.check_letter_required.to_string();
    note("check_letter_required", letter(from), letter(to));
    for field in RULES.iter().chain(CARE).chain(THRESHOLDS) {
        note(field.name, shown((field.get)(from)), shown((field.get)(to)));
    }
    for row in TABLE {
        let value = |rules: &Rules| shown(rules.model.get(row.name).copied());
        note(row.name, value(from), value(to));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_reads_what_it_wrote_and_a_difference_names_it() {
        let rules = Rules::new("Ziwani", "ZIWANI", "UTC");
        for field in RULES.iter().chain(CARE).chain(THRESHOLDS) {
            let (low, high) = field.bounds;
            for value in [low, high] {
                let mut changed = rules.clone();
                (field.set)(&mut changed, Some(value));
                assert_eq!((field.get)(&changed), Some(value), "{}", field.name);
                let names: Vec<_> = differences(&rules, &changed)
                    .into_iter()
                    .map(|d| d.0)
                    .collect();
                assert!(
                    names == [field.name] || (field.get)(&rules) == Some(value),
                    "{names:?}"
                );
            }
            let default = (field.get)(&rules);
            assert!(field.optional || default.is_some_and(|d| (low..=high).contains(&d)));
        }
        assert_eq!(typed("12,5", (0.0, 20.0)), Ok(Some(12.5)));
        for wrong in ["x", "21", "-1", "NaN", "inf", "1e9"] {
            assert_eq!(typed(wrong, (0.0, 20.0)), Err(NotInBounds), "{wrong}");
        }
    }
}
