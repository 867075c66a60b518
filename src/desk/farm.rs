//! One farm's state: units with their runs, open questions, what can be taken back, settings.
//!
//! `apply` is the only way it changes. This room judges nothing.

use crate::desk::delivery::DayDelivery;
use crate::desk::steps::LastMessage;
use crate::desk::unit::{Run, Unit};
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::compact;
use crate::domain::event::{DayTemperature, ModelBytes};
use crate::domain::message::MessageNo;
use crate::domain::question::Held;
use crate::domain::topic::Topic;
use crate::units::day::FarmDay;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Units that one farm may have: four times the largest bank of cages designed for.
pub const UNITS_MAX: usize = 160;
/// Days of temperature kept: a run's six weeks and a margin.
pub const TEMPERATURES_MAX: usize = 60;
/// Lessons kept: two runs of each cage of a usual farm.
pub const LESSONS_MAX: usize = 12;
/// Questions that may be open at once; a new one beyond it drops the oldest.
pub const QUESTIONS_MAX: usize = 12;

/// A farm.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Farm {
    /// The member joined and may keep units.
    pub opened: bool,
    /// By code.
    pub units: Vec<Unit>,
    /// By day, oldest first.
    pub temperatures: Vec<DayTemperature>,
    /// Open questions, oldest first.
    pub questions: Vec<Question>,
    /// The number of the last question.
    pub last_question: u32,
    /// Each sender's last message, for `undo`; longest ago first.
    pub last_messages: Vec<LastMessage>,
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
    /// Eggs received from here, one row a day, oldest first.
    pub deliveries: Vec<DayDelivery>,
    /// What the runs that ended last teach the next ones, oldest first.
    #[serde(default)]
    pub lessons: Vec<KeptLesson>,
    /// What a new keeper was told already.
    #[serde(default)]
    pub explained: Vec<Topic>,
    /// The keeper wants to be told nothing more.
    #[serde(default)]
    pub lessons_off: bool,
}

/// What one ended run teaches.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptLesson {
    /// Unit.
    pub unit: UnitCode,
    /// When the run began.
    #[serde(with = "compact::day")]
    pub stocked: FarmDay,
    /// The lesson.
    pub lesson: ModelBytes,
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

    /// [`Farm::unit`], to be changed.
    pub(crate) fn unit_mut(&mut self, code: UnitCode) -> Option<&mut Unit> {
        let at = self.units.binary_search_by_key(&code, |u| u.code).ok()?;
        self.units.get_mut(at)
    }

    /// What a run of a unit teaches.
    #[must_use]
    pub fn lesson(&self, unit: UnitCode, stocked: FarmDay) -> Option<&ModelBytes> {
        let kept = self.lessons.iter();
        let mut kept = kept.filter(|kept| kept.unit == unit && kept.stocked == stocked);
        kept.next().map(|kept| &kept.lesson)
    }

    /// The run of a unit that began on a day.
    pub(crate) fn run_begun_mut(&mut self, code: UnitCode, stocked: FarmDay) -> Option<&mut Run> {
        let unit = self.unit_mut(code)?;
        let mut runs = unit.running.iter_mut().chain(&mut unit.last);
        runs.find(|run| run.stocked == stocked)
    }

    /// The latest open question that the sender was asked: the one that `yes` answers.
    #[must_use]
    pub fn question_of(&self, sender: MemberNo) -> Option<&Question> {
        self.questions.iter().rev().find(|q| q.by == Some(sender))
    }

    /// The sender's last message that recorded something, unless it was taken back.
    #[must_use]
    pub fn last_message_of(&self, sender: MemberNo) -> Option<&LastMessage> {
        self.last_messages.iter().find(|m| m.by == sender)
    }
}
