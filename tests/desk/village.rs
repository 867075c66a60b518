//! A small invented cooperative to send readings to, and short ways to write them.

use chrono::{DateTime, Duration, Utc};
use clutchline::desk::farm::Farm;
use clutchline::desk::reply::{Answer, Ask, Fragment, Refusal, Saved, SavedNote, SavedWhat};
use clutchline::desk::streams::StreamState;
use clutchline::desk::{Decision, Person, Scene, decide, office, whom_to_load};
use clutchline::domain::code::UnitCode;
use clutchline::domain::event::{Event, Recorded, StreamId};
use clutchline::domain::lang::Lang;
use clutchline::domain::message::{MessageNo, Outcome};
use clutchline::domain::phone::PhoneNumber;
use clutchline::domain::rules::Rules;
use clutchline::domain::said::{
    DaySaid, Doubt, Fact, Order, Reading, Said, StockAmount, UnitSaid, Units, Weighed, Why,
};
use clutchline::domain::{CareJob, MemberNo, Role};
use clutchline::units::{Grams, Pupae};
use std::collections::{BTreeMap, BTreeSet};

/// The keeper's number; the first phone.
pub(crate) const KEEPER: MemberNo = MemberNo(2071);
/// The officer's.
pub(crate) const OFFICER: MemberNo = MemberNo(2001);
/// Phones.
pub(crate) const KEEPER_PHONE: &str = "+255700000101";
pub(crate) const OFFICER_PHONE: &str = "+255700000102";

/// Every stream of the cooperative with its events.
pub(crate) struct Village {
    pub(crate) streams: BTreeMap<StreamId, StreamState>,
    pub(crate) events: BTreeMap<StreamId, Vec<Recorded>>,
    pub(crate) now: DateTime<Utc>,
    message: u64,
    /// Phones whose last message nobody could read.
    unread: BTreeSet<PhoneNumber>,
}

impl Village {
    /// Keeper and officer, no cages; 10 March 2026, 08:10 in Dar es Salaam.
    pub(crate) fn new() -> Self {
        let mut village = Self {
            streams: BTreeMap::new(),
            events: BTreeMap::new(),
            now: "2026-03-10T05:10:00Z".parse().unwrap(),
            message: 0,
            unread: BTreeSet::new(),
        };
        let mut rules = Rules::new("Ziwani Fly Growers", "ZIWANI", "Africa/Dar_es_Salaam");
        rules.wards = vec!["Ufukwe".to_owned()];
        let changes = office::found(&Rules::new("", "", "UTC"), rules).unwrap();
        village.put(None, None, changes);
        village.member(KEEPER, "Asha", Role::Keeper, &[KEEPER_PHONE]);
        village.member(OFFICER, "Juma", Role::Officer, &[OFFICER_PHONE]);
        village
    }

    /// A keeper with running cages, each stocked that many days ago with 8,000 pupae.
    pub(crate) fn with(cages: &[(&str, i64)]) -> Self {
        let mut village = Self::new();
        let now = village.now;
        for (unit, days) in cages {
            village.now = now - Duration::days(*days);
            village.keeper(say(&[stock(unit, 8000)]));
        }
        village.now = now;
        village
    }

    pub(crate) fn member(&mut self, number: MemberNo, name: &str, role: Role, phones: &[&str]) {
        let new = office::NewMember {
            number,
            name: name.to_owned(),
            lang: Lang::EN,
            role,
            ward: None,
        };
        let phones: Vec<_> = phones
            .iter()
            .map(|text| {
                let number = PhoneNumber::new(text).unwrap();
                let StreamState::Phone(phone) = self.state(&StreamId::Phone(number.clone())) else {
                    panic!("a phone's stream holds a phone")
                };
                (number, phone)
            })
            .collect();
        let StreamState::Member(standing) = self.state(&StreamId::Member(number)) else {
            panic!("a member's stream holds a member")
        };
        let changes = office::add_member(&self.rules(), &standing, &new, &phones).unwrap();
        self.put(None, None, changes);
    }

    pub(crate) fn state(&self, stream: &StreamId) -> StreamState {
        let known = self.streams.get(stream).cloned();
        known.unwrap_or_else(|| StreamState::empty(stream))
    }

    pub(crate) fn rules(&self) -> Rules {
        match self.state(&StreamId::Rules) {
            StreamState::Rules(rules) => rules,
            _ => panic!("the rules' stream holds rules"),
        }
    }

