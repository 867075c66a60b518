//! What pages ask the rows: most at stake first, a ward's days, a page of farms, messages that nobody could read.
//!
//! Every look reads about as many rows as it shows, never all farms.

use crate::counter::Counter;
use crate::counter::answers::{CounterError, MessageRow};
use crate::counter::people;
use crate::counter::readmodel::rows::{
    FarmRow, WardDay, farm_at_end, farm_key, name_start, read_rank, ward_key, ward_name_start,
    ward_number_key, ward_start,
};
use crate::desk::lanes::{Lane, lanes};
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, MessageNo};
use crate::store::codec;
use crate::store::keys::{self, Shelf};
use crate::units::day::FarmDay;

/// Unreadable messages looked at for one page where wards are left out: an officer of one ward of a hundred.
const LOOKED_AT: usize = 10_000;

impl Counter {
    /// A farm's row; none while it was never made.
    ///
    /// # Errors
    /// When the store fails.
    pub fn farm_row(&self, coop: CoopId, farm: MemberNo) -> Result<Option<FarmRow>, CounterError> {
        Ok(self.0.store.get(Shelf::FarmRows, &farm_key(coop, farm))?)
    }

    /// The farms of these wards that somebody should look at, most at stake first, and how many there are at least.
    ///
    /// # Errors
    /// When the store fails.
    pub fn ranked(
        &self,
        coop: CoopId,
        wards: &[String],
        most: usize,
    ) -> Result<Vec<(MemberNo, FarmRow)>, CounterError> {
        let mut first: Vec<(u32, MemberNo)> = Vec::new();
        for ward in wards {
            let start = ward_start(coop, ward);
            let range = self
                .0
                .store
                .range(Shelf::Ranks, &start, keys::after(&start).as_deref());
            for entry in range.take(most) {
                let (key, _) = entry?;
                first.extend(read_rank(&key));
            }
        }
        first.sort_by_key(|(stake, farm)| (std::cmp::Reverse(*stake), *farm));
        first.truncate(most);
        let mut rows = Vec::with_capacity(first.len());
        for (_, farm) in first {
            if let Some(row) = self.farm_row(coop, farm)? {
                rows.push((farm, row));
            }
        }
        Ok(rows)
    }

    /// A ward's days from `from` to `to`, those without anything left out.
    ///
    /// # Errors
    /// When the store fails.
    pub fn ward_days(
        &self,
        coop: CoopId,
        ward: &str,
        from: FarmDay,
        to: FarmDay,
    ) -> Result<Vec<(FarmDay, WardDay)>, CounterError> {
        let mut days = Vec::new();
        for day in from.iter_days().take_while(|day| *day <= to) {
            if let Some(row) = self
                .0
                .store
                .get(Shelf::WardDays, &ward_key(coop, ward, Some(day)))?
            {
                days.push((day, row));
            }
        }
        Ok(days)
    }

    /// A ward's coming fortnight, farms and cages.
    ///
    /// # Errors
    /// When the store fails.
    pub fn ward_fortnight(&self, coop: CoopId, ward: &str) -> Result<WardDay, CounterError> {
        let row = self
            .0
            .store
            .get(Shelf::WardDays, &ward_key(coop, ward, None))?;
        Ok(row.unwrap_or_default())
    }

    /// Farms after `after`, by number; of these wards, or of all where none are named.
    ///
    /// # Errors
    /// When the store fails.
    pub fn farm_page(
        &self,
        coop: CoopId,
        after: MemberNo,
        most: usize,
        wards: Option<&[String]>,
    ) -> Result<Vec<(MemberNo, FarmRow)>, CounterError> {
        let first = MemberNo(after.0.saturating_add(1));
        let Some(wards) = wards else {
            let (start, end) = (farm_key(coop, first), keys::after(&coop.0.to_be_bytes()));
            return self.farms_of(coop, Shelf::FarmRows, (&start, end), most);
        };
        let mut rows = Vec::new();
        for ward in wards {
            let start = ward_number_key(coop, ward, first);
            let mut end = ward_number_key(coop, ward, MemberNo(u32::MAX));
            end.push(0);
            rows.extend(self.farms_of(coop, Shelf::ByWard, (&start, Some(end)), most)?);
        }
        rows.sort_by_key(|(no, _)| *no);
        rows.truncate(most);
        Ok(rows)
    }

