//! A ward gets another name: its members, its air and lessons, and the users who are held to it go with it.
//!
//! Pure. This room does not know how the members are found.

use crate::desk::member::{Member, clean_name};
use crate::desk::office::{Changes, OfficeError, is_founded};
use crate::desk::user::User;
use crate::desk::ward::Ward;
use crate::domain::event::{Event, MemberEvent, ModelBytes, RulesEvent, StreamId, WardEvent};
use crate::domain::rules::Rules;
use crate::domain::user::{Login, UserEvent};

/// Members of a ward that are renamed in one commit: some 200 ms of writing, while messages wait.
pub const RENAMED_MAX: usize = 5_000;

/// What a renaming touches, as it stands.
pub struct Renaming<'a> {
    /// The ward's name.
    pub old: &'a str,
    /// As typed.
    pub new: &'a str,
    /// The ward's own state.
    pub ward: &'a Ward,
    /// The state of a ward that had the new name once.
    pub there: &'a Ward,
    /// The members who live in it.
    pub members: &'a [Member],
    /// Everybody who signs in.
    pub users: &'a [(Login, User)],
}

/// Renames a ward.
///
/// # Errors
/// When there is no such ward, the new name is none or taken, or too many live there.
pub fn rename(rules: &Rules, what: &Renaming<'_>) -> Result<Changes, OfficeError> {
    if !is_founded(rules) {
        return Err(OfficeError::NotFounded);
    }
    let old = what.old.to_owned();
    if !rules.wards.contains(&old) {
        let known = rules.wards.clone();
        return Err(OfficeError::NoSuchWard { found: old, known });
    }
    let new = clean_name(what.new);
    if new.is_empty() {
        return Err(OfficeError::NameExpected);
    }
    let taken = |ward: &String| *ward != old && ward.to_lowercase() == new.to_lowercase();
    if rules.wards.iter().any(taken) {
        return Err(OfficeError::WardTaken(new));
    }
    if what.members.len() > RENAMED_MAX {
        return Err(OfficeError::WardTooLarge(what.members.len()));
    }
    if new == old {
        return Ok(Vec::new());
    }
    let renamed = RulesEvent::WardRenamed {
        old: old.clone(),
        new: new.clone(),
    };
    let mut changes = vec![(StreamId::Rules, Event::Rules(renamed))];
    changes.extend(state(what, &new));
    for member in what.members {
        let event = MemberEvent::WardSet(Some(new.clone()));
        changes.push((StreamId::Member(member.number), Event::Member(event)));
    }
    for (login, user) in what
        .users
        .iter()
        .filter(|(_, user)| user.wards.contains(&old))
    {
        let wards = user.wards.iter();
        let wards = wards.map(|ward| {
            if *ward == old {
                new.clone()
            } else {
                ward.clone()
            }
        });
        let event = UserEvent::WardsSet(wards.collect());
        changes.push((StreamId::User(login.clone()), Event::User(event)));
    }
    Ok(changes)
}

/// The ward's air and lessons under the new name, and nothing under the old one.
fn state(what: &Renaming<'_>, new: &str) -> Vec<(StreamId, Event)> {
    let (from, to) = (what.ward, what.there);
    let mut moved = Vec::new();
    let mut put = |name: &str, event| {
        moved.push((StreamId::Ward(name.to_owned()), Event::Ward(event)));
    };
    if from.climate != to.climate {
        put(new, WardEvent::ClimateSet(from.climate.clone()));
    }
    for reading in &from.air {
        put(new, WardEvent::Air(*reading));
    }
    if from.lessons != to.lessons {
        put(new, WardEvent::Recounted(from.lessons.clone()));
    }
    if !from.climate.is_empty() {
        put(what.old, WardEvent::ClimateSet(Vec::new()));
    }
    if from.lessons != ModelBytes::default() {
        put(what.old, WardEvent::Recounted(ModelBytes::default()));
    }
    moved
}
