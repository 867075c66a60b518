//! One member's state: who they are, what they may do, how they are spoken to.
//!
//! `apply` is the only way it changes. This room does not know the member's farm.

use crate::domain::event::MemberEvent;
use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::pin::PinHash;
use crate::domain::{MemberNo, Role};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Phones that may speak for one member; a family's handful, bounded so that the state stays small.
pub const PHONES_MAX: usize = 8;

/// Letters of a name that are kept: long enough for any, short enough for a reply.
pub const NAME_MAX: usize = 40;

/// A member's PIN.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptPin {
    /// As it is kept.
    pub hash: PinHash,
    /// Wrong ones in a row.
    pub wrong: u8,
    /// None is looked at before then.
    pub locked_until: Option<DateTime<Utc>>,
}

impl KeptPin {
    /// Until when it is locked, where it is.
    #[must_use]
    pub fn locked(&self, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        self.locked_until.filter(|until| now < *until)
    }
}

/// A member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Member {
    /// Number in the cooperative.
    pub number: MemberNo,
    /// Has joined; before that the stream is empty.
    pub joined: bool,
    /// Name as written; may be empty.
    pub name: String,
    /// Language of everything sent to them.
    pub lang: Lang,
    /// What they may do.
    pub role: Role,
    /// Ward.
    pub ward: Option<String>,
    /// Phones that speak for them.
    pub phones: Vec<PhoneNumber>,
    /// Wants nothing sent until `start`.
    pub stopped: bool,
    /// Gets questions and warnings only.
    pub questions_only: bool,
    /// What is saved by menu comes as an SMS too.
    #[serde(default)]
    pub menu_copies: bool,
    /// Sensitive words ask for it.
    #[serde(default)]
    pub pin: Option<KeptPin>,
}

impl Member {
    /// Before anything happened.
    #[must_use]
    pub fn empty(number: MemberNo) -> Self {
        Self {
            number,
            joined: false,
            name: String::new(),
            lang: Lang::EN,
            role: Role::Keeper,
            ward: None,
            phones: Vec::new(),
            stopped: false,
            questions_only: false,
            menu_copies: false,
            pin: None,
        }
    }

    /// What the event makes of the member.
    pub fn apply(&mut self, event: &MemberEvent) {
        match event {
            MemberEvent::Joined { name, lang, role } => {
                self.joined = true;
                self.name.clone_from(name);
                self.lang = *lang;
                self.role = *role;
            }
            MemberEvent::Named(name) => self.name.clone_from(name),
            MemberEvent::LangSet(lang) => self.lang = *lang,
            MemberEvent::RoleSet(role) => self.role = *role,
            MemberEvent::WardSet(ward) => self.ward.clone_from(ward),
            MemberEvent::PhoneAdded(phone) => {
                if !self.phones.contains(phone) && self.phones.len() < PHONES_MAX {
                    self.phones.push(phone.clone());
                }
            }
            MemberEvent::PhoneCut(phone) => self.phones.retain(|known| known != phone),
            MemberEvent::Stopped => self.stopped = true,
            MemberEvent::Started => self.stopped = false,
            MemberEvent::QuestionsOnlySet(only) => self.questions_only = *only,
            MemberEvent::MenuCopiesSet(on) => self.menu_copies = *on,
            MemberEvent::PinSet(hash) => {
                self.pin = Some(KeptPin {
                    hash: hash.clone(),
                    wrong: 0,
                    locked_until: None,
                });
            }
            MemberEvent::PinEnded => self.pin = None,
            MemberEvent::PinWrong | MemberEvent::PinRight | MemberEvent::PinLocked(_) => {
                self.count(event);
            }
            // Read from the events where it is asked for.
            MemberEvent::ConsentNoted(_) => {}
            // The ward names nobody, and its sums stay whole.
            MemberEvent::Erased => {
                let ward = self.ward.take();
                *self = Self {
                    ward,
                    ..Self::empty(self.number)
                };
            }
        }
    }

    /// Tries of the PIN.
    fn count(&mut self, event: &MemberEvent) {
        let Some(pin) = &mut self.pin else {
            return;
        };
        match event {
            MemberEvent::PinWrong => pin.wrong = pin.wrong.saturating_add(1),
            MemberEvent::PinLocked(until) => {
                pin.wrong = 0;
                pin.locked_until = Some(*until);
            }
            _ => pin.wrong = 0,
        }
    }
}

/// A name as it is kept: no control characters, single spaces, bounded.
#[must_use]
pub fn clean_name(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    let plain = words.join(" ");
    let kept: String = plain
        .chars()
        .filter(|c| !c.is_control())
        .take(NAME_MAX)
        .collect();
    kept.trim().to_owned()
}
