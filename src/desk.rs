//! Where a reading meets a farm: `decide` judges what was said and answers it; `tick` decides what a farm is reminded of.
//!
//! Pure: the farm, the rules and the time are arguments, events and replies come back. The desk does not know how messages arrive, what bytes
//! anything is kept in, or that other farms exist.

pub mod farm;
pub mod member;
pub mod office;
pub mod phone;
pub mod phrase;
pub mod reply;
pub mod streams;
pub mod unit;

use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::phone::Phone;
use crate::desk::reply::Reply;
use crate::domain::MemberNo;
use crate::domain::event::{Event, StreamId};
use crate::domain::message::{MessageNo, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::said::Reading;
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
#[must_use]
pub fn decide(scene: &Scene<'_>, reading: &Reading) -> Decision {
    let _ = (scene, reading);
    nothing()
}

/// What a farm is reminded of now: the morning list when it is its hour, and questions that nobody answered. Harmless when called early.
#[must_use]
pub fn tick(rules: &Rules, member: &Member, farm: &Farm, now: DateTime<Utc>) -> Decision {
    let _ = (rules, member, farm, now);
    nothing()
}

/// When [`tick`] next has something to do, if ever without a message; strictly after `now`.
#[must_use]
pub fn next_wakeup(
    rules: &Rules,
    member: &Member,
    farm: &Farm,
    now: DateTime<Utc>,
) -> Option<DateTime<Utc>> {
    let _ = (rules, member, farm, now);
    None
}

fn nothing() -> Decision {
    Decision {
        by: None,
        outcome: Outcome::Answered,
        covers_repeats: false,
        changes: Vec::new(),
        reply: None,
        notices: Vec::new(),
    }
}
