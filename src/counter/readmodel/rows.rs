//! The rows that pages read, and where they lie.
//!
//! This room holds shapes and keys only.

use crate::desk::prospect::{Prospect, Share};
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, MessageNo};
use crate::store::keys;
use crate::units::day::FarmDay;
use chrono::Datelike;
use serde::{Deserialize, Serialize};

/// Bytes of a name that farms are ordered by.
const NAME_MAX: usize = 24;

/// A farm as lists show it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FarmRow {
    /// The member's name.
    pub name: String,
    /// The ward; empty where there is none.
    pub ward: String,
    /// What it gives and is to give.
    pub prospect: Prospect,
}

/// A ward's day, or with the day left out its coming fortnight. Hundredths of a gram.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WardDay {
    /// Eggs taken.
    pub taken: u64,
    /// Eggs expected.
    pub expected: Share,
    /// What was expected of this day a fortnight before, of the cages that stood then.
    pub was_expected: Share,
    /// What those cages gave.
    pub came: u64,
    /// Farms, of the fortnight's row.
    pub farms: u64,
    /// Cages, of the fortnight's row.
    pub cages: u64,
}

impl WardDay {
    /// Nothing in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Puts `other` in, or takes it `out`.
    pub fn change(&mut self, other: &Self, out: bool) {
        let number = |sum: &mut u64, part: u64| {
            *sum = if out {
                sum.saturating_sub(part)
            } else {
                sum.saturating_add(part)
            };
        };
        number(&mut self.taken, other.taken);
        number(&mut self.came, other.came);
        number(&mut self.farms, other.farms);
        number(&mut self.cages, other.cages);
        for (sum, part) in [
            (&mut self.expected, other.expected),
            (&mut self.was_expected, other.was_expected),
        ] {
            if out {
                sum.take(part);
            } else {
                sum.add(part);
            }
        }
    }
}

/// A farm's place.
pub(crate) fn farm_key(coop: CoopId, farm: MemberNo) -> Vec<u8> {
    keys::route(coop, farm)
}

/// Before the farms that are behind because a day began: after all numbers that a cooperative gives.
const OF_THE_DAY: u8 = u8::MAX;

/// The place of a mark because a day began.
pub(crate) fn day_mark_key(coop: CoopId, farm: MemberNo) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.push(OF_THE_DAY);
    key.extend(farm.0.to_be_bytes());
    key
}

/// The farm of a mark's place.
pub(crate) fn marked(key: &[u8]) -> Option<MemberNo> {
    let no = match key.get(2..)? {
        [OF_THE_DAY, no @ ..] if no.len() == 4 => no,
        no => no,
    };
    Some(MemberNo(u32::from_be_bytes(no.try_into().ok()?)))
}

/// The place of the day for which all farms were last marked. Another word once rows lie elsewhere, so that older folders make theirs anew.
pub(crate) fn mark_key(coop: CoopId) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(b"day by ward");
    key
}

/// How far an order that follows from the events was filled with those of before it was there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Filled {
    /// The key up to which, or from which on.
    pub(crate) past: Vec<u8>,
    /// All of it was.
    pub(crate) whole: bool,
}

/// Where a shelf says how far it was filled.
pub(crate) fn filled_key(coop: CoopId) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(b"filled");
    key
}

/// The start of a ward's places; wards that begin alike are kept apart by their length.
pub(crate) fn ward_start(coop: CoopId, ward: &str) -> Vec<u8> {
    let name = ward.as_bytes();
    let name = name.get(..usize::from(u8::MAX)).unwrap_or(name);
    let mut key = coop.0.to_be_bytes().to_vec();
    key.push(u8::try_from(name.len()).unwrap_or(u8::MAX));
    key.extend(name);
    key
}

/// A ward's day; none: its fortnight.
pub(crate) fn ward_key(coop: CoopId, ward: &str, day: Option<FarmDay>) -> Vec<u8> {
    let mut key = ward_start(coop, ward);
    let number = day.map_or(0, |day| u32::try_from(day.num_days_from_ce()).unwrap_or(0));
    key.extend(number.to_be_bytes());
    key
}

/// A farm's place in the order by what is at stake, most first.
pub(crate) fn rank_key(coop: CoopId, ward: &str, at_stake: u32, farm: MemberNo) -> Vec<u8> {
    let mut key = ward_start(coop, ward);
    key.extend((!at_stake).to_be_bytes());
    key.extend(farm.0.to_be_bytes());
    key
}

/// What is at stake and the farm, of a rank's key.
pub(crate) fn read_rank(key: &[u8]) -> Option<(u32, MemberNo)> {
    let (rest, farm) = key.split_last_chunk::<4>()?;
    let (_, stake) = rest.split_last_chunk::<4>()?;
    Some((
        !u32::from_be_bytes(*stake),
        MemberNo(u32::from_be_bytes(*farm)),
    ))
}

/// Names that begin with this.
pub(crate) fn name_start(coop: CoopId, name: &str) -> Vec<u8> {
    let mut key = coop.0.to_be_bytes().to_vec();
    key.extend(
        name.to_lowercase()
            .bytes()
            .filter(|b| *b != 0)
            .take(NAME_MAX),
    );
    key
}

/// A farm's place by name.
pub(crate) fn name_key(coop: CoopId, name: &str, farm: MemberNo) -> Vec<u8> {
    let mut key = name_start(coop, name);
    key.push(0);
    key.extend(farm.0.to_be_bytes());
    key
}

/// Before the numbers and before the names of a ward's farms.
const BY_NUMBER: u8 = 0;
const BY_NAME: u8 = 1;

/// A farm's place by number in its ward.
pub(crate) fn ward_number_key(coop: CoopId, ward: &str, farm: MemberNo) -> Vec<u8> {
    let mut key = ward_start(coop, ward);
    key.push(BY_NUMBER);
    key.extend(farm.0.to_be_bytes());
    key
}

/// Names of a ward that begin with this.
pub(crate) fn ward_name_start(coop: CoopId, ward: &str, name: &str) -> Vec<u8> {
    let mut key = ward_start(coop, ward);
    key.push(BY_NAME);
    key.extend(name_start(coop, name).into_iter().skip(2));
    key
}

/// A farm's place by name in its ward.
pub(crate) fn ward_name_key(coop: CoopId, ward: &str, name: &str, farm: MemberNo) -> Vec<u8> {
    let mut key = ward_name_start(coop, ward, name);
    key.push(0);
    key.extend(farm.0.to_be_bytes());
    key
}

/// The farm at the end of a place.
pub(crate) fn farm_at_end(key: &[u8]) -> Option<MemberNo> {
    let no = key.last_chunk::<4>()?;
    Some(MemberNo(u32::from_be_bytes(*no)))
}

/// A message's place in a member's thread.
pub(crate) fn thread_key(coop: CoopId, member: MemberNo, no: MessageNo) -> Vec<u8> {
    let mut key = farm_key(coop, member);
    key.extend(no.0.to_be_bytes());
    key
}

/// An unreadable message's place.
pub(crate) fn unread_key(coop: CoopId, no: MessageNo) -> Vec<u8> {
    keys::message(coop, no)
}