    pub(crate) fn farm_of(&self, member: MemberNo) -> Farm {
        match self.state(&StreamId::Farm(member)) {
            StreamState::Farm(farm) => farm,
            _ => panic!("a farm's stream holds a farm"),
        }
    }

    pub(crate) fn farm(&self) -> Farm {
        self.farm_of(KEEPER)
    }

    /// The keeper's weight for a cage, so many days ago.
    pub(crate) fn grams(&self, unit: &str, days_ago: i64) -> Option<u32> {
        let day = self.today() - Duration::days(days_ago);
        let farm = self.farm();
        let run = farm.unit(code(unit))?.run_on(day)?;
        run.on(day).map(|h| h.grams.hundredths())
    }

    pub(crate) fn today(&self) -> chrono::NaiveDate {
        clutchline::units::day::farm_day(self.now, chrono_tz::Africa::Dar_es_Salaam)
    }

    pub(crate) fn put(
        &mut self,
        by: Option<MemberNo>,
        message: Option<MessageNo>,
        changes: Vec<(StreamId, Event)>,
    ) {
        for (stream, event) in changes {
            let recorded = Recorded {
                at: self.now,
                by,
                message,
                event,
            };
            let mut state = self.state(&stream);
            state.apply(&recorded);
            self.streams.insert(stream.clone(), state);
            self.events.entry(stream).or_default().push(recorded);
        }
    }

    pub(crate) fn send(&mut self, from: &str, reading: Reading) -> Decision {
        self.message += 1;
        let decision = self.ask(from, &reading);
        let phone = PhoneNumber::new(from).unwrap();
        if decision.outcome == Outcome::Unreadable {
            self.unread.insert(phone);
        } else {
            self.unread.remove(&phone);
        }
        let message = Some(MessageNo(self.message));
        self.put(decision.by, message, decision.changes.clone());
        decision
    }

    /// Decides without recording.
    pub(crate) fn ask(&self, from: &str, reading: &Reading) -> Decision {
        let from = PhoneNumber::new(from).unwrap();
        let StreamState::Phone(phone) = self.state(&StreamId::Phone(from.clone())) else {
            panic!("a phone's stream holds a phone")
        };
        let person = |number: MemberNo| {
            let StreamState::Member(member) = self.state(&StreamId::Member(number)) else {
                panic!("a member's stream holds a member")
            };
            (member, self.farm_of(number))
        };
        let people: Vec<_> = phone.serves.iter().copied().map(person).collect();
        let named = whom_to_load(reading, &phone).map(person);
        let scene = Scene {
            rules: &self.rules(),
            from: &from,
            phone: &phone,
            people: people
                .iter()
                .map(|(member, farm)| Person { member, farm })
                .collect(),
            named: named
                .as_ref()
                .filter(|(member, _)| member.joined)
                .map(|(member, farm)| Person { member, farm }),
            unread_before: self.unread.contains(&from),
            message: MessageNo(self.message),
            free_member: MemberNo(3000),
            now: self.now,
        };
        decide(&scene, reading)
    }

    pub(crate) fn keeper(&mut self, reading: Reading) -> Decision {
        self.send(KEEPER_PHONE, reading)
    }

    pub(crate) fn officer(&mut self, reading: Reading) -> Decision {
        self.send(OFFICER_PHONE, reading)
    }

    /// Steady harvests of past days, farthest first, ending yesterday.
    pub(crate) fn history(&mut self, unit: &str, hundredths: &[u32]) {
        let now = self.now;
        for (at, weight) in hundredths.iter().enumerate() {
            self.now = now - Duration::days((hundredths.len() - at) as i64);
            let decision = self.keeper(say(&[eggs(unit, *weight)]));
            assert_eq!(asks(&decision), [], "day {at} of the history, {weight}");
        }
        self.now = now;
    }

    pub(crate) fn days_pass(&mut self, days: i64) {
        self.now += Duration::days(days);
    }
}

pub(crate) fn code(text: &str) -> UnitCode {
    let at = text.find(|c: char| c.is_ascii_digit()).unwrap();
    UnitCode::new(&text[..at], text[at..].parse().unwrap()).unwrap()
}

pub(crate) fn grams(hundredths: u32) -> Grams {
    Grams::from_hundredths(hundredths).unwrap()
}

