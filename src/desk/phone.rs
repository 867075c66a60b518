//! One phone's state: whom it serves, and how often an unknown one was answered.
//!
//! `apply` is the only way it changes. This room does not know whether a member still exists.

use crate::domain::MemberNo;
use crate::domain::compact;
use crate::domain::event::PhoneEvent;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// Members that one phone may serve: a household or a small group; a message loads all of their farms.
pub const SERVES_MAX: usize = 8;

/// Answers that an unknown number gets in one day; after them silence, so that nobody can make the gateway spend money.
pub const TURNED_AWAY_MAX: u8 = 3;

/// Answers that a member's phone gets in one day to texts that are not recorded as they stand, with none between them that is: more than a keeper
/// needs who learns, and an end for a machine that answers every answer.
pub const VAIN_MAX: u8 = 20;

/// A phone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Phone {
    /// The members it serves, in the order they were added.
    pub serves: Vec<MemberNo>,
    /// The last day on which it was turned away as unknown, or was answered in vain.
    #[serde(with = "compact::day_or_none")]
    pub turned_away_on: Option<FarmDay>,
    /// How often on that day; a member's since a text of it was recorded.
    pub turned_away: u8,
    /// An unknown number that asked for silence.
    pub silent: bool,
    /// The last recording or question went to this member's farm: bare `yes`, `no`, `add` and `undo` go there too.
    pub spoke_for: Option<MemberNo>,
}

impl Phone {
    /// What the event makes of the phone.
    pub fn apply(&mut self, event: &PhoneEvent) {
        match event {
            PhoneEvent::Serves(member) => {
                if !self.serves.contains(member) && self.serves.len() < SERVES_MAX {
                    self.serves.push(*member);
                }
                self.silent = false;
            }
            PhoneEvent::ServesNoMore(member) => {
                self.serves.retain(|known| known != member);
                self.spoke_for = None;
            }
            PhoneEvent::TurnedAway(day) => {
                if self.turned_away_on != Some(*day) {
                    self.turned_away_on = Some(*day);
                    self.turned_away = 0;
                }
                self.turned_away = self.turned_away.saturating_add(1);
            }
            PhoneEvent::SilenceSet(silent) => self.silent = *silent,
            PhoneEvent::SpokeFor(member) => self.spoke_for = *member,
            PhoneEvent::Understood => self.turned_away = 0,
        }
    }

    /// Whether an unknown number has had its answers of that day.
    #[must_use]
    pub fn answered_enough(&self, day: FarmDay) -> bool {
        self.turned_away_on == Some(day) && self.turned_away >= TURNED_AWAY_MAX
    }

    /// Whether a member's phone was answered in vain often enough that day.
    #[must_use]
    pub fn vain_enough(&self, day: FarmDay) -> bool {
        self.turned_away_on == Some(day) && self.turned_away >= VAIN_MAX
    }

    /// Whether it was answered in vain that day, since a text of it was last recorded.
    #[must_use]
    pub fn is_in_vain(&self, day: FarmDay) -> bool {
        self.turned_away_on == Some(day) && self.turned_away > 0
    }
}
