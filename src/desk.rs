//! Where a reading meets a farm: `decide` judges what was said and answers it; `tick` decides what a farm is reminded of.
//!
//! Pure: the farm, the rules and the time are arguments, events and replies come back. The desk does not know how messages arrive, what bytes
//! anything is kept in, or that other farms exist.

pub mod affairs;
mod answers;
mod apply;
mod asking;
pub mod broadcast;
mod cautions;
mod closing;
pub mod days;
mod deliveries;
pub mod delivery;
pub mod dossier;
mod doubts;
mod eggs;
pub mod estimate;
mod example;
mod expecting;
mod facts;
pub mod farm;
pub mod forecast;
pub mod gist;
pub mod lanes;
mod learning;
mod letterless;
pub mod member;
pub mod membership;
pub mod office;
mod orders;
mod own_yield;
pub mod phone;
pub mod phrase;
pub mod pin;
pub mod plausible;
pub mod privacy;
pub mod prospect;
mod quoting;
mod record;
pub mod reminders;
mod repeats;
pub mod reply;
mod second_look;
pub mod stage;
pub mod steps;
mod stocking;
pub mod streams;
pub mod tasks;
mod teaching;
mod two_weights;
pub mod undo;
pub mod unit;
pub mod user;
pub mod ward;
pub mod wards;
pub mod warnings;
pub mod who;
pub mod words;
mod work;

use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::phone::Phone;
use crate::desk::reply::{Fragment, Reply};
use crate::desk::who::Speaker;
use crate::desk::work::Work;
use crate::domain::MemberNo;
use crate::domain::event::{Event, PhoneEvent, StreamId};
use crate::domain::message::{MessageNo, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::domain::question::Held;
use crate::domain::rules::Rules;
use crate::domain::said::{DaySaid, Doubt, Order, Reading, Said, Units, Why};
use crate::units::day::{FarmDay, farm_day};
use chrono::{DateTime, Utc};

/// What the desk decided about one message or one tick.
#[derive(Clone, Debug, PartialEq)]
pub struct Decision {
    /// Who spoke, where that is known; the recorded events carry it.
    pub by: Option<MemberNo>,
    /// What became of the message.
    pub outcome: Outcome,
    /// Facts were recorded or held: the same text again within ten minutes is a redelivery even under another id.
    pub covers_repeats: bool,
    /// Events for named streams, in order.
    pub changes: Vec<(StreamId, Event)>,
    /// The answer to the sender; none where silence was asked for.
    pub reply: Option<Reply>,
    /// Notices to other members concerned (the keeper for whom an officer entered).
    pub notices: Vec<(MemberNo, Reply)>,
}

/// A member and their farm.
#[derive(Clone, Copy, Debug)]
pub struct Person<'a> {
    /// The member.
    pub member: &'a Member,
    /// Their farm.
    pub farm: &'a Farm,
}

/// Everything that one message may be judged by.
#[derive(Clone, Debug)]
pub struct Scene<'a> {
    /// The cooperative's rules.
    pub rules: &'a Rules,
    /// The number that the message came from.
    pub from: &'a PhoneNumber,
    /// That phone's state.
    pub phone: &'a Phone,
    /// Whom the phone serves, at most [`phone::SERVES_MAX`].
    pub people: Vec<Person<'a>>,
    /// Whom [`whom_to_load`] names, where that is a member.
    pub named: Option<Person<'a>>,
    /// Nobody could read the last message of this phone: what it says now is answered with a line to copy, where it is unreadable as well.
    pub unread_before: bool,
    /// The message's number.
    pub message: MessageNo,
    /// The next unused member number, for `join`.
    pub free_member: MemberNo,
    /// The moment that governs the message: its accepted sending time.
    pub now: DateTime<Utc>,
}

/// The member besides those whom the phone serves that a message needs: named by `for 2071`, or else the one whose farm the phone's last
/// line went to (an officer's bare `yes` or `undo` after a `for`).
#[must_use]
pub fn whom_to_load(reading: &Reading, phone: &Phone) -> Option<MemberNo> {
    reading.for_member.or(phone.spoke_for)
}

/// Judges what was said, and answers it.
///
/// Answers to questions come first, then facts and doubts in the order of the text, then requests: a line may answer and go on.
#[must_use]
pub fn decide(scene: &Scene<'_>, reading: &Reading) -> Decision {
    let pin = pin::as_pin(scene, reading);
    let reading = pin.as_ref().unwrap_or(reading);
    if scene.people.is_empty() {
        return who::stranger(scene, reading);
    }
    if who::for_everyone(scene, reading) {
        return everyone(scene, reading);
    }
    match who::speaker(scene, reading) {
        Ok(speaker) => speak(scene, speaker, reading),
        Err(answer) => *answer,
    }
}

