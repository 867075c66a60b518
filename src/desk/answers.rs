//! Answers to open questions, and `undo`.
//!
//! `yes`, `no` and `add` answer only the latest question that the sender was asked. What `yes` confirms is still judged by what has happened
//! since. This room does not read text.

use crate::desk::asking::saved_of;
use crate::desk::eggs::{Meant, Sure};
use crate::desk::farm::Question;
use crate::desk::reply::{Answer, Refusal, Saved, SavedNote, SavedWhat};
use crate::desk::steps::Step;
use crate::desk::undo::{UNDO_HOURS, standing_weights, take_back};
use crate::desk::work::Work;
use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::event::{Delivery, FarmEvent, Harvest, HarvestHow};
use crate::domain::question::{Closing, Held};
use crate::domain::said::{Verb, Weighed};
use crate::units::Grams;
use chrono::Duration;

impl Work<'_> {
    /// The question that `yes` would answer.
    pub(crate) fn latest(&self) -> Option<Question> {
        self.farm.question_of(self.sender_no()).cloned()
    }

    /// `yes`.
    pub(crate) fn yes(&mut self) {
        let Some(question) = self.latest() else {
            self.refuse(Refusal::NothingOpen(Verb::Yes));
            return;
        };
        match question.held.clone() {
            // Nothing that `yes` could save: the question stands, and says what is needed.
            held if !is_answerable(&held) => self.ask_again(&held),
            held => {
                self.close(question.no, Closing::Yes);
                self.confirm(held);
                self.next_question();
            }
        }
    }

    /// Shows an open question once more.
    pub(crate) fn ask_again(&mut self, held: &Held) {
        let ask = self.ask_of(held);
        self.asks.push(ask);
    }

    fn confirm(&mut self, held: Held) {
        match held {
            Held::OtherWeight { mut harvest, .. } => {
                harvest.how = HarvestHow::Replaced;
                self.confirm_harvest(harvest, Sure::Judge);
            }
            Held::AddAgain { harvest } => self.confirm_harvest(harvest, Sure::Judge),
            Held::Implausible {
                mut harvest,
                likely,
                ..
            } => {
                if let Some(likely) = likely {
                    harvest.grams = likely;
                    harvest.gross_tare = None;
                }
                self.confirm_harvest(harvest, Sure::Confirmed);
            }
            Held::TooEarly { harvest, .. } => self.confirm_harvest(harvest, Sure::Confirmed),
            Held::Restock { stocking, .. } => self.restock(stocking),
            Held::StockSize {
                mut stocking,
                fix,
                likely,
            } => {
                if let Some((pupae, weight)) = likely {
                    stocking.pupae = Some(pupae);
                    stocking.weight = weight;
                }
                self.begin(stocking, fix);
            }
            Held::Doubt { likely, .. } => {
                self.confirmed = true;
                for event in likely {
                    self.confirm_reading(event);
                }
                self.confirmed = false;
            }
            Held::Delivery { delivery, .. } => self.save_delivery(delivery),
            Held::Forget => self.forget(),
            Held::NotStocked { .. }
            | Held::WhichUnit { .. }
            | Held::WhichUnitFor { .. }
            | Held::Pin(_) => {}
        }
    }

    /// A weight that was confirmed, against what stands on its day now.
    fn confirm_harvest(&mut self, harvest: Harvest, sure: Sure) {
        let unit = self.farm.unit(harvest.unit);
        let Some(run) = unit.and_then(|u| u.run_on(harvest.day)) else {
            self.refuse(Refusal::NotRunning(harvest.unit));
            return;
        };
        let standing = run.on(harvest.day).map(|h| h.grams);
        match (harvest.how, standing) {
            (HarvestHow::First, Some(old)) if old != harvest.grams => {
                self.hold(Held::OtherWeight { harvest, old });
            }
            (HarvestHow::First | HarvestHow::Replaced, Some(_))
                if standing == Some(harvest.grams) =>
            {
                let what = SavedWhat::Eggs {
                    grams: harvest.grams,
                    gross_tare: harvest.gross_tare,
                };
                self.already(Some(harvest.unit), what, harvest.day);
            }
            _ => self.judge_and_save(harvest, false, sure),
        }
    }

    /// The likely reading of a doubt, judged as if it had been said clearly.
    fn confirm_reading(&mut self, event: FarmEvent) {
        match event {
            FarmEvent::Harvested(h) => {
                let weight = Weighed {
                    grams: h.grams,
                    gross_tare: h.gross_tare,
                    in_kilograms: false,
                    unit_said: false,
                };
                let meant = match h.how {
                    HarvestHow::First => Meant::Plain,
                    HarvestHow::Added => Meant::Add,
                    HarvestHow::Replaced => Meant::Fix,
                };
                self.eggs(h.unit, h.day, weight, meant);
            }
            FarmEvent::Stocked(stocking) => self.begin(stocking, false),
            FarmEvent::StockCorrected(stocking) => self.begin(stocking, true),
            FarmEvent::Retired { unit, day } => self.retire(unit, day),
            other => self.save_plain(other),
        }
    }

    /// `no`: what is on record stays, what was held is dropped.
    pub(crate) fn no(&mut self) {
        let Some(question) = self.latest() else {
            self.refuse(Refusal::NothingOpen(Verb::No));
            return;
        };
        self.close(question.no, Closing::No);
        let (unit, grams) = self.subject(&question.held);
        self.answers.push(Answer::Kept { unit, grams });
        self.next_question();
    }

    /// What a question was about, and the weight that stands there.
    fn subject(&self, held: &Held) -> (Option<UnitCode>, Option<Grams>) {
        match held {
            Held::OtherWeight { harvest, .. }
            | Held::AddAgain { harvest }
            | Held::Implausible { harvest, .. }
            | Held::TooEarly { harvest, .. }
            | Held::NotStocked { harvest } => (Some(harvest.unit), self.standing(harvest)),
            Held::Restock { stocking, .. } | Held::StockSize { stocking, .. } => {
                (Some(stocking.unit), None)
            }
            Held::WhichUnit { .. }
            | Held::WhichUnitFor { .. }
            | Held::Delivery { .. }
            | Held::Forget
            | Held::Pin(_) => (None, None),
            Held::Doubt { unit, .. } => (*unit, None),
        }
    }

    /// `add`: only to the question of two weights.
    pub(crate) fn add(&mut self) {
        let Some(question) = self.latest() else {
            self.refuse(Refusal::NothingOpen(Verb::Add));
            return;
        };
        match question.held.clone() {
            Held::OtherWeight { mut harvest, .. } | Held::AddAgain { mut harvest } => {
                self.close(question.no, Closing::Add);
                harvest.how = HarvestHow::Added;
                self.confirm_harvest(harvest, Sure::Judge);
                self.next_question();
            }
            held => self.ask_again(&held),
        }
    }

    /// Asks the next still open question of the sender that `yes` can answer (the others say themselves that nothing was saved), unless answering brought up a new one.
    fn next_question(&mut self) {
        if !self.held.is_empty() {
            return;
        }
        if let Some(next) = self.latest().filter(|next| is_answerable(&next.held)) {
            self.answers.push(Answer::NextQuestion);
            self.ask_again(&next.held);
        }
    }

    /// `undo`: everything of the sender's last message that recorded something, or the questions of a later one that only asked.
    pub(crate) fn undo(&mut self) {
        let sender = self.sender_no();
        let recent = |at| self.now - at <= Duration::hours(UNDO_HOURS);
        let last = self
            .farm
            .last_message_of(sender)
            .filter(|l| recent(l.at))
            .cloned();
        let questions = self.farm.questions.iter().filter(|q| q.by == Some(sender));
        let asking = questions.filter_map(|q| q.message).max();
        let Some(message) = asking.max(last.as_ref().map(|l| l.message)) else {
            self.refuse(Refusal::NothingOpen(Verb::Undo));
            return;
        };
        let steps = last.filter(|l| l.message == message);
        let mut trial = self.farm.clone();
        let done = steps.map_or_else(Vec::new, |last| take_back(&mut trial, &last.steps));
        let of_message = |q: &&Question| q.message == Some(message);
        let asked = self.farm.questions.iter().rfind(of_message).cloned();
        let standing = standing_weights(&done);
        self.put(FarmEvent::TakenBack {
            message,
            weights: standing.clone(),
        });
        self.settled = !done.is_empty();
        let taken: Vec<Saved> = done
            .iter()
            .enumerate()
            .filter(|(nth, _)| !comes_with_dead(&done, *nth))
            .filter_map(|(_, step)| self.taken_back(step))
            .collect();
        self.saved.extend(taken);
        for weight in standing {
            if weight.day == self.today
                && let Some(grams) = weight.grams
            {
                let (unit, grams) = (Some(weight.unit), Some(grams));
                self.answers.push(Answer::Kept { unit, grams });
            } else if let Some(grams) = weight.grams {
                let what = SavedWhat::Eggs {
                    grams,
                    gross_tare: None,
                };
                self.already(Some(weight.unit), what, weight.day);
            }
        }
        if done.is_empty() {
            match asked.map(|q| self.subject(&q.held)) {
                Some((unit, grams)) => self.answers.push(Answer::Kept { unit, grams }),
                None => self.refuse(Refusal::NothingOpen(Verb::Undo)),
            }
        }
        self.next_question();
    }

    fn taken_back(&self, step: &Step) -> Option<Saved> {
        let event = match step {
            Step::Weight {
                unit,
                stocked,
                before,
                after,
            } => FarmEvent::Harvested(Harvest {
                unit: *unit,
                day: *stocked + Duration::days(i64::from(after.day)),
                grams: match (after.added, before) {
                    (Some(added), Some(_)) => added,
                    _ => after.grams,
                },
                how: HarvestHow::First,
                gross_tare: None,
            }),
            Step::Care {
                unit, job, after, ..
            } => FarmEvent::Cared {
                unit: *unit,
                job: *job,
                day: *after,
            },
            Step::Ants { unit, after, .. } => FarmEvent::AntsSeen {
                unit: *unit,
                day: *after,
            },
            Step::Dead { unit, after, .. } => FarmEvent::DeadFlies {
                unit: *unit,
                day: after.day,
                grams: after.grams,
            },
            Step::Temperature { after, .. } => FarmEvent::Temperature(*after),
            Step::Delivery { grams, after, .. } => FarmEvent::Delivered(Delivery {
                day: after.day,
                grams: *grams,
                own: None,
            }),
            Step::Ended { unit, day, .. } => FarmEvent::Retired {
                unit: *unit,
                day: *day,
            },
            Step::Began {
                unit,
                amount,
                stocked,
                ..
            }
            | Step::Corrected {
                unit,
                after: amount,
                stocked,
                ..
            } => {
                return Some(Saved {
                    unit: Some(*unit),
                    what: SavedWhat::Stock {
                        pupae: amount.pupae,
                        weight: amount.weight,
                        kind: amount.kind,
                    },
                    day: *stocked,
                    note: SavedNote::TakenBack,
                });
            }
        };
        saved_of(&event, SavedNote::TakenBack)
    }
}

/// The sweeping that dead flies bring with them, of which the reply to them said nothing.
fn comes_with_dead(steps: &[Step], nth: usize) -> bool {
    let before = nth.checked_sub(1).and_then(|before| steps.get(before));
    match (before, steps.get(nth)) {
        (
            Some(Step::Dead { unit, .. }),
            Some(Step::Care {
                unit: swept, job, ..
            }),
        ) => unit == swept && *job == CareJob::Swept,
        _ => false,
    }
}

/// Whether `yes` has something to save.
pub(crate) fn is_answerable(held: &Held) -> bool {
    match held {
        Held::NotStocked { .. }
        | Held::WhichUnit { .. }
        | Held::WhichUnitFor { .. }
        | Held::Pin(_) => false,
        Held::Doubt { likely, .. } => !likely.is_empty(),
        _ => true,
    }
}
