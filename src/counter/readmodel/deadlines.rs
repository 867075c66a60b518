//! What officers have to do on a farm by which day: rows that rest, visits to follow up, permits about to lapse, in order of ward and day.
//!
//! These rows follow from the farms' dossiers: they change in the commit that changes a dossier, and are made again when a farm's row is. This room
//! decides nothing.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::counter::readmodel::rows::{FarmRow, farm_key, ward_start};
use crate::desk::dossier::Dossier;
use crate::domain::MemberNo;
use crate::domain::dossier::{Mark, Permit};
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::{StoreError, codec};
use crate::units::day::FarmDay;
use chrono::Datelike;
use serde::{Deserialize, Serialize};

/// Rows of one kind read for one page.
const READ_MAX: usize = 2_000;

/// One thing with a day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Deadline {
    /// A row on the morning's page that rests until then.
    Rests(Mark),
    /// What is to be followed up by then.
    FollowUp(String),
    /// A permit that holds until then.
    Permit(Permit),
}

impl Deadline {
    const RESTS: u8 = 0;
    const FOLLOW_UP: u8 = 1;
    const PERMIT: u8 = 2;

    const fn kind(&self) -> u8 {
        match self {
            Self::Rests(_) => Self::RESTS,
            Self::FollowUp(_) => Self::FOLLOW_UP,
            Self::Permit(_) => Self::PERMIT,
        }
    }
}

/// A deadline with its day and farm.
#[derive(Clone, Debug, PartialEq)]
pub struct DeadlineRow {
    /// By when.
    pub day: FarmDay,
    /// Whose farm.
    pub farm: MemberNo,
    /// What.
    pub what: Deadline,
}

fn day_bytes(day: FarmDay) -> [u8; 4] {
    u32::try_from(day.num_days_from_ce())
        .unwrap_or(0)
        .to_be_bytes()
}

fn kind_start(coop: CoopId, ward: &str, kind: u8) -> Vec<u8> {
    let mut key = ward_start(coop, ward);
    key.push(kind);
    key
}

/// A dossier's rows: key and value.
fn rows(coop: CoopId, ward: &str, farm: MemberNo, dossier: &Dossier) -> Vec<(Vec<u8>, Deadline)> {
    let mark = dossier.mark.iter();
    let mark = mark.map(|mark| (mark.until, Deadline::Rests(mark.clone())));
    let follow_up = dossier.follow_up.iter();
    let follow_up = follow_up.map(|next| (next.by, Deadline::FollowUp(next.what.clone())));
    let permits = dossier.permits.iter();
    let permits = permits.map(|permit| (permit.valid_until, Deadline::Permit(permit.clone())));
    let all = mark.chain(follow_up).chain(permits).enumerate();
    all.map(|(at, (day, what))| {
        let mut key = kind_start(coop, ward, what.kind());
        key.extend(day_bytes(day));
        key.extend(farm.0.to_be_bytes());
        key.push(u8::try_from(at).unwrap_or(u8::MAX));
        (key, what)
    })
    .collect()
}

/// Takes a dossier's rows out of a ward.
fn remove(draft: &mut Draft<'_>, coop: CoopId, ward: &str, farm: MemberNo, dossier: &Dossier) {
    for (key, _) in rows(coop, ward, farm, dossier) {
        draft.remove(Shelf::Deadlines, key);
    }
}

/// Puts a dossier's rows in the place of those that it had; its farm's row may still stand in a ward of before.
pub(crate) fn replace(
    draft: &mut Draft<'_>,
    coop: CoopId,
    farm: MemberNo,
    old: &Dossier,
    new: &Dossier,
) -> Result<(), StoreError> {
    let stream = draft.load(coop, &StreamId::Member(farm))?;
    let ward = people::member(&stream)?.ward.clone().unwrap_or_default();
    let row: Option<FarmRow> = draft.get(Shelf::FarmRows, &farm_key(coop, farm))?;
    for place in row.iter().map(|row| &row.ward).chain([&ward]) {
        remove(draft, coop, place, farm, old);
    }
    for (key, what) in rows(coop, &ward, farm, new) {
        draft.put(Shelf::Deadlines, key, &what)?;
    }
    Ok(())
}

