//! One farm's state: units with their runs, open questions, what can be taken back, settings.
//!
//! `apply` is the only way it changes, and it never fails: an event that fits nothing changes nothing. This room judges nothing.

use crate::desk::record::{day_of, record};
use crate::desk::undo::{LastMessage, SENDERS_MAX, take_back};
use crate::desk::unit::{Run, Unit};
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::compact;
use crate::domain::event::{DayTemperature, FarmEvent, ModelBytes, Recorded};
use crate::domain::message::MessageNo;
use crate::domain::question::{Closing, Held};
use crate::domain::topic::Topic;
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Units that one farm may have: four times the largest bank of cages designed for.
pub const UNITS_MAX: usize = 160;
/// Days of temperature kept: a run's six weeks and a margin.
pub const TEMPERATURES_MAX: usize = 60;
/// Days with deliveries kept: this month and the last, for the sheet that is paid from.
pub const DELIVERIES_MAX: usize = 62;
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

/// A day's eggs received.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayDelivery {
    /// Day.
    #[serde(with = "compact::day")]
    pub day: FarmDay,
    /// All of that day, as weighed by those who received them.
    pub grams: Grams,
    /// The farm's own weights for the same eggs, as far as known.
    pub own: Option<Grams>,
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

    /// What the event makes of the farm.
    pub fn apply(&mut self, recorded: &Recorded, event: &FarmEvent) {
        match event {
            FarmEvent::Opened => self.opened = true,
            FarmEvent::AwaySet(until) => self.away_until = *until,
            FarmEvent::HourSet(hour) => self.hour = Some(*hour),
            FarmEvent::ZoneSet(zone) => self.zone = Some(zone.clone()),
            FarmEvent::Explained(topic) => {
                if !self.explained.contains(topic) {
                    self.explained.push(*topic);
                }
            }
            FarmEvent::LessonsSet(on) => self.lessons_off = !on,
            FarmEvent::Reminded(day) => self.last_reminder = Some(*day),
            FarmEvent::Asked { no, held } => self.ask(recorded, *no, held),
            FarmEvent::Closed { no, how } => self.close(recorded, *no, *how),
            FarmEvent::TakenBack { message, .. } => self.take_back(*message),
            FarmEvent::Learned { .. } | FarmEvent::Taught { .. } => {
                // Nothing that anybody said: no step back, no entry.
                record(self, event);
            }
            FarmEvent::Harvested(_)
            | FarmEvent::Cared { .. }
            | FarmEvent::Stocked(_)
            | FarmEvent::StockCorrected(_)
            | FarmEvent::DeadFlies { .. }
            | FarmEvent::AntsSeen { .. }
            | FarmEvent::Temperature(_)
            | FarmEvent::Retired { .. }
            | FarmEvent::Delivered(_) => {
                let steps = record(self, event);
                if let Some(day) = day_of(event) {
                    self.last_entry = self.last_entry.max(Some(day));
                }
                if let Some(message) = self.message_of(recorded) {
                    message.steps.extend(steps);
                }
            }
        }
    }

    fn ask(&mut self, recorded: &Recorded, no: u32, held: &Held) {
        self.last_question = self.last_question.max(no);
        self.questions.push(Question {
            no,
            at: recorded.at,
            by: recorded.by,
            message: recorded.message,
            held: held.clone(),
        });
        if self.questions.len() > QUESTIONS_MAX {
            self.questions.remove(0);
        }
    }

    fn close(&mut self, recorded: &Recorded, no: u32, how: Closing) {
        let Some(at) = self.questions.iter().position(|q| q.no == no) else {
            return;
        };
        let question = self.questions.remove(at);
        let (Closing::Yes | Closing::Add, Some(message)) = (how, recorded.message) else {
            return;
        };
        // What an answer saves belongs to the message that asked, while that is the sender's last: `undo` takes both back.
        let asked =
            |m: &&mut LastMessage| Some(m.by) == recorded.by && Some(m.message) == question.message;
        if let Some(last) = self.last_messages.iter_mut().find(asked) {
            last.message = message;
            for open in &mut self.questions {
                if open.by == recorded.by && open.message == question.message {
                    open.message = Some(message);
                }
            }
        }
    }

    fn take_back(&mut self, message: MessageNo) {
        if let Some(at) = self.last_messages.iter().position(|m| m.message == message) {
            let last = self.last_messages.remove(at);
            take_back(self, &last.steps);
        }
        self.questions.retain(|q| q.message != Some(message));
    }

    /// The record of the message that caused `recorded`; begun where it is the sender's first change.
    fn message_of(&mut self, recorded: &Recorded) -> Option<&mut LastMessage> {
        let (by, message) = (recorded.by?, recorded.message?);
        let known = self
            .last_messages
            .iter()
            .position(|m| m.by == by && m.message == message);
        if known.is_none() {
            self.last_messages.retain(|m| m.by != by);
            if self.last_messages.len() >= SENDERS_MAX {
                self.last_messages.remove(0);
            }
            self.last_messages.push(LastMessage {
                by,
                message,
                at: recorded.at,
                steps: Vec::new(),
            });
        }
        let at = known.unwrap_or(self.last_messages.len() - 1);
        self.last_messages.get_mut(at)
    }
}