fn speak(scene: &Scene<'_>, speaker: Speaker<'_>, reading: &Reading) -> Decision {
    let mut work = Work::new(
        scene.rules,
        speaker.sender.member,
        speaker.owner.member,
        speaker.owner.farm,
        scene.message,
        scene.now,
    );
    work.unread_before = scene.unread_before;
    work.last_spoken_for = scene.phone.spoke_for;
    work.given = pin::beside(reading);
    let (answers, requests): (Vec<&Order>, Vec<&Order>) =
        reading.orders.iter().partition(|order| order.is_answer());
    for order in answers {
        work.order(order);
    }
    if repeats::is_yesterdays(&work.farm, work.today, reading) {
        let text = first_unit(&reading.said);
        work.doubt_line(Why::SameAsYesterday, text, &reading.said);
    } else if let Some(near) = work.day_in_doubt(reading) {
        let line: Vec<Said> = reading
            .said
            .iter()
            .map(|said| on_day(said, near.day))
            .collect();
        work.doubt_line(Why::DayWord, near.text.clone(), &line);
    } else {
        let later = work.beside_impossible(reading);
        let (later, now): (Vec<&Said>, Vec<&Said>) = work
            .hold_letterless(reading)
            .into_iter()
            .partition(|said| later.contains(said));
        for said in now {
            if second_look::is_cut(&work.farm, reading, said) {
                work.doubt(&Doubt {
                    why: Why::SplitDecimal,
                    text: first_unit(std::slice::from_ref(said)),
                    readings: vec![said.clone()],
                });
            } else {
                work.fact(said);
            }
        }
        for said in later {
            if let Some(unit) = letterless::only(said) {
                work.hold_beside(unit, said);
            }
        }
    }
    for doubt in &reading.doubts {
        work.doubt(doubt);
    }
    for order in requests {
        work.order(order);
    }
    let work_day = work.today;
    let mut decision = work.finish(reading, speaker.shared);
    decision
        .changes
        .extend(spoke_for(scene, &speaker, &decision));
    vain_no_oftener(scene, work_day, &mut decision);
    decision
}

/// A machine that answers every answer, or gives each back, gets a number of answers a day, and then none until a text can be recorded as it stands.
/// Refusals and questions count as well: what such a machine says may look like an entry.
fn vain_no_oftener(scene: &Scene<'_>, today: FarmDay, decision: &mut Decision) {
    let event = match decision.outcome {
        Outcome::Saved if scene.phone.is_in_vain(today) => PhoneEvent::Understood,
        Outcome::Unreadable | Outcome::Refused | Outcome::Asked => {
            if scene.phone.vain_enough(today) {
                decision.reply = None;
            }
            if decision.reply.is_none() {
                return;
            }
            PhoneEvent::TurnedAway(today)
        }
        _ => return,
    };
    let phone = StreamId::Phone(scene.from.clone());
    decision.changes.push((phone, Event::Phone(event)));
}

/// The cage that a line names first, for a question about all of it.
fn first_unit(line: &[Said]) -> String {
    match line.first().map(|said| &said.units) {
        Some(Units::Named(units)) => units.first().map(|unit| unit.code.to_string()),
        _ => None,
    }
    .unwrap_or_default()
}

/// What was said without a day, as of that day.
fn on_day(said: &Said, day: DaySaid) -> Said {
    let day = if said.day == DaySaid::Unsaid {
        day
    } else {
        said.day
    };
    Said {
        day,
        ..said.clone()
    }
}

/// Remembers whose farm the phone's last line went to, so that a bare `yes` or `undo` finds it.
fn spoke_for(
    scene: &Scene<'_>,
    speaker: &Speaker<'_>,
    decision: &Decision,
) -> Option<(StreamId, Event)> {
    let went_to = speaker.owner.member.number;
    let own = scene.people.len() == 1 && speaker.sender.member.number == went_to;
    let last = (!own).then_some(went_to);
    let touched = StreamId::Farm(went_to);
    let changed = decision
        .changes
        .iter()
        .any(|(stream, _)| *stream == touched);
    (changed && scene.phone.spoke_for != last).then(|| {
        let event = Event::Phone(PhoneEvent::SpokeFor(last));
        (StreamId::Phone(scene.from.clone()), event)
    })
}

/// `stop`, `start` or `lang` from a shared phone: for each of its members, answered once.
fn everyone(scene: &Scene<'_>, reading: &Reading) -> Decision {
    let mut decisions = scene.people.iter().map(|person| {
        let speaker = Speaker {
            sender: *person,
            owner: *person,
            shared: false,
        };
        speak(scene, speaker, reading)
    });
    let mut all = decisions
        .next()
        .unwrap_or_else(|| who::stranger(scene, reading));
    for decision in decisions {
        all.changes.extend(decision.changes);
        all.reply = all.reply.or(decision.reply);
    }
    all
}

/// What a farm is reminded of now: the morning list when it is its hour, and questions that nobody answered. Harmless when called early.
#[must_use]
pub fn tick(rules: &Rules, member: &Member, farm: &Farm, now: DateTime<Utc>) -> Decision {
    reminders::tick(rules, member, farm, now)
}

/// The farm's day.
#[must_use]
pub fn today(rules: &Rules, farm: &Farm, now: DateTime<Utc>) -> FarmDay {
    farm_day(now, work::zone_of(rules, farm))
}

/// The open question that the sender's `yes` would answer, shown again; and whether `add` and `yes` are answers to it.
#[must_use]
pub fn open_question(
    rules: &Rules,
    sender: &Member,
    owner: &Member,
    farm: &Farm,
    now: DateTime<Utc>,
) -> Option<(Reply, bool, bool)> {
    let work = Work::new(rules, sender, owner, farm, MessageNo(0), now);
    let held = work.latest()?.held;
    let reply = Reply {
        lang: sender.lang,
        today: work.today,
        fragments: vec![Fragment::Ask(work.ask_of(&held))],
    };
    let addable = matches!(held, Held::OtherWeight { .. } | Held::AddAgain { .. });
    Some((reply, addable, answers::is_answerable(&held)))
}

/// When [`tick`] next has something to do, if ever without a message; strictly after `now`.
#[must_use]
pub fn next_wakeup(
    rules: &Rules,
    member: &Member,
    farm: &Farm,
    now: DateTime<Utc>,
) -> Option<DateTime<Utc>> {
    reminders::next_wakeup(rules, member, farm, now)
}
