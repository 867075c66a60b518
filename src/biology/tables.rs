//! Every biological number in one table: name, default, unit, bounds, source.
//!
//! Settings overrule it and documents print it, so nothing else in the room may hold a biological constant of its own.
//! Sources say how far each figure can be trusted: "choice" is a modelling default for which no published figure was found.
//! This room does not know where a cooperative's own values come from.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use thiserror::Error;

/// One row: what a parameter is called, what it is unless set, and why.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Name in the settings.
    pub name: &'static str,
    /// Value unless set.
    pub default: f64,
    /// Unit; `1` for a share or a ratio.
    pub unit: &'static str,
    /// Smallest value that a setting may give.
    pub low: f64,
    /// Largest value that a setting may give.
    pub high: f64,
    /// Where the default comes from.
    pub source: &'static str,
}

/// A value that cannot be a setting.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ParameterError {
    /// No row has this name.
    #[error("`{0}` is not a parameter of the sums; see docs/model.md for the names")]
    Unknown(String),
    /// Outside the row's bounds.
    #[error("`{name}` must be from {low} to {high} {unit}, for example {example}; found {found}")]
    OutOfBounds {
        /// The row's name.
        name: &'static str,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
        /// The row's unit.
        unit: &'static str,
        /// The default, as an example.
        example: f64,
        /// What was given.
        found: f64,
    },
}

macro_rules! table {
    ($($name:ident = $default:expr, $unit:literal, $low:expr, $high:expr, $source:literal;)*) => {
        /// The values in use: the defaults of [`TABLE`] unless a setting says otherwise.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct Parameters {
            $(#[doc = concat!("In ", $unit, ". ", $source)] pub $name: f64,)*
        }

        impl Default for Parameters {
            fn default() -> Self {
                Self { $($name: $default,)* }
            }
        }

        /// The table itself, in the order in which documents show it.
        pub const TABLE: &[Row] = &[$(Row {
            name: stringify!($name), default: $default, unit: $unit, low: $low, high: $high, source: $source,
        },)*];

        impl Parameters {
            /// The value called `name`.
            #[must_use]
            pub fn get(&self, name: &str) -> Option<f64> {
                match name {
                    $(stringify!($name) => Some(self.$name),)*
                    _ => None,
                }
            }

            /// Sets one value.
            ///
            /// # Errors
            /// When no row has this name or the value is outside the row's bounds.
            pub fn set(&mut self, name: &str, value: f64) -> Result<(), ParameterError> {
                match name {
                    $(stringify!($name) => {
                        within(name, value)?;
                        self.$name = value;
                    })*
                    _ => return Err(ParameterError::Unknown(name.to_owned())),
                }
                Ok(())
            }
        }
    };
}

