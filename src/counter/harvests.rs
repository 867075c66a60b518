//! The harvests that stand, as CSV (RFC 4180): who gave what from which cage on which day, entered by whom in which message.
//!
//! Made by replaying each farm's events: what was taken back or replaced is not listed. This room does not know who asks.

use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::event::{Event, FarmEvent, Harvest, HarvestHow, StandingWeight, StreamId};
use crate::domain::message::{CoopId, MessageNo};
use crate::store::records::EventRecord;
use crate::store::{Store, StoreError};
use crate::units::Grams;
use crate::units::day::FarmDay;
use std::collections::BTreeMap;
use std::io::Write;

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
            | Event::Ward(_) => {}
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

/// Writes the harvests of a cooperative; how many.
pub(crate) fn write(store: &Store, coop: CoopId, to: &mut dyn Write) -> Result<usize, StoreError> {
    let failed = |why: csv::Error| StoreError::File {
        what: "writing harvests".to_owned(),
        why: std::io::Error::other(why),
    };
    let mut csv = csv::Writer::from_writer(to);
    csv.write_record(["member", "cage", "day", "grams", "entered_by", "message_id"])
        .map_err(failed)?;
    let mut rows = 0;
    for farm in store.farms(coop)? {
        let mut ledger = Ledger::default();
        store.events(coop, &StreamId::Farm(farm), |_, record| {
            ledger.apply(&record);
            Ok(())
        })?;
        for ((unit, _, day), entries) in &ledger.entries {
            let entries = standing(entries);
            // What was added later belongs to the same day's harvest: one row, under the message that made the total.
            let Some(last) = entries.last() else { continue };
            let total = entries
                .iter()
                .fold(Grams::ZERO, |sum, entry| sum.plus(entry.grams));
            csv.write_record([
                farm.to_string(),
                unit.to_string(),
                day.to_string(),
                grams(total),
                last.by.map_or_else(String::new, |by| by.to_string()),
                message_id(last),
            ])
            .map_err(failed)?;
            rows += 1;
        }
    }
    csv.flush().map_err(|why| StoreError::File {
        what: "writing harvests".to_owned(),
        why,
    })?;
    Ok(rows)
}

/// The network's id of the message where it had one, else our number.
fn message_id(entry: &Entry) -> String {
    match (&entry.id, entry.message) {
        (Some(id), _) => guarded(id),
        (None, Some(no)) => no.0.to_string(),
        (None, None) => String::new(),
    }
}

/// A field that a spreadsheet would take for a formula gets an apostrophe before it (OWASP, "CSV Injection").
fn guarded(field: &str) -> String {
    if field.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
        format!("'{field}")
    } else {
        field.to_owned()
    }
}

/// `12.5`, `8`, `0.05`: grams without the unit, which stands in the column's name.
fn grams(grams: Grams) -> String {
    let (whole, rest) = (grams.hundredths() / 100, grams.hundredths() % 100);
    if rest == 0 {
        return whole.to_string();
    }
    let rest = format!("{rest:02}");
    format!("{whole}.{}", rest.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spreadsheets_see_text_where_a_network_wrote_a_formula() {
        assert_eq!(guarded("=1+1"), "'=1+1");
        assert_eq!(guarded("m-1"), "m-1");
        assert_eq!(guarded("-1"), "'-1");
    }

    #[test]
    fn grams_are_written_without_a_unit() {
        let shown = |hundredths| grams(Grams::from_hundredths(hundredths).unwrap());
        assert_eq!(shown(1250), "12.5");
        assert_eq!(shown(5), "0.05");
        assert_eq!(shown(120_000), "1200");
        assert_eq!(shown(0), "0");
    }

    fn entered(grams: u32, how: HarvestHow, message: u64) -> EventRecord {
        let harvest = Harvest {
            unit: UnitCode::new("C", 4).unwrap(),
            day: "2026-03-10".parse().unwrap(),
            grams: Grams::from_hundredths(grams).unwrap(),
            how,
            gross_tare: None,
        };
        record(FarmEvent::Harvested(harvest), message)
    }

    fn record(event: FarmEvent, message: u64) -> EventRecord {
        EventRecord {
            step: message,
            id: None,
            recorded: crate::domain::event::Recorded {
                at: "2026-03-10T05:00:00Z".parse().unwrap(),
                by: Some(MemberNo(1001)),
                message: Some(MessageNo(message)),
                event: Event::Farm(event),
            },
        }
    }

    fn stands(ledger: &Ledger) -> Vec<(u32, u64)> {
        ledger
            .entries
            .values()
            .flat_map(|entries| standing(entries))
            .map(|e| (e.grams.hundredths(), e.message.map_or(0, |no| no.0)))
            .collect()
    }

    #[test]
    fn what_was_replaced_stands_again_when_that_is_taken_back() {
        let mut ledger = Ledger::default();
        ledger.apply(&entered(1000, HarvestHow::First, 1));
        ledger.apply(&entered(300, HarvestHow::Added, 2));
        assert_eq!(stands(&ledger), [(1000, 1), (300, 2)]);
        ledger.apply(&entered(1100, HarvestHow::Replaced, 3));
        assert_eq!(stands(&ledger), [(1100, 3)]);
        let back = |message, grams: Option<u32>| FarmEvent::TakenBack {
            message: MessageNo(message),
            weights: vec![StandingWeight {
                unit: UnitCode::new("C", 4).unwrap(),
                day: "2026-03-10".parse().unwrap(),
                grams: grams.map(|g| Grams::from_hundredths(g).unwrap()),
            }],
        };
        ledger.apply(&record(back(3, Some(1300)), 4));
        assert_eq!(stands(&ledger), [(1000, 1), (300, 2)]);
        ledger.apply(&record(back(2, Some(1000)), 5));
        assert_eq!(stands(&ledger), [(1000, 1)]);
        ledger.apply(&record(back(1, None), 6));
        assert_eq!(stands(&ledger), []);
    }
}
