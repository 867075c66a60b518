//! One text to many members: counted beforehand, put into the outbox a few at a time, stopped while it runs.
//!
//! Whoever wants no texts is left out twice: when a text is made and when it is leased. This room does not know prices or parts.

use crate::counter::Counter;
use crate::counter::addressing;
use crate::counter::answers::CounterError;
use crate::counter::dossiers::push;
use crate::counter::people;
use crate::counter::readmodel::rows::{FarmRow, farm_key};
use crate::counter::settings::Settings;
use crate::counter::users::append;
use crate::desk::broadcast::{self, Broadcast, BroadcastError, HOURS, first_after, is_for};
use crate::domain::MemberNo;
use crate::domain::affairs::AffairsEvent;
use crate::domain::broadcast::{Audience, BroadcastEvent, BroadcastPlan, BroadcastTurn};
use crate::domain::event::{Event, StreamId};
use crate::domain::message::{CoopId, LinkName, Outbound};
use crate::domain::user::{Deed, Login, UserEvent};
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::outbox::{OutboxId, Settled, Urgency};
use crate::store::records::RowRecord;
use crate::store::step::{Outgoing, Step};
use crate::store::{Store, StoreError};
use crate::units::day::{FarmDay, farm_day};
use chrono::{DateTime, Duration, Timelike, Utc};
use chrono_tz::Tz;
use std::collections::BTreeMap;

/// Members looked at in one turn of the writer.
const LOOKED_AT: usize = 500;
/// A text that no network took for so long is old news.
const KEEPS: Duration = Duration::days(2);
/// The same text to the same people planned again within this time is a form sent twice.
const TWICE: Duration = Duration::minutes(10);

/// Whom a text would reach.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reached {
    /// People.
    pub people: u32,
    /// Of the audience, but they want no texts or have no phone.
    pub left_out: u32,
    /// People by the link that reaches them.
    pub by_link: BTreeMap<LinkName, u32>,
}

/// Why a text to many was not planned or stopped.
#[derive(Debug, thiserror::Error)]
pub enum BroadcastFailure {
    /// The desk refused it.
    #[error(transparent)]
    Refused(#[from] BroadcastError),
    /// The counter could not do it.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

/// What one turn did.
struct Turn {
    texts: usize,
    over: bool,
}

impl Counter {
    /// Counts whom a text for this audience would reach now. Reads every member.
    ///
    /// # Errors
    /// When the store fails.
    pub fn reached(&self, coop: CoopId, audience: &Audience) -> Result<Reached, CounterError> {
        let today = self.day_of(coop)?;
        let mut draft = self.0.store.draft();
        let (mut reached, mut past) = (Reached::default(), 0);
        loop {
            let members = members_after(&self.0.store, coop, past, LOOKED_AT)?;
            let Some(last) = members.last() else {
                return Ok(reached);
            };
            past = last.0;
            for no in members {
                if !wanted(&mut draft, coop, audience, no, today)? {
                    continue;
                }
                match addressing::reach(&self.0.settings, &mut draft, coop, no)? {
                    Some((link, _)) => {
                        reached.people += 1;
                        *reached.by_link.entry(link).or_default() += 1;
                    }
                    None => reached.left_out += 1,
                }
            }
        }
    }

    /// Plans a text to many; its number. The same plan again within minutes is the one before.
    ///
    /// # Errors
    /// The desk's refusal, or the store's failure.
    pub fn plan_broadcast(
        &self,
        coop: CoopId,
        plan: BroadcastPlan,
        deed: Deed,
    ) -> Result<u32, BroadcastFailure> {
        let planned = self.amend(move |draft, now| {
            let affairs = people::affairs(&*draft.load(coop, &StreamId::Affairs)?)?.clone();
            for open in &affairs.open_broadcasts {
                let stream = draft.load(coop, &StreamId::Broadcast(*open))?;
                if people::broadcast(&stream)?
                    .plan
                    .as_ref()
                    .is_some_and(|known| twice(known, &plan))
                {
                    return Ok(Ok(*open));
                }
            }
            if let Err(refused) = broadcast::plan(&plan, affairs.open_broadcasts.len(), now) {
                return Ok(Err(refused));
            }
            let no = affairs.last_broadcast.saturating_add(1);
            let by = plan.by.clone();
            let planned = Event::Broadcast(BroadcastEvent::Planned(plan));
            let opened = Event::Affairs(AffairsEvent::BroadcastOpened(no));
            let streams = vec![
                (StreamId::Broadcast(no), vec![planned]),
                (StreamId::Affairs, vec![opened]),
            ];
            push(draft, coop, now, streams)?;
            append(draft, coop, &by, vec![UserEvent::Did(deed)], now)?;
            Ok(Ok(no))
        })?;
        Ok(planned?)
    }

    /// A text to many; one that was never planned has no plan.
    ///
    /// # Errors
    /// When the store fails.
    pub fn broadcast(&self, coop: CoopId, no: u32) -> Result<Broadcast, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Broadcast(no))?;
        Ok(people::broadcast(&stream)?.clone())
    }

