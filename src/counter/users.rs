//! Users of the cooperative's room: who they are, what changes about them, and what they did.
//!
//! Everything is an event in the user's own stream and on disk when a call returns. This room does not know how anybody signs in.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::counter::trail;
use crate::desk::user::{self, User, UserError};
use crate::domain::event::{Event, Recorded, StreamId};
use crate::domain::message::CoopId;
use crate::domain::user::{Deed, Login, UserEvent};
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::step::{Change, Step};
use chrono::{DateTime, Utc};

/// Why a user was not changed.
#[derive(Debug, thiserror::Error)]
pub enum ChangeError {
    /// The desk refused it.
    #[error(transparent)]
    Refused(#[from] UserError),
    /// The counter could not do it.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

impl Counter {
    /// A user; one who was never added is not open.
    ///
    /// # Errors
    /// When the store fails.
    pub fn user(&self, coop: CoopId, login: &Login) -> Result<User, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::User(login.clone()))?;
        Ok(people::user(&stream)?.clone())
    }

    /// Every user, by name.
    ///
    /// # Errors
    /// When the store fails.
    pub fn users(&self, coop: CoopId) -> Result<Vec<(Login, User)>, CounterError> {
        let logins = self.0.store.users(coop)?;
        logins
            .into_iter()
            .map(|login| Ok((login.clone(), self.user(coop, &login)?)))
            .collect()
    }

    /// Changes a user, or adds one; `deed` is what the user `by` is noted to have done, in the same commit.
    ///
    /// # Errors
    /// The desk's refusal, or the store's failure.
    pub fn change_user(
        &self,
        coop: CoopId,
        login: &Login,
        events: Vec<UserEvent>,
        deed: Option<(Login, Deed)>,
    ) -> Result<(), ChangeError> {
        let login = login.clone();
        let done = self.amend(move |draft, now| {
            let rules = draft.load(coop, &StreamId::Rules)?;
            let standing = draft.load(coop, &StreamId::User(login.clone()))?;
            let named = events.iter().find_map(|event| match event {
                UserEvent::MemberSet(Some(no)) => Some(*no),
                _ => None,
            });
            let member = named
                .map(|no| draft.load(coop, &StreamId::Member(no)))
                .transpose()?;
            let changed = user::change(
                people::rules(&rules)?,
                &login,
                people::user(&standing)?,
                member.as_deref().map(people::member).transpose()?,
                events,
            );
            match changed {
                Ok(events) => {
                    append(draft, coop, &login, events, now)?;
                    if let Some((by, deed)) = deed {
                        append(draft, coop, &by, vec![UserEvent::Did(deed)], now)?;
                    }
                    Ok(Ok(()))
                }
                Err(refused) => Ok(Err(refused)),
            }
        })?;
        Ok(done?)
    }

    /// Notes what a user did.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note(&self, coop: CoopId, by: &Login, deed: Deed) -> Result<(), CounterError> {
        let by = by.clone();
        self.amend(move |draft, now| append(draft, coop, &by, vec![UserEvent::Did(deed)], now))
    }
}

/// Events on top of the user's stream; nothing where there are none.
pub(crate) fn append(
    draft: &mut Draft<'_>,
    coop: CoopId,
    login: &Login,
    events: Vec<UserEvent>,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    if events.is_empty() {
        return Ok(());
    }
    let stream = StreamId::User(login.clone());
    let expected = draft.load(coop, &stream)?.version;
    let step = draft.next_message().0;
    for (version, event) in (expected + 1..).zip(&events) {
        trail::keep(draft, coop, login, (step, version), event)?;
    }
    let events = events
        .into_iter()
        .map(|event| Recorded {
            at: now,
            by: None,
            message: None,
            event: Event::User(event),
        })
        .collect();
    draft.push(Step {
        coop,
        received: None,
        heard: None,
        changes: vec![Change {
            stream,
            expected,
            events,
        }],
        outgoing: Vec::new(),
    })?;
    Ok(())
}
