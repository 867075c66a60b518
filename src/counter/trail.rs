//! The audit trail: who did what when, newest first, a page at a time.
//!
//! Every user's stream is in order of commits, so that a page is merged from their ends and reads about as many events as it shows. What was done to
//! one member stands in an order of its own. This room changes nothing that anybody did.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::readmodel::rows::{Filled, farm_key, filled_key};
use crate::domain::MemberNo;
use crate::domain::event::{Event, StreamId};
use crate::domain::message::CoopId;
use crate::domain::user::{Login, UserEvent};
use crate::store::draft::Draft;
use crate::store::events::EventRun;
use crate::store::keys::{self, Shelf};
use crate::store::{StoreError, codec};
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// Events of one turn of filling the order by member: some 10 ms of reading.
const FILLED_AT_ONCE: usize = 2_000;
/// Deeds on one member that are looked at for one page where one user's are wanted.
const LOOKED_AT: usize = 2_000;

/// A line of the audit trail.
#[derive(Clone, Debug, PartialEq)]
pub struct TrailRow {
    /// The commit.
    pub step: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// In whose stream: who did it, or to whom the operator did it.
    pub login: Login,
    /// What happened.
    pub event: UserEvent,
}

/// Which lines are wanted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sought {
    /// Of this user only.
    pub login: Option<Login>,
    /// Done to this member only.
    pub member: Option<MemberNo>,
    /// Of commits before this one only.
    pub before: Option<u64>,
}

/// A page of the trail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrailPage {
    /// Newest first.
    pub rows: Vec<TrailRow>,
    /// Where the next page goes on, where there may be more: before this commit.
    pub next: Option<u64>,
}

/// The place of a deed on a member.
fn deed_key(coop: CoopId, member: MemberNo, step: u64) -> Vec<u8> {
    let mut key = farm_key(coop, member);
    key.extend(step.to_be_bytes());
    key
}

/// Keeps a deed in the order by member; `version` is the event's in the user's stream.
pub(crate) fn keep(
    draft: &mut Draft<'_>,
    coop: CoopId,
    login: &Login,
    (step, version): (u64, u32),
    event: &UserEvent,
) -> Result<(), StoreError> {
    match event {
        UserEvent::Did(deed) => match deed.member {
            Some(member) => draft.put(
                Shelf::Deeds,
                deed_key(coop, member, step),
                &(login.as_str(), version),
            ),
            None => Ok(()),
        },
        _ => Ok(()),
    }
}

impl Counter {
    /// The newest lines of the audit trail.
    ///
    /// # Errors
    /// When the store fails.
    pub fn trail(&self, coop: CoopId, most: usize) -> Result<Vec<TrailRow>, CounterError> {
        Ok(self.trail_page(coop, &Sought::default(), most)?.rows)
    }

    /// A page of the audit trail, newest first: `most` lines, and the rest of the last one's commit.
    ///
    /// # Errors
    /// When the store fails.
    pub fn trail_page(
        &self,
        coop: CoopId,
        sought: &Sought,
        most: usize,
    ) -> Result<TrailPage, CounterError> {
        match sought.member {
            Some(member) => self.deeds_on(coop, member, sought, most),
            None => self.merged(coop, sought, most),
        }
    }

    fn trail_row(
        &self,
        coop: CoopId,
        login: &Login,
        version: u32,
    ) -> Result<Option<TrailRow>, StoreError> {
        let stream = StreamId::User(login.clone());
        let record = self.0.store.event(coop, &stream, version)?;
        Ok(record.and_then(|record| match record.recorded.event {
            Event::User(event) => Some(TrailRow {
                step: record.step,
                at: record.recorded.at,
                login: login.clone(),
                event,
            }),
            _ => None,
        }))
    }

    /// The last event of a user before a commit: steps rise with versions, so that halving finds it.
    fn last_before(
        &self,
        coop: CoopId,
        login: &Login,
        before: Option<u64>,
    ) -> Result<u32, StoreError> {
        let id = StreamId::User(login.clone());
        let all = self.0.store.load(coop, &id)?.version;
        let Some(before) = before else { return Ok(all) };
        let (mut low, mut high) = (0, all);
        while low < high {
            let middle = low + (high - low).div_ceil(2);
            let row = self.trail_row(coop, login, middle)?;
            if row.is_some_and(|row| row.step < before) {
                low = middle;
            } else {
                high = middle - 1;
            }
        }
        Ok(low)
    }

