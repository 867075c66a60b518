//! The harvests that stand: who gave what from which cage on which day, entered by whom in which message.
//!
//! Made by replaying each farm's events: what was taken back or replaced is not listed. This room does not know who asks.

use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::event::{Event, FarmEvent, Harvest, HarvestHow, StandingWeight, StreamId};
use crate::domain::message::{CoopId, MessageNo};
use crate::store::events::EventRecord;
use crate::store::{Store, StoreError};
use crate::units::Grams;
use crate::units::day::FarmDay;
use std::collections::BTreeMap;

/// One weight that somebody entered.
#[derive(Clone, Debug, PartialEq)]
struct Entry {
    grams: Grams,
    how: HarvestHow,
    by: Option<MemberNo>,
    message: Option<MessageNo>,
    /// The network's id of that message.
    id: Option<String>,
}

/// Where a weight belongs: unit, stocking day of the run, day.
type Place = (UnitCode, Option<FarmDay>, FarmDay);

/// One farm's weights while its events go by.
#[derive(Debug, Default)]
struct Ledger {
    stockings: BTreeMap<UnitCode, Vec<(FarmDay, Option<MessageNo>)>>,
    entries: BTreeMap<Place, Vec<Entry>>,
}

impl Ledger {
    fn place(&self, unit: UnitCode, day: FarmDay) -> Place {
        let run = self
            .stockings
            .get(&unit)
            .and_then(|days| days.iter().map(|(day, _)| *day).filter(|s| *s <= day).max());
        (unit, run, day)
    }

    fn apply(&mut self, record: &EventRecord) {
        let recorded = &record.recorded;
        match &recorded.event {
            Event::Farm(FarmEvent::Harvested(harvest)) => {
                self.harvested(harvest, record);
            }
            Event::Farm(FarmEvent::Stocked(stocking)) => self
                .stockings
                .entry(stocking.unit)
                .or_default()
                .push((stocking.day, recorded.message)),
            Event::Farm(FarmEvent::TakenBack { message, weights }) => {
                self.taken_back(*message, weights);
            }
            Event::Farm(_)
            | Event::Member(_)
            | Event::Phone(_)
            | Event::Rules(_)
            | Event::Ward(_)
            | Event::User(_)
            | Event::Dossier(_)
            | Event::Affairs(_)
            | Event::Broadcast(_)
            | Event::Words(_) => {}
        }
    }

    fn harvested(&mut self, harvest: &Harvest, record: &EventRecord) {
        let place = self.place(harvest.unit, harvest.day);
        self.entries.entry(place).or_default().push(Entry {
            grams: harvest.grams,
            how: harvest.how,
            by: record.recorded.by,
            message: record.recorded.message,
            id: record.id.clone(),
        });
    }

    /// Takes a message's weights away; the ones they had replaced stand again. Where the event says another weight stands, that one counts.
    fn taken_back(&mut self, message: MessageNo, weights: &[StandingWeight]) {
        for entries in self.entries.values_mut() {
            entries.retain(|entry| entry.message != Some(message));
        }
        for stockings in self.stockings.values_mut() {
            stockings.retain(|(_, by)| *by != Some(message));
        }
        for weight in weights {
            let place = self.place(weight.unit, weight.day);
            let entries = self.entries.entry(place).or_default();
            let sum = standing(entries)
                .iter()
                .fold(None, |sum: Option<Grams>, entry| {
                    Some(sum.map_or(entry.grams, |sum| sum.plus(entry.grams)))
                });
            if sum == weight.grams {
                continue;
            }
            let last = entries.last().cloned();
            entries.clear();
            if let Some(grams) = weight.grams {
                entries.push(Entry {
                    grams,
                    how: HarvestHow::First,
                    by: last.as_ref().and_then(|entry| entry.by),
                    message: last.as_ref().and_then(|entry| entry.message),
                    id: last.and_then(|entry| entry.id),
                });
            }
        }
    }
}

/// The entries that make a day's weight: the last that replaced, and what was added since.
fn standing(entries: &[Entry]) -> &[Entry] {
    let from = entries
        .iter()
        .rposition(|entry| entry.how == HarvestHow::Replaced)
        .unwrap_or(0);
    entries.get(from..).unwrap_or_default()
}

/// A day's eggs of one cage, as they stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HarvestRow {
    /// Whose cage.
    pub member: MemberNo,
    /// Which.
    pub cage: UnitCode,
    /// Day.
    pub day: FarmDay,
    /// All of that day.
    pub grams: Grams,
    /// Who entered the last of it.
    pub by: Option<MemberNo>,
    /// The network's id of that message where it had one, else our number.
    pub message_id: String,
}

/// Visits the harvests of one farm in order of cage and day.
pub(crate) fn of_farm(
    store: &Store,
    coop: CoopId,
    farm: MemberNo,
    visit: &mut dyn FnMut(HarvestRow),
) -> Result<(), StoreError> {
    let mut ledger = Ledger::default();
    store.events(coop, &StreamId::Farm(farm), |_, record| {
        ledger.apply(&record);
        Ok(())
    })?;
    for ((unit, _, day), entries) in &ledger.entries {
        let entries = standing(entries);
        // What was added later belongs to the same day's harvest: one row, under the message that made the total.
        let Some(last) = entries.last() else { continue };
        let grams = entries
            .iter()
            .fold(Grams::ZERO, |sum, entry| sum.plus(entry.grams));
        visit(HarvestRow {
            member: farm,
            cage: *unit,
            day: *day,
            grams,
            by: last.by,
            message_id: message_id(last.id.as_deref(), last.message),
        });
    }
    Ok(())
}

/// The network's id of a message where it had one, else our number.
pub(crate) fn message_id(id: Option<&str>, message: Option<MessageNo>) -> String {
    match (id, message) {
        (Some(id), _) => id.to_owned(),
        (None, Some(no)) => no.0.to_string(),
        (None, None) => String::new(),
    }
}
