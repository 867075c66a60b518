//! What may still leave: between its making and its sending a text may have become unwanted.
//!
//! A member may have opted out meanwhile, or the phone may have been cut off because it was stolen. This room does not know how anything is sent.

use crate::counter::people;
use crate::domain::event::StreamId;
use crate::domain::message::LinkName;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::outbox::{Abandoned, Leased, OutboxRow, Settled, Urgency};
use chrono::{DateTime, Utc};

/// [`Draft::lease`] without the rows that are unwanted by now: those are taken out, and counted as come too late.
pub(crate) fn lease(
    draft: &mut Draft<'_>,
    link: &LinkName,
    owner: &str,
    most: usize,
    abandoned: Abandoned,
    [now, until]: [DateTime<Utc>; 2],
) -> Result<Leased, StoreError> {
    let mut leased = draft.lease(link, owner, most, abandoned, [now, until])?;
    for row in std::mem::take(&mut leased.rows) {
        if is_wanted(draft, &row)? {
            leased.rows.push(row);
        } else {
            draft.settle(row.id, &Settled::Expired, now)?;
            leased.expired += 1;
        }
    }
    Ok(leased)
}

/// An answer is wanted by whoever asked; anything else only by a member who has not opted out, on a phone that is still theirs.
fn is_wanted(draft: &mut Draft<'_>, row: &OutboxRow) -> Result<bool, StoreError> {
    let Some(no) = row.outbound.member else {
        return Ok(true);
    };
    if row.urgency == Urgency::Answer {
        return Ok(true);
    }
    let stream = draft.load(row.coop, &StreamId::Member(no))?;
    let member = people::member(&stream)?;
    Ok(member.joined && !member.stopped && member.phones.contains(&row.outbound.to))
}