    /// Stops a text to many: what no network has yet is taken out of the outbox. How many were.
    ///
    /// # Errors
    /// [`BroadcastError::Over`] where it is over, or the store's failure.
    pub fn stop_broadcast(
        &self,
        coop: CoopId,
        no: u32,
        by: &Login,
        deed: Deed,
    ) -> Result<u32, BroadcastFailure> {
        let by = by.clone();
        let stopped = self.amend(move |draft, now| {
            let standing = draft.load(coop, &StreamId::Broadcast(no))?;
            let standing = people::broadcast(&standing)?.clone();
            if !standing.is_open() || standing.plan.is_none() {
                return Ok(Err(BroadcastError::Over));
            }
            let mut taken_back = 0;
            for row in standing.rows {
                let free = in_outbox(draft, row)?.is_some_and(|row| row.row.owner.is_none());
                // One that was leased may be with the network already.
                if free && draft.settle(OutboxId(row), &Settled::Expired, now)? {
                    taken_back += 1;
                }
            }
            let stopped = BroadcastEvent::Stopped {
                by: by.clone(),
                taken_back,
            };
            close(draft, coop, no, stopped, now)?;
            append(draft, coop, &by, vec![UserEvent::Did(deed)], now)?;
            Ok(Ok(taken_back))
        })?;
        Ok(stopped?)
    }

    /// Puts what is due of texts to many into the outbox, as fast as each may go; how many texts. Called by [`Counter::tick`].
    pub(crate) fn send_broadcasts(&self) -> Result<usize, CounterError> {
        let mut texts = 0;
        for coop in self.coops()? {
            for no in self.affairs(coop)?.open_broadcasts {
                loop {
                    let settings = self.0.settings.clone();
                    let turn =
                        self.amend(move |draft, now| turn(&settings, draft, coop, no, now))?;
                    texts += turn.texts;
                    if turn.over {
                        break;
                    }
                }
            }
        }
        Ok(texts)
    }
}

fn twice(known: &BroadcastPlan, plan: &BroadcastPlan) -> bool {
    let apart = known.due.signed_duration_since(plan.due).abs();
    known.text == plan.text && known.audience == plan.audience && apart < TWICE
}

fn close(
    draft: &mut Draft<'_>,
    coop: CoopId,
    no: u32,
    how: BroadcastEvent,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let closed = Event::Affairs(AffairsEvent::BroadcastClosed(no));
    let streams = vec![
        (StreamId::Broadcast(no), vec![Event::Broadcast(how)]),
        (StreamId::Affairs, vec![closed]),
    ];
    push(draft, coop, now, streams)
}

/// A row that still waits in the outbox; none where it was sent, expired or refused for good.
fn in_outbox(draft: &Draft<'_>, row: u64) -> Result<Option<RowRecord>, StoreError> {
    let record: Option<RowRecord> = draft.get(Shelf::Outbox, &keys::outbox(OutboxId(row)))?;
    Ok(record.filter(|record| record.dead.is_none()))
}