table! {
    // Thermal time.
    egg_threshold_c = 12.0, "C", 5.0, 18.0, "choice: as the larva's, Chia et al. 2018, PLoS ONE 13:e0206097 (11.7 to 12.3)";
    egg_constant_dd = 55.0, "degree-days", 40.0, 75.0, "derived: 102-105 h at 24 C (Booth & Sheppard 1984, from memory) and 4 d at 27 C";
    larva_rich_threshold_c = 12.3, "C", 5.0, 18.0, "Chia et al. 2018, diet 1 (spent grain with yeast): 12.3 +- 1.4";
    larva_rich_constant_dd = 250.0, "degree-days", 200.0, 300.0, "Chia et al. 2018, diet 1: 250 +- 25";
    larva_plain_threshold_c = 11.7, "C", 5.0, 18.0, "Chia et al. 2018, diet 2 (spent grain alone): 11.7 +- 3.0";
    larva_plain_constant_dd = 333.0, "degree-days", 230.0, 440.0, "Chia et al. 2018, diet 2: 333 +- 51";
    prepupa_threshold_c = 12.0, "C", 5.0, 18.0, "choice: as the larva's";
    prepupa_constant_dd = 150.0, "degree-days", 100.0, 200.0, "derived: 8-11 d at 28 C (Chia et al. 2018, PeerJ, brewery waste)";
    pupa_threshold_c = 12.0, "C", 5.0, 18.0, "choice: as the larva's";
    pupa_constant_dd = 142.0, "degree-days", 110.0, 180.0, "derived: 8.7-9.1 d at 28 C (Chia et al. 2018, PeerJ, brewery waste)";
    upper_cutoff_c = 35.0, "C", 30.0, 40.0, "choice: below the thermal maxima of 37.2 and more (Chia et al. 2018)";
    climate_mean_c = 26.0, "C", 10.0, 35.0, "choice: stands in where no temperature is known at all";
    climate_swing_c = 5.0, "C", 0.0, 15.0, "choice: half of the daily range, where no temperature is known at all";
    // From a pupa to eggs.
    emergence_share = 0.80, "1", 0.05, 1.0, "65-91 % (Chia et al. 2018, PeerJ); poor diets 21-27 % (Tomberlin et al. 2002)";
    female_share = 0.50, "1", 0.2, 0.8, "choice; 55-60 % in Tomberlin et al. 2002";
    laying_share = 0.60, "1", 0.05, 1.0, "choice: 0.3 to 0.8, common practice, no source";
    clutch_mg = 15.0, "mg", 5.0, 35.0, "600 eggs of 25 ug: inside 569-650 (Julita et al. 2020); 12.9-27.1 mg a female in Macavei et al. 2020";
    one_age_cv = 0.12, "1", 0.03, 0.4, "choice: no published spread of emergence was found";
    mixed_cv = 0.25, "1", 0.05, 0.6, "choice: no published spread of emergence was found";
    laying_clock = 0.0, "1", 0.0, 1.0, "0 counts a fly's age in days, as all published laying ages do (Tomberlin & Sheppard 2002; Julita et al. 2020); 1 in warmth";
    adult_life_d = 8.5, "d", 3.0, 30.0, "8-9 d on water (Tomberlin et al. 2002); 11-14 d in Chia et al. 2018, PeerJ";
    // From eggs to pupae.
    egg_ug = 25.0, "ug", 22.0, 32.0, "choice: 25 to 30; 29 for wild females (Booth & Sheppard 1984, from memory)";
    hatch_share = 0.70, "1", 0.05, 1.0, "choice: 0.5 to 0.9, common practice, no source";
    nursery_share = 0.80, "1", 0.05, 1.0, "choice: hatchling to five-day-old larva";
    grow_out_share = 0.85, "1", 0.05, 1.0, "choice: five-day-old to harvest; over 80 % on most feeds (Broeckx et al. 2021)";
    larva_mg = 150.0, "mg", 30.0, 220.0, "choice; 38-176 mg by feed (Broeckx et al. 2021)";
    larva_max_mg = 220.0, "mg", 150.0, 300.0, "heaviest last-instar larvae (Feedipedia datasheet)";
    feed_kg_per_thousand = 1.5, "kg wet", 0.3, 6.0, "15 kg a crate of 10,000 (Dortmans et al. 2017, from memory)";
    feed_days = 12.0, "d", 5.0, 40.0, "Dortmans et al. 2017, from memory";
    crate_larvae = 10000.0, "larvae", 1000.0, 50000.0, "Dortmans et al. 2017, from memory";
    pupation_share = 0.85, "1", 0.05, 1.0, "choice: prepupa to pupa; 71-95 % (Chia et al. 2018, PeerJ)";
    pupa_mg = 150.0, "mg", 50.0, 300.0, "choice: weigh a hundred and set it";
    hold_back_advice = 0.05, "1", 0.01, 0.5, "choice: a safety stock over the bare need; 2-5 % (Dortmans et al. 2017, from memory)";
    hold_back_most = 0.20, "1", 0.05, 1.0, "choice: above it a colony cannot carry the supply";
    // A cage.
    cage_m3 = 1.02, "m3", 0.1, 30.0, "4 ft x 3 ft x 3 ft: common practice, no source";
    adults_per_m3 = 3700.0, "adults/m3", 100.0, 10000.0, "no loss per female up to 3,704 in a lamp-lit cube (adult density study, Massey University)";
    adults_per_m3_most = 6500.0, "adults/m3", 100.0, 20000.0, "Hoc et al. 2019, figure from memory";
    life_ceiling_g = 10.8, "g per 1,000 pupae", 3.6, 30.0, "derived: 400 females x 27.10 mg (Macavei et al. 2020)";
    day_ceiling_share = 0.35, "1", 0.1, 1.0, "choice: of the life's ceiling on one day";
    ceiling_days = 3.0, "d", 1.0, 7.0, "choice: missed days that add to the ceiling";
    earliest_eggs_d = 5.0, "d", 0.0, 15.0, "choice: eggs before it are asked about";
    retire_share = 0.20, "1", 0.0, 0.9, "choice: seven-day yield against the best week";
    retire_days = 42.0, "d", 14.0, 90.0, "six weeks at the latest: common practice, no source";
    turnaround_d = 2.0, "d", 0.0, 14.0, "choice: empty, wash and sun-dry before restocking";
    smooth_interval_d = 4.0, "d", 1.0, 14.0, "choice: main width of the laying ages; longer intervals give waves";
    unknown_pupae = 5000.0, "pupae", 100.0, 100000.0, "choice: stands in where a stocking gave no number";
    // Learning.
    scale_sd_farm = 0.45, "ln", 0.05, 2.0, "choice: how farms differ in eggs a pupa";
    scale_sd_cage = 0.18, "ln", 0.02, 1.0, "choice: how a farm's cages differ in eggs a pupa";
    delay_sd_farm = 40.0, "degree-days", 5.0, 200.0, "choice: how farms differ in the age of what they stock";
    delay_sd_cage = 12.0, "degree-days", 1.0, 100.0, "choice: how a farm's cages differ in it";
    width_sd_farm = 0.40, "ln", 0.05, 1.5, "choice: how farms differ in the spread of emergence";
    width_sd_cage = 0.15, "ln", 0.02, 1.0, "choice: how a farm's cages differ in it";
    day_noise = 0.30, "ln", 0.05, 1.0, "choice: what weather does to one day's laying";
    shared_noise = 0.6, "1", 0.0, 1.0, "choice: share of the day noise that all cages of a ward have in common";
    trouble_start = 0.02, "1/d", 0.0, 0.3, "choice: chance that a spell of trouble starts on a day";
    trouble_days = 5.0, "d", 2.0, 20.0, "choice: how long a spell lasts";
    trouble_yield = 0.25, "1", 0.01, 0.9, "choice: what is left of the laying in a spell";
    scale_drift = 0.02, "ln/d", 0.0, 0.2, "choice: a cage is never quite the cage of the day before";
    shape_doubt = 0.08, "ln", 0.0, 0.5, "choice: what is not known of a life's end, for each e-fold that is laid";
    slip_chance = 0.03, "1", 0.0, 0.3, "choice: lines that are wrong in a way that nothing here explains";
    scale_grain_g = 0.1, "g", 0.01, 5.0, "common practice, no source: pocket scales show 0.1 g";
    warning_odds = 0.15, "1", 0.1, 0.999, "choice: probability of trouble from which a keeper is warned; see docs/forecast-report.md";
    warning_chance = 0.008, "1", 0.0001, 0.2, "choice: chance of so poor a run in good order below which a keeper is warned; see docs/forecast-report.md";
}

