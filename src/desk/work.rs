//! One message at work on one farm: what it recorded, holds and answers so far.
//!
//! Facts are put into a copy of the farm as they are decided, so that the second fact of a line sees the first. This room judges nothing.

use crate::desk::days;
use crate::desk::farm::{Farm, QUESTIONS_MAX};
use crate::desk::forecast::Fresh;
use crate::desk::member::Member;
use crate::desk::reply::{Answer, Ask, CageState, Fragment, Refusal, Saved, SavedNote, SavedWhat};
use crate::domain::code::UnitCode;
use crate::domain::event::{Event, FarmEvent, Recorded, StreamId};
use crate::domain::message::MessageNo;
use crate::domain::pin::Pin;
use crate::domain::question::{Closing, Held};
use crate::domain::rules::Rules;
use crate::domain::said::DaySaid;
use crate::domain::{MemberNo, Role};
use crate::units::day::{FarmDay, farm_day};
use chrono::{DateTime, Duration, Utc};
use chrono_tz::Tz;

/// The farm's time zone; UTC where neither it nor the rules name a known one.
#[must_use]
pub(crate) fn zone_of(rules: &Rules, farm: &Farm) -> Tz {
    let own = farm.zone.as_deref().and_then(|zone| zone.parse().ok());
    own.or_else(|| rules.zone.parse().ok()).unwrap_or(Tz::UTC)
}

/// A message at work.
pub(crate) struct Work<'a> {
    pub(crate) rules: &'a Rules,
    /// Who speaks.
    pub(crate) sender: &'a Member,
    /// Whose farm it is.
    pub(crate) owner: &'a Member,
    pub(crate) farm: Farm,
    pub(crate) today: FarmDay,
    pub(crate) now: DateTime<Utc>,
    pub(crate) message: MessageNo,
    pub(crate) changes: Vec<(StreamId, Event)>,
    /// Something new stands in the record: `undo` can take it back.
    pub(crate) recorded: bool,
    /// Something was said of which every part is settled: recorded, standing already, or set.
    pub(crate) settled: bool,
    pub(crate) saved: Vec<Saved>,
    /// To be asked, in the order of the text.
    pub(crate) held: Vec<Held>,
    pub(crate) asks: Vec<Ask>,
    pub(crate) refused: Vec<Refusal>,
    /// How the weights saved compare with what was expected, and low yields.
    pub(crate) compared: Vec<Fragment>,
    /// What was learned while they were compared.
    pub(crate) fresh: Vec<Fresh>,
    pub(crate) states: Vec<CageState>,
    pub(crate) answers: Vec<Answer>,
    /// The member asked for the list of tasks.
    pub(crate) wants_tasks: bool,
    /// What is recorded now was asked about and answered `yes`.
    pub(crate) confirmed: bool,
    /// Nobody could read the sender's last message.
    pub(crate) unread_before: bool,
    /// Whose farm the phone's last line went to, where that is not its own.
    pub(crate) last_spoken_for: Option<MemberNo>,
    /// The PIN that came with what it guards.
    pub(crate) given: Option<Pin>,
    /// Whether the message's PIN is the sender's, once it was looked at.
    pub(crate) proved: Option<bool>,
}

impl<'a> Work<'a> {
    pub(crate) fn new(
        rules: &'a Rules,
        sender: &'a Member,
        owner: &'a Member,
        farm: &Farm,
        message: MessageNo,
        now: DateTime<Utc>,
    ) -> Self {
        let mut work = Self {
            rules,
            sender,
            owner,
            today: farm_day(now, zone_of(rules, farm)),
            farm: farm.clone(),
            now,
            message,
            changes: Vec::new(),
            recorded: false,
            settled: false,
            saved: Vec::new(),
            held: Vec::new(),
            asks: Vec::new(),
            refused: Vec::new(),
            compared: Vec::new(),
            fresh: Vec::new(),
            states: Vec::new(),
            answers: Vec::new(),
            wants_tasks: false,
            confirmed: false,
            unread_before: false,
            last_spoken_for: None,
            given: None,
            proved: None,
        };
        work.close_expired();
        work
    }

