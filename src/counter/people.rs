//! Streams as what they are: rules, a member, a phone, a farm.
//!
//! The store keeps each under its own kind of key; this room says so where it finds another.

use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::phone::Phone;
use crate::desk::streams::StreamState;
use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::domain::rules::Rules;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::Shelf;
use crate::store::records::Stream;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

fn misplaced() -> StoreError {
    StoreError::Key(Shelf::States.name())
}

/// A cooperative's rules over the gateway's parameters of the sums.
pub(crate) fn rules_with<'r>(rules: &'r Rules, model: &BTreeMap<String, f64>) -> Cow<'r, Rules> {
    if model.keys().all(|name| rules.model.contains_key(name)) {
        return Cow::Borrowed(rules);
    }
    let mut rules = rules.clone();
    for (name, value) in model {
        rules.model.entry(name.clone()).or_insert(*value);
    }
    Cow::Owned(rules)
}

/// The rules of that stream.
pub(crate) fn rules(stream: &Stream) -> Result<&Rules, StoreError> {
    match &stream.state {
        StreamState::Rules(rules) => Ok(rules),
        StreamState::Member(_) | StreamState::Phone(_) | StreamState::Farm(_) => Err(misplaced()),
    }
}

/// The member of that stream.
pub(crate) fn member(stream: &Stream) -> Result<&Member, StoreError> {
    match &stream.state {
        StreamState::Member(member) => Ok(member),
        StreamState::Rules(_) | StreamState::Phone(_) | StreamState::Farm(_) => Err(misplaced()),
    }
}

/// The phone of that stream.
pub(crate) fn phone(stream: &Stream) -> Result<&Phone, StoreError> {
    match &stream.state {
        StreamState::Phone(phone) => Ok(phone),
        StreamState::Rules(_) | StreamState::Member(_) | StreamState::Farm(_) => Err(misplaced()),
    }
}

/// The farm of that stream.
pub(crate) fn farm(stream: &Stream) -> Result<&Farm, StoreError> {
    match &stream.state {
        StreamState::Farm(farm) => Ok(farm),
        StreamState::Rules(_) | StreamState::Member(_) | StreamState::Phone(_) => Err(misplaced()),
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