pub(crate) fn named(units: &[&str]) -> Units {
    let said = |unit: &&str| UnitSaid {
        code: code(unit),
        checked: false,
        inside_range: false,
    };
    Units::Named(units.iter().map(said).collect())
}

pub(crate) fn fact(units: Units, fact: Fact) -> Said {
    Said {
        units,
        day: DaySaid::Unsaid,
        fact,
    }
}

pub(crate) fn on(day: DaySaid, said: Said) -> Said {
    Said { day, ..said }
}

pub(crate) fn weighed(hundredths: u32) -> Weighed {
    Weighed {
        grams: grams(hundredths),
        gross_tare: None,
        in_kilograms: false,
        unit_said: false,
    }
}

pub(crate) fn eggs(unit: &str, hundredths: u32) -> Said {
    let weight = weighed(hundredths);
    fact(named(&[unit]), Fact::Eggs { weight, add: false })
}

pub(crate) fn kilograms(unit: &str, hundredths: u32) -> Said {
    let weight = Weighed {
        in_kilograms: true,
        ..weighed(hundredths)
    };
    fact(named(&[unit]), Fact::Eggs { weight, add: false })
}

pub(crate) fn add(unit: &str, hundredths: u32) -> Said {
    let weight = weighed(hundredths);
    fact(named(&[unit]), Fact::Eggs { weight, add: true })
}

pub(crate) fn fix(unit: &str, hundredths: u32) -> Said {
    fact(named(&[unit]), Fact::FixEggs(weighed(hundredths)))
}

pub(crate) fn stock(unit: &str, pupae: u32) -> Said {
    let amount = Some(StockAmount::Count(Pupae::new(pupae).unwrap()));
    fact(named(&[unit]), Fact::Stock { amount, kind: None })
}

pub(crate) fn care(units: &[&str], job: CareJob) -> Said {
    fact(named(units), Fact::Care(job))
}

pub(crate) fn retire(unit: &str) -> Said {
    fact(named(&[unit]), Fact::Retire)
}

pub(crate) fn say(said: &[Said]) -> Reading {
    Reading {
        said: said.to_vec(),
        ..Reading::default()
    }
}

pub(crate) fn order(order: Order) -> Reading {
    Reading {
        orders: vec![order],
        ..Reading::default()
    }
}

pub(crate) fn doubt(why: Why, readings: &[Said]) -> Reading {
    Reading {
        doubts: vec![Doubt {
            why,
            text: "C45g".to_owned(),
            readings: readings.to_vec(),
        }],
        ..Reading::default()
    }
}

pub(crate) fn for_member(number: MemberNo, reading: Reading) -> Reading {
    Reading {
        for_member: Some(number),
        ..reading
    }
}

pub(crate) fn fragments(decision: &Decision) -> Vec<Fragment> {
    let reply = decision.reply.as_ref();
    reply.map(|r| r.fragments.clone()).unwrap_or_default()
}

pub(crate) fn asks(decision: &Decision) -> Vec<Ask> {
    let ask = |f| match f {
        Fragment::Ask(ask) => Some(ask),
        _ => None,
    };
    fragments(decision).into_iter().filter_map(ask).collect()
}

pub(crate) fn refusals(decision: &Decision) -> Vec<Refusal> {
    let refusal = |f| match f {
        Fragment::Refused(refusal) => Some(refusal),
        _ => None,
    };
    fragments(decision)
        .into_iter()
        .filter_map(refusal)
        .collect()
}

pub(crate) fn answers(decision: &Decision) -> Vec<Answer> {
    let answer = |f| match f {
        Fragment::Answer(answer) => Some(answer),
        _ => None,
    };
    fragments(decision).into_iter().filter_map(answer).collect()
}

pub(crate) fn saved(decision: &Decision) -> Vec<Saved> {
    let saved = |f| match f {
        Fragment::Saved(saved) => Some(saved),
        _ => None,
    };
    fragments(decision).into_iter().filter_map(saved).collect()
}

/// Units, weights and notes of the saved eggs.
pub(crate) fn saved_eggs(decision: &Decision) -> Vec<(String, u32, SavedNote)> {
    let eggs = |saved: Saved| match saved.what {
        SavedWhat::Eggs { grams, .. } => Some((
            saved.unit.unwrap().to_string(),
            grams.hundredths(),
            saved.note,
        )),
        _ => None,
    };
    saved(decision).into_iter().filter_map(eggs).collect()
}
