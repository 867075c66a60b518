//! The real way of a message, in memory: read, decide, apply, render. No store and no network.

use chrono::{DateTime, Duration, NaiveDate, Utc};
use clutchline::desk::phrase::Phrasebook;
use clutchline::desk::reply::{Fragment, Reply};
use clutchline::desk::streams::StreamState;
use clutchline::desk::{Decision, Person, Scene, decide};
use clutchline::domain::event::{
    Event, FarmEvent, MemberEvent, PhoneEvent, Recorded, RulesEvent, StreamId,
};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{MessageNo, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::{MemberNo, Role};
use clutchline::grammar;
use clutchline::grammar::lexicon::Lexicon;
use clutchline::units::day::local_hour;
use std::collections::BTreeMap;

/// The words, shared by every world.
pub struct Books {
    pub lexicon: &'static Lexicon,
    pub phrases: Phrasebook,
}

impl Books {
    pub fn new() -> Self {
        Self {
            lexicon: Lexicon::builtin(),
            phrases: Phrasebook::builtin(),
        }
    }
}

/// One farm's world.
#[derive(Clone)]
pub struct World<'b> {
    books: &'b Books,
    phone: PhoneNumber,
    states: BTreeMap<StreamId, StreamState>,
    next: u64,
    /// Nobody could read the last text.
    unread_before: bool,
}

/// What one text did.
pub struct Heard {
    /// Recorded in the farm's stream.
    pub events: Vec<FarmEvent>,
    pub reply: Option<Reply>,
    /// As the phone shows it.
    pub text: String,
}

const MEMBER: MemberNo = MemberNo(2071);

impl<'b> World<'b> {
    /// A member with an empty farm.
    pub fn new(books: &'b Books, lang: &str) -> Self {
        let phone = PhoneNumber::new("+255700000199").expect("a number of the test range");
        let rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
        let mut world = Self {
            books,
            phone: phone.clone(),
            states: BTreeMap::new(),
            next: 1,
            unread_before: false,
        };
        let start = [
            (
                StreamId::Rules,
                Event::Rules(RulesEvent::Set(Box::new(rules))),
            ),
            (
                StreamId::Member(MEMBER),
                Event::Member(MemberEvent::Joined {
                    name: "Neema".to_owned(),
                    lang: Lang::new(lang).expect("two letters"),
                    role: Role::Keeper,
                }),
            ),
            (
                StreamId::Member(MEMBER),
                Event::Member(MemberEvent::PhoneAdded(phone.clone())),
            ),
            (
                StreamId::Phone(phone),
                Event::Phone(PhoneEvent::Serves(MEMBER)),
            ),
            (StreamId::Farm(MEMBER), Event::Farm(FarmEvent::Opened)),
        ];
        for (stream, event) in start {
            world.apply(stream, event, DateTime::UNIX_EPOCH, None);
        }
        world
    }

    fn apply(
        &mut self,
        stream: StreamId,
        event: Event,
        at: DateTime<Utc>,
        message: Option<MessageNo>,
    ) {
        let state = self
            .states
            .entry(stream.clone())
            .or_insert_with(|| StreamState::empty(&stream));
        state.apply(&Recorded {
            at,
            by: Some(MEMBER),
            message,
            event,
        });
    }

    /// One text, sent so many minutes after eight in the morning of `today`.
    pub fn send(&mut self, text: &str, today: NaiveDate, minutes: i64) -> Heard {
        let now =
            local_hour(today, 8, chrono_tz::Africa::Dar_es_Salaam) + Duration::minutes(minutes);
        let message = MessageNo(self.next);
        self.next += 1;
        let decision = self.decide(text, message, now);
        self.unread_before = decision.outcome == Outcome::Unreadable;
        let mut events = Vec::new();
        for (stream, event) in decision.changes {
            if let Event::Farm(event) = &event {
                events.push(event.clone());
            }
            self.apply(stream, event, now, Some(message));
        }
        let text = decision
            .reply
            .as_ref()
            .map_or_else(String::new, |reply| self.books.phrases.render(reply));
        Heard {
            events,
            reply: decision.reply,
            text,
        }
    }

    fn decide(&self, text: &str, message: MessageNo, now: DateTime<Utc>) -> Decision {
        let reading = grammar::read(text, self.books.lexicon);
        let (Some(StreamState::Rules(rules)), Some(StreamState::Phone(phone))) = (
            self.states.get(&StreamId::Rules),
            self.states.get(&StreamId::Phone(self.phone.clone())),
        ) else {
            unreachable!("made in `new`")
        };
        let (Some(StreamState::Member(member)), Some(StreamState::Farm(farm))) = (
            self.states.get(&StreamId::Member(MEMBER)),
            self.states.get(&StreamId::Farm(MEMBER)),
        ) else {
            unreachable!("made in `new`")
        };
        let scene = Scene {
            rules,
            from: &self.phone,
            phone,
            people: vec![Person { member, farm }],
            named: None,
            unread_before: self.unread_before,
            message,
            free_member: MemberNo(3000),
            now,
        };
        decide(&scene, &reading)
    }

    /// Questions open at the farm.
    pub fn open_questions(&self) -> usize {
        match self.states.get(&StreamId::Farm(MEMBER)) {
            Some(StreamState::Farm(farm)) => farm.questions.len(),
            _ => 0,
        }
    }

    /// The reply shows these fragments: without them it would read otherwise.
    pub fn shows(&self, heard: &Heard, which: impl Fn(&Fragment) -> bool) -> bool {
        let Some(reply) = &heard.reply else {
            return false;
        };
        let mut without = reply.clone();
        without.fragments.retain(|f| !which(f));
        without.fragments.len() < reply.fragments.len()
            && self.books.phrases.render(&without) != heard.text
    }
}