fn within(name: &str, value: f64) -> Result<(), ParameterError> {
    let Some(row) = TABLE.iter().find(|row| row.name == name) else {
        return Err(ParameterError::Unknown(name.to_owned()));
    };
    if value >= row.low && value <= row.high {
        return Ok(());
    }
    Err(ParameterError::OutOfBounds {
        name: row.name,
        low: row.low,
        high: row.high,
        unit: row.unit,
        example: row.default,
        found: value,
    })
}

impl Parameters {
    /// The values that are not the table's, by name.
    #[must_use]
    pub fn changed(&self) -> BTreeMap<String, f64> {
        TABLE
            .iter()
            .filter_map(|row| Some((row, self.get(row.name)?)))
            .filter(|(row, value)| value.total_cmp(&row.default).is_ne())
            .map(|(row, value)| (row.name.to_owned(), value))
            .collect()
    }

    /// Checks every value against its row, as after reading settings.
    ///
    /// # Errors
    /// The first value that is outside its bounds.
    pub fn checked(self) -> Result<Self, ParameterError> {
        for row in TABLE {
            within(row.name, self.get(row.name).unwrap_or(f64::NAN))?;
        }
        Ok(self)
    }

    /// Eggs of one stocked pupa over a cage's life, in grams: emergence x female x laying x clutch mass.
    #[must_use]
    pub fn grams_per_pupa(&self) -> f64 {
        self.emergence_share * self.female_share * self.laying_share * self.clutch_mg / 1000.0
    }

    /// Eggs in a gram.
    #[must_use]
    pub fn eggs_per_gram(&self) -> f64 {
        1e6 / self.egg_ug
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_is_inside_its_own_bounds() {
        assert_eq!(Parameters::default().checked(), Ok(Parameters::default()));
        assert!(TABLE.iter().all(|row| !row.source.is_empty()));
    }

    #[test]
    fn a_setting_out_of_bounds_says_what_would_do() {
        let mut parameters = Parameters::default();
        let refusal = parameters
            .set("hatch_share", 70.0)
            .map_err(|e| e.to_string());
        assert_eq!(
            refusal,
            Err("`hatch_share` must be from 0.05 to 1 1, for example 0.7; found 70".to_owned())
        );
        assert!(parameters.set("hatch_share", f64::NAN).is_err());
        assert!(parameters.set("hatching", 0.5).is_err());
        assert_eq!(parameters.set("hatch_share", 0.6), Ok(()));
        assert!((parameters.hatch_share - 0.6).abs() < 1e-12);
    }
}
