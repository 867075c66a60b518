//! Rows that pages read instead of scanning farms: one a farm, sums a ward and day, an order by what is at stake.
//!
//! A commit leaves only a mark on the farms that it changed; following up makes their rows anew and moves the sums by the difference. What is
//! marked and not yet followed is behind, never wrong for good: the mark is in the same commit as the change. Every night all farms are marked,
//! for what is expected moves with the day; those marks come after the ones of commits. Names and wards are never behind. This room does not know
//! how a page looks.

pub mod deadlines;
pub mod looks;
pub(crate) mod named;
pub mod rows;

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::counter::readmodel::rows::{
    FarmRow, WardDay, day_mark_key, farm_key, mark_key, name_key, rank_key, thread_key, unread_key,
    ward_key, ward_name_key, ward_number_key,
};
use crate::desk::prospect::{self, BACK, Prospect};
use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::{CoopId, MessageNo, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::{Store, StoreError};
use crate::units::day::{FarmDay, farm_day};
use chrono::{DateTime, Duration, Utc};
use chrono_tz::Tz;
use std::collections::BTreeMap;

/// Farms followed up in one commit: some 50 ms of sums, and the writer is held for the writing only.
const TURN: usize = 32;
/// Farms marked in one commit at night.
const MARKED_AT_ONCE: usize = 2_000;

/// Marks a farm: its row is behind from this commit on.
pub(crate) fn mark(draft: &mut Draft<'_>, coop: CoopId, farm: MemberNo) -> Result<(), StoreError> {
    let step = draft.next_message().0;
    draft.put(Shelf::Stale, farm_key(coop, farm), &step)
}

/// Keeps a message with the threads of its sender and of the farms it changed, and one that nobody could read for a person to look at.
pub(crate) fn heard(
    draft: &mut Draft<'_>,
    coop: CoopId,
    no: MessageNo,
    outcome: Outcome,
    by: Option<MemberNo>,
    touched: &[MemberNo],
) -> Result<(), StoreError> {
    for member in by
        .iter()
        .chain(touched.iter().filter(|farm| Some(**farm) != by))
    {
        draft.put(Shelf::Threads, thread_key(coop, *member, no), &())?;
    }
    if outcome != Outcome::Unreadable {
        return Ok(());
    }
    let ward = match by {
        Some(by) => {
            let stream = draft.load(coop, &StreamId::Member(by))?;
            people::member(&stream)?.ward.clone()
        }
        None => None,
    };
    draft.put(Shelf::Unread, unread_key(coop, no), &ward)
}

/// Whether nobody could read the last message that this phone sent for the members whom it serves.
///
/// The last message of each member's thread is looked at, so that what somebody else told of their farm in between ends the row.
pub(crate) fn unread_before(
    draft: &Draft<'_>,
    coop: CoopId,
    from: &PhoneNumber,
    serves: &[MemberNo],
) -> Result<bool, StoreError> {
    let mut last = None;
    for member in serves {
        let key = draft.last_key(Shelf::Threads, &farm_key(coop, *member))?;
        let no = key.and_then(|key| key.last_chunk::<8>().copied());
        last = last.max(no.map(u64::from_be_bytes));
    }
    let Some(no) = last else {
        return Ok(false);
    };
    let message = draft.message(coop, MessageNo(no))?;
    Ok(message.is_some_and(|m| m.outcome == Outcome::Unreadable && m.from == *from))
}

/// All farms are to be marked again: what is expected of them has changed by a rule, not by their own record.
pub(crate) fn forget_the_day(draft: &mut Draft<'_>, coop: CoopId) {
    draft.remove(Shelf::Stale, mark_key(coop));
}

/// Messages that nobody could read go with the ward that gets another name.
pub(crate) fn rename_unread(
    draft: &mut Draft<'_>,
    coop: CoopId,
    old: &str,
    new: &str,
) -> Result<(), StoreError> {
    let start = coop.0.to_be_bytes();
    let mut found = Vec::new();
    draft.scan(
        Shelf::Unread,
        &start,
        keys::after(&start).as_deref(),
        |key, bytes| {
            let ward: Option<String> = crate::store::codec::unseal(Shelf::Unread, key, bytes)?;
            if ward.as_deref() == Some(old) {
                found.push(key.to_vec());
            }
            Ok(true)
        },
    )?;
    let ward = Some(new.to_owned());
    found
        .into_iter()
        .try_for_each(|key| draft.put(Shelf::Unread, key, &ward))
}

impl Counter {
    /// Brings at most `most` farms' rows up to the record, those of `coop`. How many were behind.
    ///
    /// # Errors
    /// When the store fails.
    pub fn follow(&self, coop: CoopId, most: usize) -> Result<usize, CounterError> {
        let mut done = 0;
        while done < most {
            let stale = stale(&self.0.store, coop, TURN.min(most - done))?;
            if stale.is_empty() {
                break;
            }
            let now = self.0.clock.now();
            let mut made = Vec::with_capacity(stale.len());
            for mark in stale {
                let mut draft = self.0.store.draft();
                let row = row(&mut draft, &self.0.settings.model, coop, mark.farm, now)?;
                made.push((mark, row));
            }
            done += made.len();
            self.amend(move |draft, _| {
                made.into_iter()
                    .try_for_each(|(mark, row)| apply(draft, coop, &mark, row))
            })?;
        }
        Ok(done)
    }

    /// Brings one farm's row up to the record, where it is behind.
    ///
    /// # Errors
    /// When the store fails.
    pub fn follow_farm(&self, coop: CoopId, farm: MemberNo) -> Result<(), CounterError> {
        for key in [farm_key(coop, farm), day_mark_key(coop, farm)] {
            let step: Option<u64> = self.0.store.get(Shelf::Stale, &key)?;
            let Some(step) = step else { continue };
            let mut draft = self.0.store.draft();
            let now = self.0.clock.now();
            let made = row(&mut draft, &self.0.settings.model, coop, farm, now)?;
            let mark = Mark { key, farm, step };
            self.amend(move |draft, _| apply(draft, coop, &mark, made))?;
        }
        Ok(())
    }

    /// Marks all farms of a cooperative whose rows were last made on an earlier day; a folder that came from an export has none. Whether it did.
    ///
    /// # Errors
    /// When the store fails.
    pub fn mark_for_the_day(&self, coop: CoopId) -> Result<bool, CounterError> {
        let today = self.day_of(coop)?;
        let known: Option<FarmDay> = self.0.store.get(Shelf::Stale, &mark_key(coop))?;
        if known == Some(today) {
            return Ok(false);
        }
        let farms = self.0.store.farms(coop)?;
        for some in farms.chunks(MARKED_AT_ONCE) {
            let some = some.to_vec();
            self.amend(move |draft, _| {
                let step = draft.next_message().0;
                some.iter()
                    .try_for_each(|farm| draft.put(Shelf::Stale, day_mark_key(coop, *farm), &step))
            })?;
        }
        self.amend(move |draft, _| draft.put(Shelf::Stale, mark_key(coop), &today))?;
        Ok(true)
    }

    /// The cooperative's farm day now.
    pub(crate) fn day_of(&self, coop: CoopId) -> Result<FarmDay, CounterError> {
        let rules = self.rules(coop)?;
        let zone: Tz = rules.zone.parse().unwrap_or(Tz::UTC);
        Ok(farm_day(self.0.clock.now(), zone))
    }

    /// A message is not to be looked at any more.
    ///
    /// # Errors
    /// When the store fails.
    pub fn lay_aside(&self, coop: CoopId, no: MessageNo) -> Result<(), CounterError> {
        self.amend(move |draft, _| {
            draft.remove(Shelf::Unread, unread_key(coop, no));
            Ok(())
        })
    }
}

/// A farm whose row is behind, as of which step, and where it says so.
struct Mark {
    key: Vec<u8>,
    farm: MemberNo,
    step: u64,
}

/// The first marks: those of commits before those of the day.
fn stale(store: &Store, coop: CoopId, most: usize) -> Result<Vec<Mark>, StoreError> {
    let start = coop.0.to_be_bytes();
    let mut found = Vec::new();
    for entry in store.range(Shelf::Stale, &start, keys::after(&start).as_deref()) {
        let (key, bytes) = entry?;
        let Some(farm) = rows::marked(&key) else {
            continue;
        };
        let step = crate::store::codec::unseal(Shelf::Stale, &key, &bytes)?;
        let key = key.to_vec();
        found.push(Mark { key, farm, step });
        if found.len() >= most {
            break;
        }
    }
    Ok(found)
}

/// A farm's row as the draft has it; none for who is no member.
fn row(
    draft: &mut Draft<'_>,
    model: &BTreeMap<String, f64>,
    coop: CoopId,
    farm: MemberNo,
    now: DateTime<Utc>,
) -> Result<Option<FarmRow>, StoreError> {
    let stream = draft.load(coop, &StreamId::Member(farm))?;
    let member = people::member(&stream)?;
    if !member.joined {
        return Ok(None);
    }
    let rules = people::rules_in(draft, coop, member.ward.as_deref(), model)?;
    let stream = draft.load(coop, &StreamId::Farm(farm))?;
    let state = people::farm(&stream)?;
    let zone = state.zone.as_ref().unwrap_or(&rules.zone);
    let today = farm_day(now, zone.parse().unwrap_or(Tz::UTC));
    Ok(Some(FarmRow {
        name: member.name.clone(),
        ward: member.ward.clone().unwrap_or_default(),
        prospect: prospect::of(&rules, state, today),
    }))
}

/// Puts a row that was made while others could commit in its place.
fn apply(
    draft: &mut Draft<'_>,
    coop: CoopId,
    mark: &Mark,
    new: Option<FarmRow>,
) -> Result<(), StoreError> {
    let old: Option<FarmRow> = draft.get(Shelf::FarmRows, &farm_key(coop, mark.farm))?;
    put(draft, coop, mark.farm, old.as_ref(), new.as_ref())?;
    // Marked again since: the row is behind already, and the mark stays.
    if draft.get::<u64>(Shelf::Stale, &mark.key)? == Some(mark.step) {
        draft.remove(Shelf::Stale, mark.key.clone());
    }
    Ok(())
}

/// Puts a farm's row in the place of the one before: sums move by the difference.
fn put(
    draft: &mut Draft<'_>,
    coop: CoopId,
    farm: MemberNo,
    old: Option<&FarmRow>,
    new: Option<&FarmRow>,
) -> Result<(), StoreError> {
    let key = farm_key(coop, farm);
    let kept_until = new.map(|row| row.prospect.day);
    if let Some(old) = old {
        draft.remove(
            Shelf::Ranks,
            rank_key(coop, &old.ward, old.prospect.at_stake(), farm),
        );
        draft.remove(Shelf::Names, name_key(coop, &old.name, farm));
        draft.remove(Shelf::ByWard, ward_number_key(coop, &old.ward, farm));
        draft.remove(
            Shelf::ByWard,
            ward_name_key(coop, &old.ward, &old.name, farm),
        );
        let same_ward = new.is_some_and(|row| row.ward == old.ward);
        // Days that the new row does not tell of any more stay in the ward's sums as they were; of who is erased, every day that has been.
        let since = match new {
            Some(_) => kept_until.filter(|_| same_ward).map(|day| window(day).0),
            None => Some(old.prospect.day + Duration::days(1)),
        };
        add(draft, coop, old, since, true)?;
    }
    match new {
        Some(row) => {
            if row.prospect.needs_somebody() || row.prospect.questions > 0 {
                draft.put(
                    Shelf::Ranks,
                    rank_key(coop, &row.ward, row.prospect.at_stake(), farm),
                    &(),
                )?;
            }
            draft.put(Shelf::Names, name_key(coop, &row.name, farm), &row.ward)?;
            draft.put(Shelf::ByWard, ward_number_key(coop, &row.ward, farm), &())?;
            draft.put(
                Shelf::ByWard,
                ward_name_key(coop, &row.ward, &row.name, farm),
                &(),
            )?;
            add(draft, coop, row, None, false)?;
            draft.put(Shelf::FarmRows, key, row)?;
        }
        None => draft.remove(Shelf::FarmRows, key),
    }
    let before = old.map(|row| row.ward.as_str());
    let ward = new.map(|row| row.ward.as_str());
    deadlines::remake(draft, coop, farm, before, ward)
}

/// The first day and the day of a row.
fn window(day: FarmDay) -> (FarmDay, FarmDay) {
    let back = i64::try_from(BACK).unwrap_or(0);
    (day - Duration::days(back - 1), day)
}

/// Adds a row to its ward's days, or takes it out of those from `since` on.
fn add(
    draft: &mut Draft<'_>,
    coop: CoopId,
    row: &FarmRow,
    since: Option<FarmDay>,
    out: bool,
) -> Result<(), StoreError> {
    let Prospect {
        day,
        taken,
        ahead,
        looked_back,
        came,
        fortnight,
        cages,
        ..
    } = &row.prospect;
    let mut days: BTreeMap<FarmDay, WardDay> = BTreeMap::new();
    for (on, cg) in window(*day).0.iter_days().zip(taken) {
        days.entry(on).or_default().taken += u64::from(*cg);
    }
    for (on, share) in day.iter_days().skip(1).zip(ahead) {
        days.entry(on).or_default().expected.add(*share);
    }
    let fortnight_ago = *day - Duration::days(i64::try_from(looked_back.len()).unwrap_or(0));
    for ((on, share), cg) in fortnight_ago.iter_days().skip(1).zip(looked_back).zip(came) {
        let entry = days.entry(on).or_default();
        entry.was_expected.add(*share);
        entry.came += u64::from(*cg);
    }
    let write = |draft: &mut Draft<'_>, key: Vec<u8>, change: &WardDay| -> Result<(), StoreError> {
        let mut sum: WardDay = draft.get(Shelf::WardDays, &key)?.unwrap_or_default();
        sum.change(change, out);
        draft.put(Shelf::WardDays, key, &sum)
    };
    for (on, change) in days
        .iter()
        .filter(|(on, change)| !change.is_empty() && since.is_none_or(|since| **on >= since))
    {
        write(draft, ward_key(coop, &row.ward, Some(*on)), change)?;
    }
    let whole = WardDay {
        expected: *fortnight,
        farms: 1,
        cages: u64::from(*cages),
        ..WardDay::default()
    };
    write(draft, ward_key(coop, &row.ward, None), &whole)
}
