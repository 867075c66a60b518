//! Requests and settings: tasks, language, silence, reminders, help, sums.
//!
//! Answers to questions and `undo` have a room of their own. This room does not know who may speak for whom.

use crate::desk::reply::{Answer, Refusal};
use crate::desk::work::Work;
use crate::domain::event::{Event, FarmEvent, MemberEvent, StreamId};
use crate::domain::lang::Lang;
use crate::domain::pin::PinSaid;
use crate::domain::said::{Order, Verb};
use crate::grammar::Lexicon;
use chrono::Duration;

/// Days without reminders that one line may ask for: a season away; longer is `stop`.
pub(crate) const AWAY_DAYS_MAX: u16 = 60;

impl Work<'_> {
    /// One request or answer.
    pub(crate) fn order(&mut self, order: &Order) {
        if !self.may(order) {
            return;
        }
        match order {
            Order::Tasks => self.wants_tasks = true,
            Order::Undo => self.undo(),
            Order::Yes => self.yes(),
            Order::No => self.no(),
            Order::Add => self.add(),
            Order::Join { .. } => self.refuse(Refusal::AlreadyMember(self.owner.number)),
            Order::Lang(lang) => self.speak(*lang),
            Order::LangUnknown => self.refuse_lang(),
            Order::Stop => self.set_member(MemberEvent::Stopped, Answer::Stopped),
            Order::Start => self.set_member(MemberEvent::Started, Answer::Started),
            Order::Help(verb) => self.answers.push(Answer::Help(*verb)),
            Order::Plan(wanted) => self.plan(*wanted),
            Order::EggsSum => self.eggs_sum(),
            Order::Away(days) => self.away(*days),
            Order::Lessons(on) => {
                self.set_farm(FarmEvent::LessonsSet(*on), Answer::LessonsSet(*on));
            }
            Order::Back => self.set_farm(FarmEvent::AwaySet(None), Answer::BackAgain),
            Order::Hour(hour) if *hour <= 23 => {
                self.set_farm(FarmEvent::HourSet(*hour), Answer::HourSet(*hour));
            }
            Order::MyData => self.my_data(),
            Order::Forget => self.forget_me(),
            // It came with what it guards.
            Order::Pin(PinSaid::One(_)) if self.given.is_some() => {}
            Order::Pin(said) => self.pin(said),
            Order::Hour(_) => self.refuse(Refusal::OutOfBounds(Verb::Hour)),
        }
    }

    fn speak(&mut self, lang: Lang) {
        if Lexicon::builtin().langs().contains(&lang) {
            self.set_member(MemberEvent::LangSet(lang), Answer::LangSet);
        } else {
            self.refuse_lang();
        }
    }

    fn refuse_lang(&mut self) {
        self.refuse(Refusal::NoSuchLang(Lexicon::builtin().langs()));
    }

    fn away(&mut self, days: u16) {
        if !(1..=AWAY_DAYS_MAX).contains(&days) {
            self.refuse(Refusal::OutOfBounds(Verb::Away));
            return;
        }
        let until = self.today + Duration::days(i64::from(days));
        self.set_farm(FarmEvent::AwaySet(Some(until)), Answer::AwayUntil(until));
    }

    fn set_farm(&mut self, event: FarmEvent, answer: Answer) {
        self.put(event);
        self.settled = true;
        self.answers.push(answer);
    }

    fn set_member(&mut self, event: MemberEvent, answer: Answer) {
        let stream = StreamId::Member(self.owner.number);
        self.changes.push((stream, Event::Member(event)));
        self.settled = true;
        self.answers.push(answer);
    }
}
