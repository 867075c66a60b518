//! The deliveries that stand, as CSV (RFC 4180): what a collector weighed beside what the farm had weighed, with the difference.
//!
//! Made by replaying each farm's events: what was taken back is not listed. This room does not know prices.

use crate::counter::harvests::{failed, grams, guarded};
use crate::domain::event::{Delivery, Event, FarmEvent, StreamId};
use crate::domain::message::CoopId;
use crate::store::records::EventRecord;
use crate::store::{Store, StoreError};
use crate::units::day::FarmDay;
use chrono::Datelike;
use std::io::Write;

/// A calendar month.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Month {
    year: i32,
    month: u32,
}

impl Month {
    /// `2026-03`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let first = format!("{text}-01").parse::<FarmDay>().ok()?;
        let (year, month) = (first.year(), first.month());
        Some(Self { year, month })
    }

    fn has(self, day: FarmDay) -> bool {
        day.year() == self.year && day.month() == self.month
    }
}

/// Writes the deliveries of a cooperative, of one month where one is given; how many.
pub(crate) fn write(
    store: &Store,
    coop: CoopId,
    month: Option<Month>,
    to: &mut dyn Write,
) -> Result<usize, StoreError> {
    let mut csv = csv::Writer::from_writer(to);
    csv.write_record([
        "member",
        "day",
        "grams",
        "own_grams",
        "difference",
        "received_by",
        "message_id",
    ])
    .map_err(failed)?;
    let mut rows = 0;
    for farm in store.farms(coop)? {
        for (delivery, record) in standing(store, coop, &StreamId::Farm(farm))? {
            if month.is_some_and(|month| !month.has(delivery.day)) {
                continue;
            }
            csv.write_record([
                farm.to_string(),
                delivery.day.to_string(),
                grams(delivery.grams),
                delivery.own.map(grams).unwrap_or_default(),
                difference(&delivery),
                record
                    .recorded
                    .by
                    .map_or_else(String::new, |by| by.to_string()),
                message_id(&record),
            ])
            .map_err(failed)?;
            rows += 1;
        }
    }
    csv.flush().map_err(|why| failed(why.into()))?;
    Ok(rows)
}

/// One farm's deliveries by day, without those that were taken back.
fn standing(
    store: &Store,
    coop: CoopId,
    farm: &StreamId,
) -> Result<Vec<(Delivery, EventRecord)>, StoreError> {
    let mut rows: Vec<(Delivery, EventRecord)> = Vec::new();
    store.events(coop, farm, |_, record| {
        match &record.recorded.event {
            Event::Farm(FarmEvent::Delivered(delivery)) => rows.push((*delivery, record)),
            Event::Farm(FarmEvent::TakenBack { message, .. }) => {
                rows.retain(|(_, row)| row.recorded.message != Some(*message));
            }
            Event::Farm(_) | Event::Member(_) | Event::Phone(_) | Event::Rules(_) => {}
        }
        Ok(())
    })?;
    rows.sort_by_key(|(delivery, _)| delivery.day);
    Ok(rows)
}

/// Received less the farm's own, `-0.5`; empty where the farm has no figure.
fn difference(delivery: &Delivery) -> String {
    let Some(own) = delivery.own else {
        return String::new();
    };
    match (delivery.grams.minus(own), own.minus(delivery.grams)) {
        (Some(more), _) => grams(more),
        (None, Some(less)) => format!("-{}", grams(less)),
        (None, None) => String::new(),
    }
}

fn message_id(record: &EventRecord) -> String {
    match (&record.id, record.recorded.message) {
        (Some(id), _) => guarded(id),
        (None, Some(no)) => no.0.to_string(),
        (None, None) => String::new(),
    }
}
