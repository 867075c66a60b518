//! What an event makes of a farm.
//!
//! The only way in which a farm changes; it never fails: an event that fits nothing changes nothing. This room judges nothing.

use crate::desk::farm::{Farm, QUESTIONS_MAX, Question};
use crate::desk::record::{day_of, record};
use crate::desk::steps::{LastMessage, SENDERS_MAX};
use crate::desk::undo::take_back;
use crate::domain::event::{FarmEvent, Recorded};
use crate::domain::message::MessageNo;
use crate::domain::question::{Closing, Held};

impl Farm {
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
