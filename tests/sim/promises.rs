//! What must hold in every story, whatever the seed.
//!
//! 1. What was acknowledged is in the store, as it was said, and once.
//! 2. A state is what replaying its events gives.
//! 3. A message has at most one answer, and it stays the same; a farm has at most one reminder list a day.
//! 4. A text to send is delivered, refused for good, or too late; none is forgotten.
//! 5. Nobody who opted out is sent anything but the answer to what they ask.

use crate::kept;
use crate::network::Said;
use crate::scene::{self, COOP, KEEPERS};
use crate::tally::Tally;
use crate::world::World;
use chrono::Duration;
use clutchline::counter::Counter;
use clutchline::domain::MemberNo;
use clutchline::domain::event::{Event, FarmEvent, StreamId};
use clutchline::domain::message::{MessageNo, Outcome, Receipt};
use clutchline::store::outbox::{OutboxRow, Urgency};
use clutchline::store::records::MessageRecord;
use clutchline::store::{Sizes, Store};
use clutchline::units::day::{FarmDay, farm_day};
use std::collections::{BTreeMap, BTreeSet};

/// A store of its own on the same disk: nothing that the gateway holds in memory counts.
fn store(world: &World) -> Store {
    let sizes = Sizes {
        cache_bytes: 0,
        cached_streams: 100,
    };
    Store::in_memory(&world.disk, sizes).unwrap()
}

/// Two acknowledgements of one text say the same.
pub(crate) fn an_answer_stays(said: &Said, receipt: &Receipt) {
    if let Some(first) = said.acks.first() {
        assert_eq!(
            (first.message, &first.replies),
            (receipt.message, &receipt.replies),
            "{:?} was acknowledged twice, differently",
            said.inbound.id
        );
    }
}

/// Asked of each row that leaves.
pub(crate) fn none_to_one_who_opted_out(counter: &Counter, tally: &mut Tally, row: &OutboxRow) {
    let Some(member) = row.outbound.member else {
        return;
    };
    if !counter.member(COOP, member).unwrap().stopped {
        return;
    }
    tally.opted_out += 1;
    assert_eq!(
        row.urgency,
        Urgency::Answer,
        "member {member} has opted out and is sent row {}",
        row.id.0
    );
}

/// Asked of rows leased together: answers leave before reminders.
pub(crate) fn in_order_of_urgency(rows: &[OutboxRow]) {
    assert!(
        rows.is_sorted_by_key(|row| row.urgency),
        "a text leaves before a more urgent one"
    );
}

/// Every record reads, every state is its events', every order names what is there.
pub(crate) fn holds_together(world: &World) {
    let report = store(world).check().unwrap();
    assert!(report.faults.is_empty(), "{:?}", report.faults);
}

pub(crate) fn all_kept(world: &World) {
    holds_together(world);
    let store = store(world);
    let messages = messages(&store);
    kept_as_said_and_once(world, &messages);
    let harvests = harvests_and_reminders(&store);
    for (no, record) in &messages {
        let harvested = harvests.get(no).copied().unwrap_or(0);
        assert!(harvested <= 1, "{:?} counts {harvested} times", record.id);
        // One without an id that comes again late is recorded already: under its first number, or, where that one was asked about, by the `yes`.
        let harvested: usize = match record.id {
            Some(_) => harvested,
            None => same(&messages, record)
                .map(|no| match messages[&no].outcome {
                    Outcome::Asked => usize::from(by_yes(&store, &messages, record)),
                    _ => harvests.get(&no).copied().unwrap_or(0),
                })
                .max()
                .unwrap_or(0),
        };
        let says_one = record.text.starts_with('C') && record.text.contains('.');
        if says_one && record.outcome == Outcome::Saved {
            assert_eq!(
                harvested, 1,
                "{:?} {} is saved and gone",
                record.id, record.text
            );
        }
    }
    let fates = kept::Fates::of(&store);
    kept::all_kept(&world.ways, &fates, &messages, &harvests);
    each_answer_once(world, &messages, &fates);
    let due = store.check().unwrap().records["due"];
    assert_eq!(due, 0, "texts still wait in a world that is mended");
}

