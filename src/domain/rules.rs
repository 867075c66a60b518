//! What a cooperative may set: wards, intervals of care, thresholds, its join code.
//!
//! Defaults carry their source. This room does not know how the rules are stored or edited.

use crate::domain::event::{DayTemperature, Prior};
use crate::domain::pin::PinRules;
use crate::domain::{CareJob, StockKind};
use crate::units::Celsius;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A cooperative's rules: its `rules` stream's state.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rules {
    /// The cooperative's name, as replies show it.
    pub name: String,
    /// The code that `join` asks for, upper case.
    pub join_code: String,
    /// IANA time zone of farms that set none.
    pub zone: String,
    /// Local hour of the morning reminder where the farm set none.
    pub hour: u8,
    /// Ward names.
    pub wards: Vec<String>,
    /// Days after which each care job is due again; jobs without a row are not reminded of.
    pub care_days: BTreeMap<CareJob, u16>,
    /// Days after stocking on which first eggs are due.
    pub first_eggs_days: u16,
    /// Days after stocking at which a cage is retired at the latest.
    pub retire_days: u16,
    /// Milligrams of one pupa, where a keeper stocks by weight.
    pub pupa_mg: u16,
    /// Stock kind where none is said.
    pub stock_kind: StockKind,
    /// A code must carry its check letter.
    pub check_letter_required: bool,
    /// Air at which the farm is warned of heat.
    pub heat: Celsius,
    /// Air below which the farm is warned of cold.
    pub cold: Celsius,
    /// Days a keeper may go back; officers may go back to the stocking.
    pub back_days: u16,
    /// Hours a held question stays open.
    pub question_hours: u16,
    /// Parameters of the sums that are not the table's, by name.
    pub model: BTreeMap<String, f64>,
    /// Mean lowest and highest air of each month, January first; twelve rows, or none where it is not known.
    pub climate: Vec<(Celsius, Celsius)>,
    /// What holds in the ward of the member concerned. Not kept here: it is filled in from the ward's own stream.
    #[serde(skip)]
    pub ward: WardView,
    /// How often a PIN may be tried. Not kept here either: it is the gateway's setting.
    #[serde(skip)]
    pub pin: PinRules,
}

/// What is known of a ward, for one decision.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WardView {
    /// Readings of its thermometer, oldest first.
    pub air: Vec<DayTemperature>,
    /// What is expected of a stocking of one age and of mixed ages, where the ward or the cooperative has finished cages.
    pub priors: Option<(Prior, Prior)>,
}

impl Rules {
    /// The defaults, for a new cooperative.
    #[must_use]
    pub fn new(name: &str, join_code: &str, zone: &str) -> Self {
        Self {
            name: name.to_owned(),
            join_code: join_code.to_ascii_uppercase(),
            zone: zone.to_owned(),
            hour: 6,
            wards: Vec::new(),
            // Bait every 2 to 4 days, dead flies every 2 to 7, moat every 1 to 3, water daily: common practice, no source.
            care_days: [
                (CareJob::Bait, 3),
                (CareJob::Water, 1),
                (CareJob::Moat, 2),
                (CareJob::Swept, 5),
            ]
            .into(),
            // Peak emergence and a pre-oviposition of about four days (Tomberlin & Sheppard 2002; Julita et al. 2020).
            first_eggs_days: 10,
            // Up to six weeks: common practice, no source.
            retire_days: 42,
            // 150 mg a pupa: a modelling choice; a keeper should weigh 100 of them.
            pupa_mg: 150,
            stock_kind: StockKind::OneAge,
            check_letter_required: false,
            // Part shade so that air stays under about 38 (matings by day: Julita et al. 2020; knock-down from 45: Li et al. 2021).
            heat: Celsius::from_tenths(380).unwrap_or(Celsius::MAX),
            // Cold knock-down of adults lies at 8 to 13 (Li et al. 2021).
            cold: Celsius::from_tenths(130).unwrap_or(Celsius::MIN),
            back_days: 14,
            question_hours: 24,
            model: BTreeMap::new(),
            climate: Vec::new(),
            ward: WardView::default(),
            pin: PinRules::default(),
        }
    }
}