/// Members with numbers after `past`, as of the last commit.
fn members_after(
    store: &Store,
    coop: CoopId,
    past: u32,
    most: usize,
) -> Result<Vec<MemberNo>, StoreError> {
    let start = keys::stream(coop, &StreamId::Member(first_after(past)));
    let end = keys::after(&keys::members(coop));
    let mut found = Vec::new();
    if past == u32::MAX {
        return Ok(found);
    }
    for entry in store
        .range(Shelf::States, &start, end.as_deref())
        .take(most)
    {
        let (key, _) = entry?;
        if let Some((_, StreamId::Member(no), _)) = keys::read_stream(&key) {
            found.push(no);
        }
    }
    Ok(found)
}

fn wanted(
    draft: &mut Draft<'_>,
    coop: CoopId,
    audience: &Audience,
    no: MemberNo,
    today: FarmDay,
) -> Result<bool, StoreError> {
    let stream = draft.load(coop, &StreamId::Member(no))?;
    let row: Option<FarmRow> = draft.get(Shelf::FarmRows, &farm_key(coop, no))?;
    let prospect = row.as_ref().map(|row| &row.prospect);
    Ok(is_for(audience, people::member(&stream)?, prospect, today))
}

/// The next texts of one broadcast.
fn turn(
    settings: &Settings,
    draft: &mut Draft<'_>,
    coop: CoopId,
    no: u32,
    now: DateTime<Utc>,
) -> Result<Turn, StoreError> {
    let nothing = Turn {
        texts: 0,
        over: true,
    };
    let standing = people::broadcast(&*draft.load(coop, &StreamId::Broadcast(no))?)?.clone();
    let rules = draft.load(coop, &StreamId::Rules)?;
    let zone: Tz = people::rules(&rules)?.zone.parse().unwrap_or(Tz::UTC);
    let Some(plan) = standing.plan.as_ref().filter(|_| standing.is_open()) else {
        return Ok(nothing);
    };
    if plan.due > now || !HOURS.contains(&now.with_timezone(&zone).hour()) {
        return Ok(nothing);
    }
    let mut left = Vec::new();
    for row in &standing.rows {
        if in_outbox(draft, *row)?.is_none() {
            left.push(*row);
        }
    }
    let waiting = standing.rows.len().saturating_sub(left.len());
    let allowance = standing.allowance(now, waiting);
    if allowance == 0 {
        return Ok(nothing);
    }
    let members = members_after(draft.store, coop, standing.past, LOOKED_AT)?;
    let whole = members.len() < LOOKED_AT;
    let mut went = BroadcastTurn {
        past: MemberNo(standing.past),
        rows: Vec::new(),
        left_out: 0,
    };
    let mut outgoing = Vec::new();
    let today = farm_day(now, zone);
    let mut all = whole;
    for member in members {
        if outgoing.len() == allowance {
            all = false;
            break;
        }
        went.past = member;
        if !wanted(draft, coop, &plan.audience, member, today)? {
            continue;
        }
        let Some((link, to)) = addressing::reach(settings, draft, coop, member)? else {
            went.left_out += 1;
            continue;
        };
        let number = draft.numbers.row + u64::try_from(outgoing.len()).unwrap_or(0);
        went.rows.push(OutboxId::new(coop, number).0);
        outgoing.push(Outgoing {
            link,
            urgency: Urgency::Broadcast,
            outbound: Outbound {
                to,
                member: Some(member),
                text: plan.text.clone(),
            },
            answers: None,
            due: now,
            expires: now + KEEPS,
        });
    }
    let texts = outgoing.len();
    draft.push(Step {
        coop,
        received: None,
        heard: None,
        changes: Vec::new(),
        outgoing,
    })?;
    let mut happened = Vec::new();
    if !left.is_empty() {
        happened.push(Event::Broadcast(BroadcastEvent::Left(left)));
    }
    happened.push(Event::Broadcast(BroadcastEvent::Went(went)));
    push(draft, coop, now, vec![(StreamId::Broadcast(no), happened)])?;
    if all {
        close(draft, coop, no, BroadcastEvent::Finished, now)?;
    }
    Ok(Turn {
        texts,
        over: all || texts == allowance,
    })
}
