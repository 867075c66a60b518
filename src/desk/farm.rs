//! One farm's state: units with their runs, open questions, what can be taken back, settings.
//!
//! `apply` is the only way it changes, and it never fails: an event that fits nothing changes nothing. This room judges nothing.

use crate::desk::unit::{Run, Unit};
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::compact;
use crate::domain::event::{DayTemperature, FarmEvent, Recorded};
use crate::domain::message::MessageNo;
use crate::domain::question::Held;
use crate::units::day::FarmDay;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Units that one farm may have: four times the largest bank of cages designed for.
pub const UNITS_MAX: usize = 160;
/// Days of temperature kept: a run's six weeks and a margin.
pub const TEMPERATURES_MAX: usize = 60;
/// Questions that may be open at once; a new one beyond it drops the oldest.
pub const QUESTIONS_MAX: usize = 12;

/// A farm.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Farm {
    /// By code.
    pub units: Vec<Unit>,
    /// By day, oldest first.
    pub temperatures: Vec<DayTemperature>,
    /// Open questions, oldest first.
    pub questions: Vec<Question>,
    /// The number of the last question.
    pub last_question: u32,
    /// Own time zone, where one was set.
    pub zone: Option<String>,
    /// Own reminder hour, where one was set.
    pub hour: Option<u8>,
    /// No reminders before this day.
    #[serde(with = "compact::day_or_none")]
    pub away_until: Option<FarmDay>,
    /// The farm day of the last entry of any kind.
    #[serde(with = "compact::day_or_none")]
    pub last_entry: Option<FarmDay>,
    /// The farm day of the last reminder.
    #[serde(with = "compact::day_or_none")]
    pub last_reminder: Option<FarmDay>,
}

/// An open question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// Rising in one farm.
    pub no: u32,
    /// When it was asked.
    #[serde(with = "compact::moment")]
    pub at: DateTime<Utc>,
    /// Who was asked; only they answer it.
    pub by: Option<MemberNo>,
    /// The message that caused it.
    pub message: Option<MessageNo>,
    /// What is held.
    pub held: Held,
}

impl Farm {
    /// The unit of that code.
    #[must_use]
    pub fn unit(&self, code: UnitCode) -> Option<&Unit> {
        let at = self.units.binary_search_by_key(&code, |u| u.code).ok()?;
        self.units.get(at)
    }

    /// Units with flies or pupae in them, by code.
    pub fn running(&self) -> impl Iterator<Item = (&Unit, &Run)> {
        self.units
            .iter()
            .filter_map(|unit| unit.running.as_ref().map(|run| (unit, run)))
    }

    /// What the event makes of the farm.
    pub fn apply(&mut self, recorded: &Recorded, event: &FarmEvent) {
        let _ = (recorded, event);
    }
}