/// Makes a farm's rows again, in its ward of now; called when its row is made, which stood in `before`.
pub(crate) fn remake(
    draft: &mut Draft<'_>,
    coop: CoopId,
    farm: MemberNo,
    before: Option<&str>,
    ward: Option<&str>,
) -> Result<(), StoreError> {
    let stream = draft.load(coop, &StreamId::Dossier(farm))?;
    if stream.version == 0 {
        return Ok(());
    }
    let dossier = people::dossier(&stream)?;
    if let Some(before) = before {
        remove(draft, coop, before, farm, dossier);
    }
    if let Some(ward) = ward {
        for (key, what) in rows(coop, ward, farm, dossier) {
            draft.put(Shelf::Deadlines, key, &what)?;
        }
    }
    Ok(())
}

impl Counter {
    /// Rows of these wards that rest until a day after `today`.
    ///
    /// # Errors
    /// When the store fails.
    pub fn resting(
        &self,
        coop: CoopId,
        wards: &[String],
        today: FarmDay,
    ) -> Result<Vec<DeadlineRow>, CounterError> {
        let from = today.succ_opt().unwrap_or(today);
        self.deadlines(coop, wards, Deadline::RESTS, Some(from), None)
    }

    /// What is to be followed up in these wards by `until` or was before.
    ///
    /// # Errors
    /// When the store fails.
    pub fn to_follow_up(
        &self,
        coop: CoopId,
        wards: &[String],
        until: FarmDay,
    ) -> Result<Vec<DeadlineRow>, CounterError> {
        self.deadlines(coop, wards, Deadline::FOLLOW_UP, None, Some(until))
    }

    /// Permits of farms of these wards that hold no longer than `until`.
    ///
    /// # Errors
    /// When the store fails.
    pub fn lapsing(
        &self,
        coop: CoopId,
        wards: &[String],
        until: FarmDay,
    ) -> Result<Vec<DeadlineRow>, CounterError> {
        self.deadlines(coop, wards, Deadline::PERMIT, None, Some(until))
    }

    fn deadlines(
        &self,
        coop: CoopId,
        wards: &[String],
        kind: u8,
        from: Option<FarmDay>,
        until: Option<FarmDay>,
    ) -> Result<Vec<DeadlineRow>, CounterError> {
        let mut found = Vec::new();
        for ward in wards {
            let whole = kind_start(coop, ward, kind);
            let mut start = whole.clone();
            start.extend(from.into_iter().flat_map(day_bytes));
            let mut end = keys::after(&whole);
            if let Some(after) = until.and_then(|day| day.succ_opt()) {
                let mut key = whole.clone();
                key.extend(day_bytes(after));
                end = Some(key);
            }
            let range = self.0.store.range(Shelf::Deadlines, &start, end.as_deref());
            for entry in range.take(READ_MAX) {
                let (key, bytes) = entry?;
                let what =
                    codec::unseal(Shelf::Deadlines, &key, &bytes).map_err(StoreError::from)?;
                if let Some((day, farm)) = read_key(&key) {
                    found.push(DeadlineRow { day, farm, what });
                }
            }
        }
        found.sort_by_key(|row| (row.day, row.farm));
        Ok(found)
    }
}

/// Day and farm of a key: the nine bytes before its last.
fn read_key(key: &[u8]) -> Option<(FarmDay, MemberNo)> {
    let (rest, _) = key.split_last_chunk::<1>()?;
    let (rest, farm) = rest.split_last_chunk::<4>()?;
    let (_, day) = rest.split_last_chunk::<4>()?;
    let day = i32::try_from(u32::from_be_bytes(*day)).ok()?;
    Some((
        FarmDay::from_num_days_from_ce_opt(day)?,
        MemberNo(u32::from_be_bytes(*farm)),
    ))
}