    /// Lines merged from the ends of the users' streams.
    fn merged(
        &self,
        coop: CoopId,
        sought: &Sought,
        most: usize,
    ) -> Result<TrailPage, CounterError> {
        let logins = match &sought.login {
            Some(login) => vec![login.clone()],
            None => self.0.store.users(coop)?,
        };
        // The newest line of each user that is not on the page yet, by commit.
        let mut ends: BTreeMap<(u64, Login), (u32, TrailRow)> = BTreeMap::new();
        for login in logins {
            let version = self.last_before(coop, &login, sought.before)?;
            if let Some(row) = self.trail_row(coop, &login, version)? {
                ends.insert((row.step, login), (version, row));
            }
        }
        let mut page = TrailPage::default();
        while let Some(((step, login), (version, row))) = ends.pop_last() {
            let shown = page.rows.last().map(|row: &TrailRow| row.step);
            if page.rows.len() >= most && shown != Some(step) {
                page.next = shown;
                break;
            }
            page.rows.push(row);
            if let Some(before) = self.trail_row(coop, &login, version.saturating_sub(1))? {
                ends.insert((before.step, login), (version - 1, before));
            }
        }
        Ok(page)
    }

    fn deeds_on(
        &self,
        coop: CoopId,
        member: MemberNo,
        sought: &Sought,
        most: usize,
    ) -> Result<TrailPage, CounterError> {
        let start = farm_key(coop, member);
        let end = match sought.before {
            Some(before) => Some(deed_key(coop, member, before)),
            None => keys::after(&start),
        };
        let mut page = TrailPage::default();
        let range = self.0.store.range(Shelf::Deeds, &start, end.as_deref());
        let mut last = None;
        for (looked_at, entry) in range.rev().enumerate() {
            if page.rows.len() >= most || looked_at >= LOOKED_AT {
                page.next = last;
                break;
            }
            let (key, bytes) = entry?;
            let (login, version): (String, u32) =
                codec::unseal(Shelf::Deeds, &key, &bytes).map_err(StoreError::from)?;
            last = key.last_chunk::<8>().map(|step| u64::from_be_bytes(*step));
            let Some(login) = Login::new(&login) else {
                continue;
            };
            if sought.login.as_ref().is_none_or(|only| *only == login) {
                page.rows.extend(self.trail_row(coop, &login, version)?);
            }
        }
        Ok(page)
    }

    /// Fills the order by member from the users' events of before there was one, at most `most` events. Whether all are in it.
    ///
    /// # Errors
    /// When the store fails.
    pub fn fill_deeds(&self, coop: CoopId, most: usize) -> Result<bool, CounterError> {
        let mut looked_at = 0;
        loop {
            let filled: Option<Filled> = self.0.store.get(Shelf::Deeds, &filled_key(coop))?;
            let filled = filled.unwrap_or_default();
            if filled.whole || looked_at >= most {
                return Ok(filled.whole);
            }
            let past = filled.past.max(keys::users(coop));
            let end = keys::after(&keys::users(coop));
            let (mut deeds, mut next) = (Vec::new(), None);
            let range = self.0.store.range(Shelf::Events, &past, end.as_deref());
            for (at, entry) in range.enumerate() {
                let (key, bytes) = entry?;
                if at == FILLED_AT_ONCE {
                    next = Some(key.to_vec());
                    break;
                }
                looked_at += 1;
                let Some((_, StreamId::User(login), first)) = keys::read_event(&key) else {
                    continue;
                };
                let run = EventRun::read(&key, &bytes).map_err(StoreError::from)?;
                for (version, record) in run.events(first) {
                    if let Event::User(event) = record.recorded.event {
                        deeds.push((login.clone(), (record.step, version), event));
                    }
                }
            }
            let filled = Filled {
                whole: next.is_none(),
                past: next.unwrap_or_default(),
            };
            self.amend(move |draft, _| {
                deeds
                    .iter()
                    .try_for_each(|(login, at, event)| keep(draft, coop, login, *at, event))?;
                draft.put(Shelf::Deeds, filled_key(coop), &filled)
            })?;
        }
    }
}
