//! What officers keep on farms, and the cooperative's affairs: kept as events, with a line in the trail, in one commit.
//!
//! The desk says what may happen. This room does not know how any of it is shown.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::counter::readmodel::deadlines;
use crate::counter::users::append;
use crate::desk::affairs::Affairs;
use crate::desk::dossier::{Dossier, DossierError};
use crate::domain::MemberNo;
use crate::domain::affairs::AffairsEvent;
use crate::domain::dossier::DossierEvent;
use crate::domain::event::{Event, Recorded, StreamId};
use crate::domain::message::CoopId;
use crate::domain::user::{Deed, Login, UserEvent};
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::step::{Change, Step};
use crate::units::day::farm_day;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;

/// Why something was not kept.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    /// The desk refused it.
    #[error(transparent)]
    Refused(#[from] DossierError),
    /// The counter could not do it.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

/// Events on top of streams, in one step.
pub(crate) fn push(
    draft: &mut Draft<'_>,
    coop: CoopId,
    now: DateTime<Utc>,
    streams: Vec<(StreamId, Vec<Event>)>,
) -> Result<(), StoreError> {
    let mut changes = Vec::with_capacity(streams.len());
    for (stream, events) in streams {
        let events = events.into_iter().map(|event| Recorded {
            at: now,
            by: None,
            message: None,
            event,
        });
        changes.push(Change {
            expected: draft.load(coop, &stream)?.version,
            stream,
            events: events.collect(),
        });
    }
    draft.push(Step {
        coop,
        received: None,
        heard: None,
        changes,
        outgoing: Vec::new(),
    })?;
    Ok(())
}

impl Counter {
    /// What officers keep on a farm.
    ///
    /// # Errors
    /// When the store fails.
    pub fn dossier(&self, coop: CoopId, farm: MemberNo) -> Result<Dossier, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Dossier(farm))?;
        Ok(people::dossier(&stream)?.clone())
    }

    /// Notes something on a farm; `by` is noted to have done `deed`.
    ///
    /// # Errors
    /// The desk's refusal, or the store's failure.
    pub fn keep_on_farm(
        &self,
        coop: CoopId,
        farm: MemberNo,
        event: DossierEvent,
        (by, deed): (&Login, Deed),
    ) -> Result<(), KeepError> {
        let by = by.clone();
        let kept = self.amend(move |draft, now| {
            let rules = draft.load(coop, &StreamId::Rules)?;
            let zone: Tz = people::rules(&rules)?.zone.parse().unwrap_or(Tz::UTC);
            let stream = StreamId::Dossier(farm);
            let old = people::dossier(&*draft.load(coop, &stream)?)?.clone();
            if let Err(refused) = old.allows(&event, farm_day(now, zone)) {
                return Ok(Err(refused));
            }
            let events = vec![Event::Dossier(event)];
            push(draft, coop, now, vec![(stream.clone(), events)])?;
            let new = people::dossier(&*draft.load(coop, &stream)?)?.clone();
            deadlines::replace(draft, coop, farm, &old, &new)?;
            append(draft, coop, &by, vec![UserEvent::Did(deed)], now)?;
            Ok(Ok(()))
        })?;
        Ok(kept?)
    }

    /// The cooperative's affairs.
    ///
    /// # Errors
    /// When the store fails.
    pub fn affairs(&self, coop: CoopId) -> Result<Affairs, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Affairs)?;
        Ok(people::affairs(&stream)?.clone())
    }

    /// Changes the cooperative's affairs; `by` is noted to have done `deed`.
    ///
    /// # Errors
    /// The desk's refusal, or the store's failure.
    pub fn keep_affair(
        &self,
        coop: CoopId,
        event: AffairsEvent,
        (by, deed): (&Login, Deed),
    ) -> Result<(), KeepError> {
        let by = by.clone();
        let kept = self.amend(move |draft, now| {
            let standing = draft.load(coop, &StreamId::Affairs)?;
            if let Err(refused) = people::affairs(&standing)?.allows(&event) {
                return Ok(Err(refused));
            }
            let events = vec![Event::Affairs(event)];
            push(draft, coop, now, vec![(StreamId::Affairs, events)])?;
            append(draft, coop, &by, vec![UserEvent::Did(deed)], now)?;
            Ok(Ok(()))
        })?;
        Ok(kept?)
    }
}