/// Whether a `yes` of the same member recorded the weight that a text such as `C1 9.5` says.
fn by_yes(
    store: &Store,
    messages: &BTreeMap<MessageNo, MessageRecord>,
    said: &MessageRecord,
) -> bool {
    let mut words = said.text.split(' ');
    let (Some(cage), Some(grams)) = (words.next(), words.next()) else {
        return false;
    };
    let mut found = false;
    store
        .events(COOP, &StreamId::Farm(said.member.unwrap()), |_, record| {
            if let (Event::Farm(FarmEvent::Harvested(harvest)), Some(no)) =
                (&record.recorded.event, record.recorded.message)
            {
                found |= messages.get(&no).is_some_and(|answer| answer.text == "yes")
                    && harvest.unit.to_string() == cage
                    && harvest.grams.to_string() == format!("{}g", grams.trim_end_matches(".0"));
            }
            Ok(())
        })
        .unwrap();
    found
}

/// Messages of the same phone that say the same.
fn same<'m>(
    messages: &'m BTreeMap<MessageNo, MessageRecord>,
    record: &'m MessageRecord,
) -> impl Iterator<Item = MessageNo> + 'm {
    let like = |kept: &MessageRecord| kept.from == record.from && kept.text == record.text;
    let alike = messages.iter().filter(move |(_, kept)| like(kept));
    alike.map(|(no, _)| *no)
}

fn messages(store: &Store) -> BTreeMap<MessageNo, MessageRecord> {
    let mut found = BTreeMap::new();
    store
        .messages_back(COOP, |no, record| {
            found.insert(no, record);
            Ok(true)
        })
        .unwrap();
    found
}

fn kept_as_said_and_once(world: &World, messages: &BTreeMap<MessageNo, MessageRecord>) {
    let mut ids = BTreeSet::new();
    // A message centre gives its texts no id.
    for record in messages.values().filter(|record| record.id.is_some()) {
        let id = (record.link.clone(), record.id.clone());
        assert!(ids.insert(id), "{:?} is kept twice", record.id);
    }
    for said in &world.said {
        let id = &said.inbound.id;
        let receipt = said
            .acks
            .first()
            .unwrap_or_else(|| panic!("{id:?} was never acknowledged, though all is mended"));
        let kept = messages
            .get(&receipt.message)
            .unwrap_or_else(|| panic!("{id:?} was acknowledged and is gone"));
        assert_eq!(
            (&kept.from, kept.text.as_str()),
            (&said.inbound.from, said.inbound.text.as_str()),
            "{id:?} is another message in the store"
        );
    }
}

/// Harvests by message; a farm's reminders are looked at on the way.
fn harvests_and_reminders(store: &Store) -> BTreeMap<MessageNo, usize> {
    let mut harvests: BTreeMap<MessageNo, usize> = BTreeMap::new();
    for farm in store.farms(COOP).unwrap() {
        let mut reminded: BTreeSet<FarmDay> = BTreeSet::new();
        store
            .events(COOP, &StreamId::Farm(farm), |_, record| {
                match (&record.recorded.event, record.recorded.message) {
                    (Event::Farm(FarmEvent::Harvested(_)), Some(no)) => {
                        *harvests.entry(no).or_default() += 1;
                    }
                    (Event::Farm(FarmEvent::Reminded(day)), _) => {
                        assert!(
                            reminded.insert(*day),
                            "farm {farm} was reminded twice on {day}"
                        );
                    }
                    _ => {}
                }
                Ok(())
            })
            .unwrap();
    }
    assert_eq!(store.farms(COOP).unwrap().len(), KEEPERS as usize);
    harvests
}

fn each_answer_once(
    world: &World,
    messages: &BTreeMap<MessageNo, MessageRecord>,
    known: &kept::Fates,
) {
    let mut answers: BTreeSet<MessageNo> = BTreeSet::new();
    let mut lists: BTreeSet<(MemberNo, FarmDay)> = BTreeSet::new();
    let others = world.ways.shown();
    for row in world.out.shown.values().chain(others.values()) {
        match (row.urgency, row.answers, row.outbound.member) {
            (Urgency::Answer, Some(no), _) => {
                assert!(answers.insert(no), "message {} is answered twice", no.0);
            }
            (Urgency::Reminder, _, Some(member)) => {
                // The list's own morning: it goes stale that evening, whenever a retry comes.
                let day = farm_day(row.expires, chrono_tz::Africa::Dar_es_Salaam);
                assert!(
                    lists.insert((member, day)),
                    "member {member} has two lists on {day}"
                );
            }
            _ => {}
        }
    }
    let fates = world.out.answered();
    for (no, record) in messages {
        let old = world.clock.now() - record.received_at > Duration::hours(20);
        if record.link != scene::link("web") && !record.replies.is_empty() && !old {
            let scene = record.id.as_ref().is_some_and(|id| id.starts_with("scene"));
            assert!(
                scene || fates.contains(no) || known.answered.contains(no),
                "the answer to {:?} was forgotten",
                record.id
            );
        }
    }
}
