//! One message on top of the ones before it: redelivery, the scene, the decision, its words, and the step that keeps them.
//!
//! Runs on the writer thread. Reads come before writes, so that a message that cannot be judged leaves the batch as it was.

use crate::counter::addressing::{ANSWER_KEEPS, copy, notices, route};
use crate::counter::bench::Bench;
use crate::counter::erasing;
use crate::counter::people::{self, Household};
use crate::counter::readmodel;
use crate::counter::received;
use crate::counter::settings::{ReplyBy, Wakeups};
use crate::desk;
use crate::desk::{Decision, Person, Scene};
use crate::domain::MemberNo;
use crate::domain::event::{Event, MemberEvent, Recorded, StreamId};
use crate::domain::message::{CoopId, Inbound, MessageNo, Outbound, Outcome, Receipt};
use crate::domain::said::Reading;
use crate::grammar::pin;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::outbox::Urgency;
use crate::store::records::{MessageRecord, ReplyRecord, Route};
use crate::store::redelivery::{self, Found};
use crate::store::step::{Change, Outgoing, Step};
use crate::store::wakeups;
use chrono::{DateTime, Utc};

/// What a judged message still has to write.
pub(crate) struct Judged {
    step: Step,
    inbound: Inbound,
    covers_repeats: bool,
    receipt: Receipt,
    route: Option<(MemberNo, Route)>,
}

/// What became of a message, before anything is written.
pub(crate) enum Verdict {
    /// A redelivery: nothing more to write.
    Again(Receipt),
    /// A new message.
    New(Box<Judged>),
}

/// Judges a message; writes nothing but the id of a copy that was known by its text.
pub(crate) fn judge(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    mut inbound: Inbound,
    reading: &Reading,
) -> Result<Verdict, StoreError> {
    // From here on nobody sees the digits of a PIN: no record, no key of a redelivery.
    inbound.text = pin::blot(&inbound.text, &reading.secrets);
    if let Some(found) = again(bench, draft, coop, &inbound, reading)? {
        let no = found.message;
        let first = draft.message(coop, no)?;
        if !found.by_id {
            redelivery::remember_copy(draft, coop, &inbound, no, bench.now)?;
        }
        return Ok(Verdict::Again(Receipt {
            message: no,
            outcome: Outcome::Duplicate,
            replies: first.map_or_else(Vec::new, |first| first.outbounds()),
        }));
    }
    let no = draft.next_message();
    let (decision, bare) = decide(bench, draft, coop, &inbound, reading, no)?;
    if reading.secrets.is_empty() {
        inbound.text = pin::blot(&inbound.text, &bare);
    }
    let replies: Vec<Outbound> = decision
        .reply
        .iter()
        .map(|reply| Outbound {
            to: inbound.from.clone(),
            member: decision.by,
            text: bench.wording.render(reply),
        })
        .collect();
    let mut outgoing = notices(bench, draft, coop, &inbound, &decision, no)?;
    if bench.by_menu {
        outgoing.extend(copy(bench, draft, coop, &decision, no)?);
    } else if bench.settings.reply_by(&inbound.link) == ReplyBy::Send {
        outgoing.extend(replies.iter().map(|outbound| Outgoing {
            link: inbound.link.clone(),
            urgency: Urgency::Answer,
            outbound: outbound.clone(),
            answers: Some(no),
            due: bench.now,
            expires: bench.now + ANSWER_KEEPS,
        }));
    }
    let step = Step {
        coop,
        received: Some(record(&inbound, &decision, &replies)),
        heard: Some(inbound.sent_at),
        changes: changes(draft, coop, &decision, inbound.sent_at, Some(no))?,
        outgoing,
    };
    // A menu's link may carry no SMS.
    let heard = decision.by.filter(|_| !bench.by_menu);
    let route = route(draft, coop, &inbound, heard)?;
    Ok(Verdict::New(Box::new(Judged {
        step,
        covers_repeats: decision.covers_repeats,
        receipt: Receipt {
            message: no,
            outcome: decision.outcome,
            replies,
        },
        route,
        inbound,
    })))
}

