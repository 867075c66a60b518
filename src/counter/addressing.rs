//! Who is told what besides the answer, and where each member is reached.
//!
//! This room words nothing itself and sends nothing; it makes rows of the outbox.

use crate::counter::bench::Bench;
use crate::counter::people;
use crate::counter::settings::Settings;
use crate::desk::Decision;
use crate::desk::reply::Reply;
use crate::domain::MemberNo;
use crate::domain::event::StreamId;
use crate::domain::message::{CoopId, Inbound, LinkName, MessageNo, Outbound, Outcome};
use crate::domain::phone::PhoneNumber;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::outbox::Urgency;
use crate::store::records::Route;
use crate::store::step::Outgoing;
use chrono::Duration;

/// After a day an answer tells a keeper nothing that the next one does not.
pub(crate) const ANSWER_KEEPS: Duration = Duration::hours(24);

/// The SMS copy of what was saved by menu, for a member who wants one.
pub(crate) fn copy(
    bench: &Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    decision: &Decision,
    no: MessageNo,
) -> Result<Option<Outgoing>, StoreError> {
    let (Some(by), Some(reply)) = (decision.by, &decision.reply) else {
        return Ok(None);
    };
    let member = draft.load(coop, &StreamId::Member(by))?;
    if !people::member(&member)?.menu_copies || decision.outcome != Outcome::Saved {
        return Ok(None);
    }
    let addressed = address(bench, draft, coop, by, reply)?;
    Ok(addressed.map(|(link, outbound)| Outgoing {
        link,
        urgency: Urgency::Notice,
        outbound,
        answers: Some(no),
        due: bench.now,
        expires: bench.now + ANSWER_KEEPS,
    }))
}

/// Notices to other members. Whoever reads the answer on the same phone gets no second text.
pub(crate) fn notices(
    bench: &Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    decision: &Decision,
    no: MessageNo,
) -> Result<Vec<Outgoing>, StoreError> {
    let mut outgoing = Vec::new();
    for (member, reply) in &decision.notices {
        let Some((link, outbound)) = address(bench, draft, coop, *member, reply)? else {
            continue;
        };
        if outbound.to != inbound.from {
            outgoing.push(Outgoing {
                link,
                urgency: Urgency::Notice,
                outbound,
                answers: Some(no),
                due: bench.now,
                expires: bench.now + ANSWER_KEEPS,
            });
        }
    }
    Ok(outgoing)
}

/// How a member is reached: where they were last heard while that phone is still theirs, else their first phone by the default link.
/// None for those who want nothing sent or cannot be reached.
pub(crate) fn address(
    bench: &Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    no: MemberNo,
    reply: &Reply,
) -> Result<Option<(LinkName, Outbound)>, StoreError> {
    let reached = reach(bench.settings, draft, coop, no)?;
    Ok(reached.map(|(link, to)| {
        let outbound = Outbound {
            to,
            member: Some(no),
            text: bench.wording.render(reply),
        };
        (link, outbound)
    }))
}

/// The link and phone that reach a member.
pub(crate) fn reach(
    settings: &Settings,
    draft: &mut Draft<'_>,
    coop: CoopId,
    no: MemberNo,
) -> Result<Option<(LinkName, PhoneNumber)>, StoreError> {
    let stream = draft.load(coop, &StreamId::Member(no))?;
    let member = people::member(&stream)?;
    if member.stopped || !member.joined {
        return Ok(None);
    }
    let last: Option<Route> = draft.get(Shelf::Routes, &keys::route(coop, no))?;
    let (link, to) = match last {
        Some(route) if member.phones.contains(&route.phone) => {
            // A link that is no more, or that is an operator's own words, carries nothing.
            let gone = !settings.links.contains_key(&route.link);
            let other = settings.default_link.clone().filter(|_| gone);
            (other.or(Some(route.link)), Some(route.phone))
        }
        Some(_) | None => (
            settings.default_link.clone(),
            member.phones.first().cloned(),
        ),
    };
    Ok(link.zip(to))
}

/// Where the sender was heard, where that is news.
pub(crate) fn route(
    draft: &Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    by: Option<MemberNo>,
) -> Result<Option<(MemberNo, Route)>, StoreError> {
    let Some(by) = by else { return Ok(None) };
    let route = Route {
        link: inbound.link.clone(),
        phone: inbound.from.clone(),
    };
    let known: Option<Route> = draft.get(Shelf::Routes, &keys::route(coop, by))?;
    Ok((known.as_ref() != Some(&route)).then_some((by, route)))
}
