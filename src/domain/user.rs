//! People who sign in to the cooperative's room in the browser: their names, what they may do, what they did.
//!
//! A user is no member: a manager may keep no cage. This room does not know how anybody signs in.

use crate::domain::MemberNo;
use crate::domain::lang::Lang;
use crate::domain::message::MessageNo;
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Letters of a user's name at the most: what fits a table's column.
pub const LOGIN_MAX: usize = 32;

/// The name by which a user signs in: 2 to 32 small letters, digits, `.`, `-` or `_`, a letter first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Login(String);

impl Login {
    /// A name as typed, in small letters; none where it is not one.
    #[must_use]
    pub fn new(typed: &str) -> Option<Self> {
        let name = typed.trim().to_ascii_lowercase();
        let fits = (2..=LOGIN_MAX).contains(&name.len())
            && name.starts_with(|c: char| c.is_ascii_lowercase())
            && name
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b".-_".contains(&b));
        fits.then_some(Self(name))
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Login {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a user may do. Order is rank: each may do what the ones before may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Power {
    /// Reads.
    Viewer,
    /// Enters, answers and corrects for members.
    Officer,
    /// Settings, users, money.
    Manager,
}

impl Power {
    /// Every one, by rank.
    pub const ALL: [Self; 3] = [Self::Viewer, Self::Officer, Self::Manager];

    /// As commands and pages write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Viewer => "viewer",
            Self::Officer => "officer",
            Self::Manager => "manager",
        }
    }

    /// The one of that word.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|power| power.word() == word)
    }
}

/// What kind of thing a user did.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum DeedKind {
    /// Signed in.
    SignedIn,
    /// Entered a line for a member.
    Entered,
    /// Said what an unreadable message meant.
    Interpreted,
    /// Laid an unreadable message aside: nothing was meant that can be recorded.
    LaidAside,
    /// Taught a word, or let one go.
    Taught,
    /// Changed a user.
    UserChanged,
    /// Changed a member.
    MemberChanged,
    /// Brought members in from a file.
    Imported,
    /// Made labels, cards or sheets.
    Printed,
    /// Took records out.
    Exported,
    /// Sent a text to many, or stopped one.
    Broadcast,
    /// Changed rules or settings.
    SettingsChanged,
    /// Noted a visit or a call.
    Visited,
    /// Made a token for a program, or took one back.
    TokenChanged,
}

/// One thing that a user did: the audit trail's line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Deed {
    /// Its kind.
    pub kind: DeedKind,
    /// The member concerned.
    pub member: Option<MemberNo>,
    /// The message concerned: the one read, or the one that the entry made.
    pub message: Option<MessageNo>,
    /// What was there before; empty: nothing was.
    pub old: String,
    /// What is there now.
    pub new: String,
}

/// What happened to a user, or what the user did.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum UserEvent {
    /// May sign in from now on.
    Added(Power),
    /// A new password, as a PHC string (argon2id); never the password.
    PasswordSet(String),
    /// May do this.
    PowerSet(Power),
    /// Sees and works in these wards only; none: in all.
    WardsSet(Vec<String>),
    /// Enters for others as this member, who is an officer.
    MemberSet(Option<MemberNo>),
    /// Reads pages in this language.
    LangSet(Lang),
    /// The secret of the second factor (RFC 6238); none: no second factor.
    TotpSet(Option<Vec<u8>>),
    /// May not sign in any more.
    Closed,
    /// Did something.
    Did(Deed),
    /// A program may read in the user's name.
    TokenMade(Token),
    /// That program may read no more.
    TokenRevoked(TokenNo),
    /// A program read; noted once a day.
    TokenUsed(TokenNo, FarmDay),
}

/// A user's tokens by number, from 1 up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct TokenNo(pub u32);

impl fmt::Display for TokenNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What a program shows to read the records: never more than the user who made it may.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Token {
    /// Its number among the user's.
    pub no: TokenNo,
    /// What it is for, as the user wrote it.
    pub about: String,
    /// The SHA-256 of its secret, which has 256 random bits and so needs no slow hash.
    pub digest: [u8; 32],
    /// What the program may do at the most.
    pub power: Power,
    /// It sees these wards only; none: all that the user sees.
    pub wards: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_login_is_small_and_plain() {
        assert_eq!(Login::new(" Amina ").unwrap().as_str(), "amina");
        for wrong in ["", "a", "9lives", "a b", "a/b", "é2", &"a".repeat(33)] {
            assert_eq!(Login::new(wrong), None, "{wrong:?}");
        }
    }
}