fn decide(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    reading: &Reading,
    no: MessageNo,
) -> Result<(Decision, Vec<(usize, usize)>), StoreError> {
    let phone = draft.load(coop, &StreamId::Phone(inbound.from.clone()))?;
    let phone = people::phone(&phone)?;
    let served = phone
        .serves
        .iter()
        .map(|member| Household::load(draft, coop, *member))
        .collect::<Result<Vec<_>, _>>()?;
    let named = match desk::whom_to_load(reading, phone) {
        Some(member) => Some(Household::load(draft, coop, member)?),
        None => None,
    };
    // Members who share a phone live in one ward; an officer's line counts where the named member lives.
    let home = named.as_ref().or(served.first());
    let home = home.map(|home| people::member(&home.member)).transpose()?;
    let ward = home.and_then(|member| member.ward.clone());
    let mut rules = people::rules_in(draft, coop, ward.as_deref(), &bench.settings.model)?;
    rules.pin = bench.settings.pin;
    // Only where it may matter: the answer is not looked up for every line.
    let says = !reading.said.is_empty() || !reading.doubts.is_empty() || !reading.orders.is_empty();
    let unread_before =
        !says && readmodel::unread_before(draft, coop, &inbound.from, &phone.serves)?;
    let scene = Scene {
        rules: &rules,
        from: &inbound.from,
        phone,
        people: served.iter().map(person).collect::<Result<_, _>>()?,
        named: match &named {
            Some(named) => Some(person(named)?).filter(|named| named.member.joined),
            None => None,
        },
        unread_before,
        message: no,
        free_member: bench.free_member(draft, coop)?,
        now: inbound.sent_at,
    };
    let decision = desk::decide(&scene, reading);
    let secrets = desk::pin::secrets(&scene, reading, decision.outcome);
    Ok((decision, secrets))
}

/// The message of which this is a redelivery. One whose only number may have been a PIN is known by what was kept of it too.
fn again(
    bench: &Bench<'_>,
    draft: &Draft<'_>,
    coop: CoopId,
    inbound: &Inbound,
    reading: &Reading,
) -> Result<Option<Found>, StoreError> {
    let found = redelivery::find(draft, coop, inbound, bench.now)?;
    let Some(digits) = reading.digits.as_ref().filter(|_| found.is_none()) else {
        return Ok(found);
    };
    let kept = Inbound {
        text: pin::blot(&inbound.text, &[digits.at]),
        ..inbound.clone()
    };
    redelivery::find(draft, coop, &kept, bench.now)
}

fn person(household: &Household) -> Result<Person<'_>, StoreError> {
    Ok(Person {
        member: people::member(&household.member)?,
        farm: people::farm(&household.farm)?,
    })
}

/// Events by stream, each with the version it was decided on.
pub(crate) fn changes(
    draft: &mut Draft<'_>,
    coop: CoopId,
    decision: &Decision,
    at: DateTime<Utc>,
    message: Option<MessageNo>,
) -> Result<Vec<Change>, StoreError> {
    let mut changes: Vec<Change> = Vec::new();
    for (stream, event) in &decision.changes {
        let recorded = Recorded {
            at,
            by: decision.by,
            message,
            event: event.clone(),
        };
        match changes.iter_mut().find(|change| change.stream == *stream) {
            Some(change) => change.events.push(recorded),
            None => changes.push(Change {
                stream: stream.clone(),
                expected: draft.load(coop, stream)?.version,
                events: vec![recorded],
            }),
        }
    }
    Ok(changes)
}

