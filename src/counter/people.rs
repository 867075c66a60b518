//! Streams as what they are: rules, a member, a phone, a farm.
//!
//! The store keeps each under its own kind of key; this room says so where it finds another.

use crate::desk::affairs::Affairs;
use crate::desk::broadcast::Broadcast;
use crate::desk::dossier::Dossier;
use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::phone::Phone;
use crate::desk::streams::StreamState;
use crate::desk::user::User;
use crate::desk::ward::{Ward, hold};
use crate::desk::words::Words;
use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::domain::rules::Rules;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::Shelf;
use crate::store::records::Stream;
use std::collections::BTreeMap;
use std::sync::Arc;

fn misplaced() -> StoreError {
    StoreError::Key(Shelf::States.name())
}

/// A cooperative's rules as they hold for members of a ward: over the gateway's parameters of the sums, with the ward's air and what its runs teach.
pub(crate) fn rules_in(
    draft: &mut Draft<'_>,
    coop: CoopId,
    home: Option<&str>,
    model: &BTreeMap<String, f64>,
) -> Result<Rules, StoreError> {
    let standing = rules(&*draft.load(coop, &StreamId::Rules)?)?.clone();
    rules_over(draft, coop, standing, home, model, None)
}

/// [`rules_in`] over given rules, with another state of one ward where somebody thinks of one.
pub(crate) fn rules_over(
    draft: &mut Draft<'_>,
    coop: CoopId,
    mut standing: Rules,
    home: Option<&str>,
    model: &BTreeMap<String, f64>,
    other: Option<(&str, Ward)>,
) -> Result<Rules, StoreError> {
    for (name, value) in model {
        standing.model.entry(name.clone()).or_insert(*value);
    }
    let whole = draft.load(coop, &StreamId::Ward(String::new()))?;
    let home = home.filter(|name| !name.is_empty());
    let name = home;
    let home = home.map(|name| draft.load(coop, &StreamId::Ward(name.to_owned())));
    let home = home.transpose()?;
    let home = home.as_deref().map(ward).transpose()?;
    let instead = |of: &str| {
        let other = other.as_ref();
        other.filter(|(name, _)| *name == of).map(|(_, ward)| ward)
    };
    let whole = instead("").map_or_else(|| ward(&whole), Ok)?;
    let home = name.and_then(instead).or(home);
    hold(&mut standing, whole, home);
    Ok(standing)
}

/// The rules of that stream.
pub(crate) fn rules(stream: &Stream) -> Result<&Rules, StoreError> {
    match &stream.state {
        StreamState::Rules(rules) => Ok(rules),
        _ => Err(misplaced()),
    }
}

/// The member of that stream.
pub(crate) fn member(stream: &Stream) -> Result<&Member, StoreError> {
    match &stream.state {
        StreamState::Member(member) => Ok(member),
        _ => Err(misplaced()),
    }
}

/// The phone of that stream.
pub(crate) fn phone(stream: &Stream) -> Result<&Phone, StoreError> {
    match &stream.state {
        StreamState::Phone(phone) => Ok(phone),
        _ => Err(misplaced()),
    }
}

/// The ward of that stream.
pub(crate) fn ward(stream: &Stream) -> Result<&Ward, StoreError> {
    match &stream.state {
        StreamState::Ward(ward) => Ok(ward),
        _ => Err(misplaced()),
    }
}

/// The user of that stream.
pub(crate) fn user(stream: &Stream) -> Result<&User, StoreError> {
    match &stream.state {
        StreamState::User(user) => Ok(user),
        _ => Err(misplaced()),
    }
}

/// The dossier of that stream.
pub(crate) fn dossier(stream: &Stream) -> Result<&Dossier, StoreError> {
    match &stream.state {
        StreamState::Dossier(dossier) => Ok(dossier),
        _ => Err(misplaced()),
    }
}

/// The affairs of that stream.
pub(crate) fn affairs(stream: &Stream) -> Result<&Affairs, StoreError> {
    match &stream.state {
        StreamState::Affairs(affairs) => Ok(affairs),
        _ => Err(misplaced()),
    }
}

/// The text to many of that stream.
pub(crate) fn broadcast(stream: &Stream) -> Result<&Broadcast, StoreError> {
    match &stream.state {
        StreamState::Broadcast(broadcast) => Ok(broadcast),
        _ => Err(misplaced()),
    }
}

/// The words of that stream.
pub(crate) fn words(stream: &Stream) -> Result<&Words, StoreError> {
    match &stream.state {
        StreamState::Words(words) => Ok(words),
        _ => Err(misplaced()),
    }
}

/// The farm of that stream.
pub(crate) fn farm(stream: &Stream) -> Result<&Farm, StoreError> {
    match &stream.state {
        StreamState::Farm(farm) => Ok(farm),
        _ => Err(misplaced()),
    }
}

/// A member's two streams.
#[derive(Clone, Debug)]
pub(crate) struct Household {
    pub(crate) member: Arc<Stream>,
    pub(crate) farm: Arc<Stream>,
}

impl Household {
    pub(crate) fn load(
        draft: &mut Draft<'_>,
        coop: CoopId,
        no: MemberNo,
    ) -> Result<Self, StoreError> {
        Ok(Self {
            member: draft.load(coop, &StreamId::Member(no))?,
            farm: draft.load(coop, &StreamId::Farm(no))?,
        })
    }
}