    /// Farms whose member's name begins with this, by name; of these wards, or of all where none are named.
    ///
    /// # Errors
    /// When the store fails.
    pub fn farms_named(
        &self,
        coop: CoopId,
        name: &str,
        most: usize,
        wards: Option<&[String]>,
    ) -> Result<Vec<(MemberNo, FarmRow)>, CounterError> {
        let Some(wards) = wards else {
            let start = name_start(coop, name);
            let end = keys::after(&start);
            return self.farms_of(coop, Shelf::Names, (&start, end), most);
        };
        let mut rows = Vec::new();
        for ward in wards {
            let start = ward_name_start(coop, ward, name);
            let end = keys::after(&start);
            rows.extend(self.farms_of(coop, Shelf::ByWard, (&start, end), most)?);
        }
        rows.sort_by_key(|(no, row)| (row.name.to_lowercase(), *no));
        rows.truncate(most);
        Ok(rows)
    }

    /// The rows of the farms at the ends of these places, at the most so many.
    fn farms_of(
        &self,
        coop: CoopId,
        shelf: Shelf,
        (start, end): (&[u8], Option<Vec<u8>>),
        most: usize,
    ) -> Result<Vec<(MemberNo, FarmRow)>, CounterError> {
        let mut rows = Vec::new();
        for entry in self.0.store.range(shelf, start, end.as_deref()).take(most) {
            let (key, _) = entry?;
            if let Some(farm) = farm_at_end(&key) {
                rows.extend(self.farm_row(coop, farm)?.map(|row| (farm, row)));
            }
        }
        Ok(rows)
    }

    /// The last messages of a member and about their farm, newest first.
    ///
    /// # Errors
    /// When the store fails.
    pub fn thread(
        &self,
        coop: CoopId,
        member: MemberNo,
        most: usize,
    ) -> Result<Vec<MessageRow>, CounterError> {
        let start = farm_key(coop, member);
        let mut rows = Vec::new();
        let range = self
            .0
            .store
            .range(Shelf::Threads, &start, keys::after(&start).as_deref());
        for entry in range.rev().take(most) {
            let (key, _) = entry?;
            if let Some(no) = key.last_chunk::<8>() {
                rows.extend(self.message(coop, MessageNo(u64::from_be_bytes(*no)))?);
            }
        }
        if rows.is_empty() {
            // A folder that came from an export has no threads of before.
            return self.messages(coop, member, most);
        }
        Ok(rows)
    }

    /// Every cage of a farm as a lane, from stocking to retirement.
    ///
    /// # Errors
    /// When the store fails.
    pub fn lanes(&self, coop: CoopId, member: MemberNo) -> Result<Vec<Lane>, CounterError> {
        let mut draft = self.0.store.draft();
        let ward = self.member(coop, member)?.ward;
        let rules = people::rules_in(&mut draft, coop, ward.as_deref(), &self.0.settings.model)?;
        let today = self.day_of(coop)?;
        Ok(lanes(&rules, &self.farm(coop, member)?, today))
    }

    /// Messages that nobody could read and nobody has dealt with, newest first, of wards that `sees` says yes to; a number without a member has
    /// no ward.
    ///
    /// # Errors
    /// When the store fails.
    pub fn unread(
        &self,
        coop: CoopId,
        most: usize,
        sees: &dyn Fn(Option<&str>) -> bool,
    ) -> Result<Vec<MessageRow>, CounterError> {
        let start = coop.0.to_be_bytes();
        let mut rows = Vec::new();
        let range = self
            .0
            .store
            .range(Shelf::Unread, &start, keys::after(&start).as_deref());
        for entry in range.rev().take(LOOKED_AT) {
            let (key, bytes) = entry?;
            let ward: Option<String> = codec::unseal(Shelf::Unread, &key, &bytes)
                .map_err(crate::store::StoreError::from)?;
            let Some((_, no)) = keys::read_message(&key).filter(|_| sees(ward.as_deref())) else {
                continue;
            };
            rows.extend(self.message(coop, no)?);
            if rows.len() >= most {
                break;
            }
        }
        Ok(rows)
    }
}
