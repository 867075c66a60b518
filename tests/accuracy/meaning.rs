//! What a keeper means by one message, as typed values, and when a recorded event says the same.
//!
//! A value is one fact about one unit (or the farm) on one day. This file does not know how anything is written.

use chrono::NaiveDate;
use clutchline::domain::code::UnitCode;
use clutchline::domain::event::FarmEvent;
use clutchline::domain::{CareJob, StockKind};
use clutchline::units::{Celsius, Grams, Pupae};

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// None for the farm's temperature.
    pub unit: Option<UnitCode>,
    /// The day it is about.
    pub day: NaiveDate,
    /// What.
    pub what: What,
}

/// What happened there.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    Eggs(Grams),
    Care(CareJob),
    Stock(Amount, StockKind),
    Dead(Option<Grams>),
    Ants,
    Temperature(Celsius, Celsius),
    Retire,
}

/// Pupae as the keeper knows them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    Weight(Grams),
    Count(Pupae),
}

/// How one care job is said of many cages at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// The job.
    pub job: CareJob,
    /// The cages.
    pub units: Vec<UnitCode>,
    /// They are all the farm's running cages, so `all` says the same.
    pub is_all: bool,
}

/// One message as meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Meaning {
    /// Everything meant, shared care included.
    pub values: Vec<Value>,
    /// Care said once for several cages; its values are in `values` too.
    pub shared: Option<Shared>,
    /// The day that all values are about.
    pub day: NaiveDate,
    /// The day on which it is sent.
    pub today: NaiveDate,
}

impl Value {
    /// The event records exactly this value.
    pub fn is_recorded_by(&self, event: &FarmEvent) -> bool {
        let here = |unit: UnitCode, day: NaiveDate| self.unit == Some(unit) && self.day == day;
        match (event, &self.what) {
            (FarmEvent::Harvested(h), What::Eggs(grams)) => {
                here(h.unit, h.day) && h.grams == *grams
            }
            (FarmEvent::Cared { unit, job, day }, What::Care(meant)) => {
                here(*unit, *day) && job == meant
            }
            (FarmEvent::Stocked(s), What::Stock(amount, kind)) => {
                here(s.unit, s.day)
                    && s.kind == *kind
                    && match amount {
                        Amount::Weight(grams) => s.weight == Some(*grams),
                        Amount::Count(count) => s.pupae == Some(*count),
                    }
            }
            (FarmEvent::DeadFlies { unit, day, grams }, What::Dead(meant)) => {
                here(*unit, *day) && grams == meant
            }
            (FarmEvent::AntsSeen { unit, day }, What::Ants)
            | (FarmEvent::Retired { unit, day }, What::Retire) => here(*unit, *day),
            (FarmEvent::Temperature(t), What::Temperature(min, max)) => {
                t.day == self.day && t.min == *min && t.max == *max
            }
            // Who takes dead flies out has swept.
            (FarmEvent::DeadFlies { unit, day, .. }, What::Care(CareJob::Swept)) => {
                here(*unit, *day)
            }
            _ => false,
        }
    }

    /// The event is of this value's kind, whatever its unit, day or number.
    pub fn is_same_kind(&self, event: &FarmEvent) -> bool {
        match (event, &self.what) {
            (FarmEvent::Harvested(_), What::Eggs(_))
            | (FarmEvent::Stocked(_), What::Stock(..))
            | (FarmEvent::DeadFlies { .. }, What::Dead(_))
            | (FarmEvent::AntsSeen { .. }, What::Ants)
            | (FarmEvent::Retired { .. }, What::Retire)
            | (FarmEvent::Temperature(_), What::Temperature(..)) => true,
            (FarmEvent::Cared { job, .. }, What::Care(meant)) => job == meant,
            _ => false,
        }
    }

    /// The number that a question would have to show, as replies write it; none where the value has none.
    pub fn number_shown(&self) -> Option<String> {
        match &self.what {
            What::Eggs(grams) | What::Dead(Some(grams)) => Some(grams.to_string()),
            What::Stock(Amount::Weight(grams), _) => Some(grams.to_string()),
            What::Stock(Amount::Count(count), _) => Some(count.to_string()),
            What::Temperature(min, max) => Some(format!("{min}-{max}")),
            What::Care(_) | What::Dead(None) | What::Ants | What::Retire => None,
        }
    }
}

/// The event records a fact (questions, closings and settings do not).
pub fn is_fact(event: &FarmEvent) -> bool {
    matches!(
        event,
        FarmEvent::Harvested(_)
            | FarmEvent::Cared { .. }
            | FarmEvent::Stocked(_)
            | FarmEvent::StockCorrected(_)
            | FarmEvent::DeadFlies { .. }
            | FarmEvent::AntsSeen { .. }
            | FarmEvent::Temperature(_)
            | FarmEvent::Retired { .. }
            | FarmEvent::TakenBack { .. }
    )
}

/// The unit that an event is about.
pub fn unit_of(event: &FarmEvent) -> Option<UnitCode> {
    match event {
        FarmEvent::Harvested(h) => Some(h.unit),
        FarmEvent::Stocked(s) | FarmEvent::StockCorrected(s) => Some(s.unit),
        FarmEvent::Cared { unit, .. }
        | FarmEvent::DeadFlies { unit, .. }
        | FarmEvent::AntsSeen { unit, .. }
        | FarmEvent::Retired { unit, .. } => Some(*unit),
        _ => None,
    }
}
