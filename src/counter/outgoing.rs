//! What may still leave: between its making and its sending a text may have become unwanted.
//!
//! A member may have opted out meanwhile, or the phone may have been cut off because it was stolen. This room does not know how anything is sent.

use crate::counter::people;
use crate::domain::event::StreamId;
use crate::domain::message::LinkName;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::outbox::{OutboxRow, Settled, Urgency};
use chrono::{DateTime, Utc};

/// At most `most` due rows of `link`, leased until `until`; those that came too late or are unwanted by now are taken out, and counted.
pub(crate) fn lease(
    draft: &mut Draft<'_>,
    link: &LinkName,
    owner: &str,
    most: usize,
    now: DateTime<Utc>,
    until: DateTime<Utc>,
) -> Result<(Vec<OutboxRow>, usize), StoreError> {
    let (rows, mut gone) = draft.lease(link, owner, most, now, until)?;
    let mut leaving = Vec::with_capacity(rows.len());
    for row in rows {
        if is_wanted(draft, &row)? {
            leaving.push(row);
        } else {
            draft.settle(row.id, &Settled::Expired)?;
            gone += 1;
        }
    }
    Ok((leaving, gone))
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
