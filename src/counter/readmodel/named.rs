//! Who is called what and lives where: in the commit that says so, so that every list finds a member at once.
//!
//! What a farm is to give takes sums and follows behind. This room decides nothing.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::counter::readmodel::rows::{FarmRow, farm_key};
use crate::counter::readmodel::{put, row};
use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::Shelf;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// Members of one commit whose rows go with it: a form names one, a text a few. A ward's new name moves thousands; their rows follow in turns.
const AT_ONCE: usize = 16;
/// Rows of one turn after a ward got another name: some 30 ms of the writer.
const TURN: usize = 100;

/// Brings names and wards of these members' rows up to what the draft says; many of them are left for later.
pub(crate) fn keep_up(
    draft: &mut Draft<'_>,
    model: &BTreeMap<String, f64>,
    coop: CoopId,
    members: &[MemberNo],
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    if members.len() > AT_ONCE {
        return Ok(());
    }
    members
        .iter()
        .try_for_each(|no| keep_up_one(draft, model, coop, *no, now))
}

fn keep_up_one(
    draft: &mut Draft<'_>,
    model: &BTreeMap<String, f64>,
    coop: CoopId,
    no: MemberNo,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let stream = draft.load(coop, &StreamId::Member(no))?;
    let member = people::member(&stream)?;
    let old: Option<FarmRow> = draft.get(Shelf::FarmRows, &farm_key(coop, no))?;
    let ward = member.ward.as_deref().unwrap_or_default();
    let new = match &old {
        Some(old) if member.joined && old.name == member.name && old.ward == ward => return Ok(()),
        None if !member.joined => return Ok(()),
        Some(old) => member.joined.then(|| FarmRow {
            name: member.name.clone(),
            ward: ward.to_owned(),
            prospect: old.prospect.clone(),
        }),
        None => row(draft, model, coop, no, now)?,
    };
    put(draft, coop, no, old.as_ref(), new.as_ref())
}

impl Counter {
    /// Brings names and wards of these members' rows up to the record, a few at a time: after a ward got another name.
    ///
    /// # Errors
    /// When the store fails.
    pub fn keep_up(&self, coop: CoopId, members: &[MemberNo]) -> Result<(), CounterError> {
        for some in members.chunks(TURN) {
            let (some, model) = (some.to_vec(), self.0.settings.model.clone());
            self.amend(move |draft, now| {
                some.iter()
                    .try_for_each(|no| keep_up_one(draft, &model, coop, *no, now))
            })?;
        }
        Ok(())
    }
}
