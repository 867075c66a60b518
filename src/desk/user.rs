//! One user's state, and what may be changed about users.
//!
//! `apply` is the only way the state changes. This room does not know how a password is checked or a page looks.

use crate::desk::member::Member;
use crate::domain::event::Recorded;
use crate::domain::lang::Lang;
use crate::domain::rules::Rules;
use crate::domain::user::{Login, Power, UserEvent};
use crate::domain::{MemberNo, Role};
use serde::{Deserialize, Serialize};

/// A user of the cooperative's room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct User {
    /// May sign in.
    pub open: bool,
    /// What they may do.
    pub power: Power,
    /// The password as a PHC string; empty: none was set, and nobody can sign in.
    pub password: String,
    /// Sees these wards only; none: all.
    pub wards: Vec<String>,
    /// Enters for others as this member.
    pub member: Option<MemberNo>,
    /// Language of the pages, where one was chosen.
    pub lang: Option<Lang>,
    /// The second factor's secret.
    pub totp: Option<Vec<u8>>,
    /// Rises with every change of password, power or wards: sessions begun before it end.
    pub edition: u32,
}

impl Default for User {
    fn default() -> Self {
        Self {
            open: false,
            power: Power::Viewer,
            password: String::new(),
            wards: Vec::new(),
            member: None,
            lang: None,
            totp: None,
            edition: 0,
        }
    }
}

/// Why a change of a user was not made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UserError {
    /// The name is taken.
    #[error("there is a user {0} already; set a new password with `user passwd {0}`")]
    Exists(Login),
    /// No such user.
    #[error("there is no user {0}; add them with `user add {0} --role officer`")]
    Unknown(Login),
    /// No such ward.
    #[error("expected wards of {}, but found {found:?}", known.join(", "))]
    NoSuchWard {
        /// As said.
        found: String,
        /// Those that exist.
        known: Vec<String>,
    },
    /// Entering for others takes an officer.
    #[error(
        "member {0} is no officer; make them one first with `member role {0} officer`, for entries are made in their name"
    )]
    NoOfficer(MemberNo),
}

impl User {
    /// What the event makes of the user.
    pub fn apply(&mut self, _recorded: &Recorded, event: &UserEvent) {
        match event {
            UserEvent::Added(power) => {
                self.open = true;
                self.power = *power;
                self.edition += 1;
            }
            UserEvent::PasswordSet(hash) => {
                self.password.clone_from(hash);
                self.edition += 1;
            }
            UserEvent::PowerSet(power) => {
                self.power = *power;
                self.edition += 1;
            }
            UserEvent::WardsSet(wards) => {
                self.wards.clone_from(wards);
                self.edition += 1;
            }
            UserEvent::MemberSet(member) => self.member = *member,
            UserEvent::LangSet(lang) => self.lang = Some(*lang),
            UserEvent::TotpSet(secret) => {
                self.totp.clone_from(secret);
                self.edition += 1;
            }
            UserEvent::Closed => {
                self.open = false;
                self.edition += 1;
            }
            UserEvent::Did(_) => {}
        }
    }

    /// Whether the user sees what happens in a ward; a member without a ward is seen by those who see all.
    #[must_use]
    pub fn sees(&self, ward: Option<&str>) -> bool {
        self.wards.is_empty() || ward.is_some_and(|ward| self.wards.iter().any(|own| own == ward))
    }
}

/// Whether these events may happen to the user; the events with ward names as the rules write them.
///
/// # Errors
/// When the name is taken or unknown, a ward unknown, or the member no officer.
pub fn change(
    rules: &Rules,
    login: &Login,
    standing: &User,
    member: Option<&Member>,
    events: Vec<UserEvent>,
) -> Result<Vec<UserEvent>, UserError> {
    let added = events.iter().any(|e| matches!(e, UserEvent::Added(_)));
    match (added, standing.open) {
        (true, true) => return Err(UserError::Exists(login.clone())),
        (false, false) => return Err(UserError::Unknown(login.clone())),
        _ => {}
    }
    events
        .into_iter()
        .map(|event| match event {
            UserEvent::WardsSet(wards) => wards
                .into_iter()
                .map(|ward| known_ward(rules, ward))
                .collect::<Result<_, _>>()
                .map(UserEvent::WardsSet),
            UserEvent::MemberSet(Some(no)) => {
                let officer = member.is_some_and(|m| m.joined && m.role >= Role::Officer);
                if officer {
                    Ok(UserEvent::MemberSet(Some(no)))
                } else {
                    Err(UserError::NoOfficer(no))
                }
            }
            other => Ok(other),
        })
        .collect()
}

fn known_ward(rules: &Rules, found: String) -> Result<String, UserError> {
    let wanted = found.trim().to_lowercase();
    let known = rules
        .wards
        .iter()
        .find(|ward| ward.to_lowercase() == wanted);
    known.cloned().ok_or_else(|| UserError::NoSuchWard {
        found,
        known: rules.wards.clone(),
    })
}
