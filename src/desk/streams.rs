//! The state of one stream, whichever it is: what the store keeps beside a stream's events.
//!
//! `apply` is the only way it changes, and replaying a stream's events gives the same state again. This room does not know how it is kept.

use crate::desk::affairs::Affairs;
use crate::desk::broadcast::Broadcast;
use crate::desk::dossier::Dossier;
use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::phone::Phone;
use crate::desk::user::User;
use crate::desk::ward::Ward;
use crate::desk::words::Words;
use crate::domain::event::{Event, Recorded, RulesEvent, StreamId};
use crate::domain::rules::Rules;
use serde::{Deserialize, Serialize};

/// What one stream's events make.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum StreamState {
    /// The cooperative's rules.
    Rules(Rules),
    /// A member.
    Member(Member),
    /// A phone.
    Phone(Phone),
    /// A farm.
    Farm(Farm),
    /// A ward.
    Ward(Ward),
    /// Somebody who signs in.
    User(User),
    /// What officers keep on a farm.
    Dossier(Dossier),
    /// The cooperative's affairs.
    Affairs(Affairs),
    /// A text to many.
    Broadcast(Broadcast),
    /// The words that the cooperative has taught.
    Words(Words),
}

impl StreamState {
    /// The state of a stream without events.
    #[must_use]
    pub fn empty(stream: &StreamId) -> Self {
        match stream {
            StreamId::Rules => Self::Rules(Rules::new("", "", "UTC")),
            StreamId::Member(number) => Self::Member(Member::empty(*number)),
            StreamId::Phone(_) => Self::Phone(Phone::default()),
            StreamId::Farm(_) => Self::Farm(Farm::default()),
            StreamId::Ward(_) => Self::Ward(Ward::default()),
            StreamId::User(_) => Self::User(User::default()),
            StreamId::Dossier(_) => Self::Dossier(Dossier::default()),
            StreamId::Affairs => Self::Affairs(Affairs::default()),
            StreamId::Broadcast(_) => Self::Broadcast(Broadcast::default()),
            StreamId::Words => Self::Words(Words::default()),
        }
    }

    /// What the event makes of the state. An event of another kind of stream changes nothing.
    pub fn apply(&mut self, recorded: &Recorded) {
        match (self, &recorded.event) {
            (Self::Rules(rules), Event::Rules(event)) => apply_rules(rules, event),
            (Self::Member(member), Event::Member(event)) => member.apply(event),
            (Self::Phone(phone), Event::Phone(event)) => phone.apply(event),
            (Self::Farm(farm), Event::Farm(event)) => farm.apply(recorded, event),
            (Self::Ward(ward), Event::Ward(event)) => ward.apply(event),
            (Self::User(user), Event::User(event)) => user.apply(recorded, event),
            (Self::Dossier(dossier), Event::Dossier(event)) => dossier.apply(event),
            (Self::Affairs(affairs), Event::Affairs(event)) => affairs.apply(event),
            (Self::Broadcast(broadcast), Event::Broadcast(event)) => {
                broadcast.apply(recorded.at, event);
            }
            (Self::Words(words), Event::Words(event)) => words.apply(recorded, event),
            (
                Self::Rules(_)
                | Self::Member(_)
                | Self::Phone(_)
                | Self::Farm(_)
                | Self::Ward(_)
                | Self::User(_)
                | Self::Dossier(_)
                | Self::Affairs(_)
                | Self::Broadcast(_)
                | Self::Words(_),
                Event::Rules(_)
                | Event::Member(_)
                | Event::Phone(_)
                | Event::Farm(_)
                | Event::Ward(_)
                | Event::User(_)
                | Event::Dossier(_)
                | Event::Affairs(_)
                | Event::Broadcast(_)
                | Event::Words(_),
            ) => {}
        }
    }
}

fn apply_rules(rules: &mut Rules, event: &RulesEvent) {
    match event {
        RulesEvent::Set(new) => rules.clone_from(new),
        RulesEvent::WardAdded(ward) => {
            if !rules.wards.contains(ward) {
                rules.wards.push(ward.clone());
            }
        }
        RulesEvent::WardRenamed { old, new } => {
            for ward in rules.wards.iter_mut().filter(|ward| *ward == old) {
                ward.clone_from(new);
            }
        }
    }
}
