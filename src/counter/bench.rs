//! What lies on the writer's bench while it judges: the settings, the words, the moment, and the next free member number.
//!
//! This room does not judge anything.

use crate::counter::settings::Settings;
use crate::counter::wording::Wording;
use crate::domain::MemberNo;
use crate::domain::message::CoopId;
use crate::store::StoreError;
use crate::store::draft::Draft;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

/// The first member of a cooperative; four digits, so that no cage number looks like one.
const FIRST_MEMBER: MemberNo = MemberNo(1001);

/// What judging needs besides the batch.
pub(crate) struct Bench<'a> {
    pub(crate) settings: &'a Settings,
    pub(crate) wording: &'a Wording,
    /// The message comes from a menu: its screen is the answer, and an SMS goes out only as a copy for those who want one.
    pub(crate) by_menu: bool,
    /// The gateway's clock.
    pub(crate) now: DateTime<Utc>,
    /// The next unused member number by cooperative, as far as it was asked for.
    pub(crate) free: &'a mut BTreeMap<CoopId, MemberNo>,
}

impl Bench<'_> {
    /// The next unused member number: one past the highest that has a stream.
    pub(crate) fn free_member(
        &mut self,
        draft: &Draft<'_>,
        coop: CoopId,
    ) -> Result<MemberNo, StoreError> {
        if let Some(free) = self.free.get(&coop) {
            return Ok(*free);
        }
        let free = draft
            .last_member(coop)?
            .map_or(FIRST_MEMBER, |MemberNo(last)| {
                MemberNo(last.saturating_add(1).max(FIRST_MEMBER.0))
            });
        self.free.insert(coop, free);
        Ok(free)
    }
}