    /// The farm's stream.
    pub(crate) fn stream(&self) -> StreamId {
        StreamId::Farm(self.owner.number)
    }

    pub(crate) fn sender_no(&self) -> MemberNo {
        self.sender.number
    }

    /// Officers may go back as far as the stocking.
    pub(crate) fn is_officer(&self) -> bool {
        self.sender.role >= Role::Officer
    }

    /// Puts an event into the farm and the decision.
    pub(crate) fn put(&mut self, event: FarmEvent) {
        let recorded = Recorded {
            at: self.now,
            by: Some(self.sender_no()),
            message: Some(self.message),
            event: Event::Farm(event),
        };
        if let Event::Farm(event) = &recorded.event {
            self.farm.apply(&recorded, event);
        }
        self.changes.push((self.stream(), recorded.event));
    }

    /// Records a fact and says so.
    pub(crate) fn save(&mut self, event: FarmEvent, saved: Saved) {
        self.put(event);
        self.recorded = true;
        self.settled = true;
        self.saved.push(saved);
    }

    /// Says that a fact stands already.
    pub(crate) fn already(&mut self, unit: Option<UnitCode>, what: SavedWhat, day: FarmDay) {
        self.settled = true;
        self.saved.push(Saved {
            unit,
            what,
            day,
            note: SavedNote::Already,
        });
    }

    /// Holds something until it is answered.
    pub(crate) fn hold(&mut self, held: Held) {
        if self.held.len() < QUESTIONS_MAX {
            self.held.push(held);
        }
    }

    pub(crate) fn refuse(&mut self, refusal: Refusal) {
        if !self.refused.contains(&refusal) {
            self.refused.push(refusal);
        }
    }

    pub(crate) fn close(&mut self, no: u32, how: Closing) {
        self.put(FarmEvent::Closed { no, how });
    }

    /// Asks everything held. The first of the text becomes the latest, so that `yes` answers the question that the reply shows first.
    pub(crate) fn ask_held(&mut self) {
        let held = std::mem::take(&mut self.held);
        for held in held.iter().rev() {
            self.put(FarmEvent::Asked {
                no: self.farm.last_question + 1,
                held: held.clone(),
            });
        }
        let asks: Vec<Ask> = held.iter().map(|held| self.ask_of(held)).collect();
        self.asks.extend(asks);
    }

    /// The date that was said; `None` after a refusal.
    pub(crate) fn date(&mut self, unit: Option<UnitCode>, said: DaySaid) -> Option<FarmDay> {
        let Some(day) = days::resolve(said, self.today) else {
            self.refuse(match unit {
                Some(unit) if days::looks_ahead(said, self.today) => Refusal::FutureDay(unit),
                _ => Refusal::DayMonth,
            });
            return None;
        };
        if days::looks_ahead(said, self.today)
            && days::days_back(day, self.today) > i64::from(days::STOCKING_BACK_DAYS)
        {
            match unit {
                Some(unit) => self.refuse(Refusal::FutureDay(unit)),
                None => self.refuse(Refusal::TooFarBack {
                    days: self.rules.back_days,
                }),
            }
            return None;
        }
        Some(day)
    }

    /// Whether a day lies within reach; refuses it otherwise.
    pub(crate) fn in_reach(&mut self, day: FarmDay) -> bool {
        let days = if self.is_officer() {
            days::OFFICER_BACK_DAYS
        } else {
            self.rules.back_days
        };
        let fits = days::days_back(day, self.today) <= i64::from(days);
        if !fits {
            self.refuse(Refusal::TooFarBack { days });
        }
        fits
    }

    fn close_expired(&mut self) {
        for no in expired(self.rules, &self.farm, self.now) {
            self.close(no, Closing::Expired);
        }
    }
}

/// Questions whose time is over.
pub(crate) fn expired(rules: &Rules, farm: &Farm, now: DateTime<Utc>) -> Vec<u32> {
    let open = Duration::hours(i64::from(rules.question_hours));
    farm.questions
        .iter()
        .filter(|q| q.at + open <= now)
        .map(|q| q.no)
        .collect()
}
