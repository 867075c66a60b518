//! One user's state, and what may be changed about users.
//!
//! `apply` is the only way the state changes. This room does not know how a password is checked or a page looks.

use crate::desk::member::Member;
use crate::domain::event::Recorded;
use crate::domain::lang::Lang;
use crate::domain::rules::Rules;
use crate::domain::user::{Login, Power, Token, TokenNo, UserEvent};
use crate::domain::{MemberNo, Role};
use crate::units::day::FarmDay;
use chrono::{DateTime, Utc};
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
    /// Tokens of programs that read in the user's name.
    pub tokens: Vec<KeptToken>,
    /// Tokens made so far: a number is given once.
    pub tokens_made: u32,
}

/// Tokens of one user at the most: each page and sheet that reads by itself has one, and one list holds them all.
pub const TOKENS_MAX: usize = 20;

/// Letters that say what a token is for.
pub const ABOUT_MAX: usize = 60;

/// A token that may be used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptToken {
    /// The token.
    pub token: Token,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// The last day on which it was used.
    pub used_on: Option<FarmDay>,
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
            tokens: Vec::new(),
            tokens_made: 0,
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
    /// A token may do no more than its user.
    #[error("a token may do no more than its user, who is {}; expected that role or a lesser one", .0.word())]
    TooMuch(Power),
    /// A token sees no more wards than its user.
    #[error("a token sees no more than its user, who sees {}; but found {found:?}", seen.join(", "))]
    NotSeen {
        /// As said.
        found: String,
        /// Those that the user sees.
        seen: Vec<String>,
    },
    /// Too many tokens.
    #[error("there are {0} tokens already, which is as many as there may be: take one back first")]
    ManyTokens(usize),
    /// A token that does not say what it is for.
    #[error(
        "say in at most {ABOUT_MAX} letters what the token is for, such as: supply sheet in the office"
    )]
    About,
    /// No such token.
    #[error("there is no token {0} of this user; `token list` tells them")]
    NoToken(TokenNo),
}

impl User {
    /// What the event makes of the user.
    pub fn apply(&mut self, recorded: &Recorded, event: &UserEvent) {
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
            UserEvent::TokenMade(token) => {
                self.tokens_made = self.tokens_made.max(token.no.0);
                self.tokens.push(KeptToken {
                    token: token.clone(),
                    made_at: recorded.at,
                    used_on: None,
                });
            }
            UserEvent::TokenRevoked(no) => self.tokens.retain(|kept| kept.token.no != *no),
            UserEvent::TokenUsed(no, day) => {
                let kept = self.tokens.iter_mut().find(|kept| kept.token.no == *no);
                if let Some(kept) = kept {
                    kept.used_on = Some(*day);
                }
            }
            UserEvent::Did(_) => {}
        }
    }

    /// The user as a program with this token: with no more power than either has, and the wards that both see.
    #[must_use]
    pub fn with_token(&self, token: &Token) -> Self {
        let wards = if token.wards.is_empty() {
            self.wards.clone()
        } else {
            let both = token.wards.iter().filter(|ward| self.sees(Some(ward)));
            both.cloned().collect()
        };
        Self {
            // A user who lost every ward of the token is as one who may not come in.
            open: self.open && (token.wards.is_empty() || !wards.is_empty()),
            power: self.power.min(token.power),
            wards,
            ..self.clone()
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
            UserEvent::TokenMade(token) => {
                new_token(rules, standing, token).map(UserEvent::TokenMade)
            }
            UserEvent::TokenRevoked(no) => {
                let known = standing.tokens.iter().any(|kept| kept.token.no == no);
                known
                    .then_some(UserEvent::TokenRevoked(no))
                    .ok_or(UserError::NoToken(no))
            }
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

/// A token with the next number, where its user may do and see as much.
fn new_token(rules: &Rules, standing: &User, token: Token) -> Result<Token, UserError> {
    if token.power > standing.power {
        return Err(UserError::TooMuch(standing.power));
    }
    let about = token.about.trim().to_owned();
    if about.is_empty() || about.chars().count() > ABOUT_MAX || about.chars().any(char::is_control)
    {
        return Err(UserError::About);
    }
    if standing.tokens.len() >= TOKENS_MAX {
        return Err(UserError::ManyTokens(TOKENS_MAX));
    }
    let wards = token.wards.into_iter().map(|ward| {
        let ward = known_ward(rules, ward)?;
        if standing.sees(Some(&ward)) {
            Ok(ward)
        } else {
            let seen = standing.wards.clone();
            Err(UserError::NotSeen { found: ward, seen })
        }
    });
    Ok(Token {
        no: TokenNo(standing.tokens_made + 1),
        about,
        wards: wards.collect::<Result<_, _>>()?,
        ..token
    })
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