fn record(inbound: &Inbound, decision: &Decision, replies: &[Outbound]) -> MessageRecord {
    MessageRecord {
        link: inbound.link.clone(),
        id: inbound.id.clone(),
        from: inbound.from.clone(),
        to: inbound.to.clone(),
        text: inbound.text.clone(),
        sent_at: inbound.sent_at,
        sent_at_known: inbound.sent_at_known,
        received_at: inbound.received_at,
        member: decision.by,
        outcome: decision.outcome,
        covers_repeats: decision.covers_repeats,
        replies: replies
            .iter()
            .map(|reply| ReplyRecord {
                to: reply.to.clone(),
                member: reply.member,
                text: reply.text.clone(),
            })
            .collect(),
        touched: Vec::new(),
    }
}

/// Writes what was judged. An error here spoils the whole batch.
pub(crate) fn write(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    judged: Judged,
) -> Result<Receipt, StoreError> {
    let coop = judged.step.coop;
    let sent_at = judged.inbound.sent_at;
    let touched = push(bench, draft, judged.step)?;
    redelivery::remember(
        draft,
        coop,
        &judged.inbound,
        judged.receipt.message,
        judged.covers_repeats,
        bench.now,
    )?;
    let from = match bench.settings.wakeups {
        Wakeups::ToNow => bench.now,
        Wakeups::ToLatestMessage => sent_at,
    };
    for farm in touched {
        plan_wakeup(draft, coop, farm, from)?;
    }
    if let Some((member, route)) = judged.route
        && people::member(&*draft.load(coop, &StreamId::Member(member))?)?.joined
    {
        draft.put(Shelf::Routes, keys::route(coop, member), &route)?;
    }
    Ok(judged.receipt)
}

/// Pushes a step, keeps the free member number ahead of it; the members whose farm or own stream it changed.
pub(crate) fn push(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    step: Step,
) -> Result<Vec<MemberNo>, StoreError> {
    let coop = step.coop;
    let mut touched = Vec::new();
    for change in &step.changes {
        if let StreamId::Farm(no) | StreamId::Member(no) = change.stream
            && !touched.contains(&no)
        {
            touched.push(no);
        }
        let joined = change
            .events
            .iter()
            .any(|recorded| matches!(recorded.event, Event::Member(MemberEvent::Joined { .. })));
        if let (StreamId::Member(MemberNo(no)), true) = (&change.stream, joined)
            && let Some(free) = bench.free.get_mut(&coop)
        {
            free.0 = free.0.max(no.saturating_add(1));
        }
    }
    for farm in &touched {
        readmodel::mark(draft, coop, *farm)?;
    }
    if let Some(message) = &step.received {
        let no = draft.next_message();
        readmodel::heard(draft, coop, no, message.outcome, message.member, &touched)?;
    }
    let gone = erasing::gone(&step);
    let received = received::of_step(&step.changes);
    let named: Vec<MemberNo> = step.changes.iter().filter_map(member_of).collect();
    let no = draft.push(step)?;
    received::keep_up(draft, coop, &received)?;
    readmodel::named::keep_up(draft, &bench.settings.model, coop, &named, bench.now)?;
    for member in gone {
        erasing::erase(draft, coop, member, no)?;
    }
    Ok(touched)
}

const fn member_of(change: &Change) -> Option<MemberNo> {
    match change.stream {
        StreamId::Member(no) => Some(no),
        _ => None,
    }
}

/// Sets when a farm wakes up next, after `from`.
pub(crate) fn plan_wakeup(
    draft: &mut Draft<'_>,
    coop: CoopId,
    no: MemberNo,
    from: DateTime<Utc>,
) -> Result<(), StoreError> {
    let rules = draft.load(coop, &StreamId::Rules)?;
    let home = Household::load(draft, coop, no)?;
    if home.farm.version == 0 {
        return Ok(());
    }
    let at = desk::next_wakeup(
        people::rules(&rules)?,
        people::member(&home.member)?,
        people::farm(&home.farm)?,
        from,
    );
    wakeups::set(draft, coop, no, at)
}
