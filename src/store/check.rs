//! Whether a store holds together: every record reads, every state is what its events make, and the orders name what is there.
//!
//! Reads only. This room mends nothing; it says what to do.

use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::store::keys::{self, Shelf};
use crate::store::records::{Moment, RowRecord, Stream};
use crate::store::{Store, StoreError, codec, lines};
use std::collections::BTreeMap;

/// Faults that a report spells out; the rest is counted.
const SPELT_OUT: usize = 100;

/// What a check found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Records by shelf.
    pub records: BTreeMap<String, u64>,
    /// The first faults, in words.
    pub faults: Vec<String>,
    /// How many there are.
    pub faults_found: u64,
}

impl Report {
    fn fault(&mut self, what: String) {
        self.faults_found += 1;
        if self.faults.len() < SPELT_OUT {
            self.faults.push(what);
        }
    }
}

impl Store {
    /// Checks everything.
    ///
    /// # Errors
    /// When the database itself fails; damaged records are in the report.
    pub fn check(&self) -> Result<Report, StoreError> {
        let mut report = Report::default();
        for shelf in self.shelves() {
            let mut count = 0;
            for entry in self.range(shelf, &[], None) {
                let (key, bytes) = entry?;
                count += 1;
                if let Err(why) = lines::line(shelf, &key, &bytes) {
                    report.fault(format!("{} record {key:02x?}: {why}", shelf.name()));
                }
            }
            report.records.insert(shelf.name(), count);
        }
        self.check_states(&mut report)?;
        self.check_orphans(&mut report)?;
        self.check_wakeups(&mut report)?;
        self.check_outbox(&mut report)?;
        Ok(report)
    }

    /// Every state is what replaying its events gives, and its wake-up stands in the order of wake-ups.
    fn check_states(&self, report: &mut Report) -> Result<(), StoreError> {
        for entry in self.range(Shelf::States, &[], None) {
            let (key, bytes) = entry?;
            let Some((coop, id, _)) = keys::read_stream(&key) else {
                report.fault(format!("states key {key:02x?} does not read"));
                continue;
            };
            let Ok(stream) = codec::unseal::<Stream>(Shelf::States, &key, &bytes) else {
                continue; // Counted already; it is made again from its events when it is next needed.
            };
            match self.replay(coop, &id) {
                Ok((version, state)) if version == stream.version && state == stream.state => {}
                Ok(_) => report.fault(format!(
                    "state {id:?}: replaying its events gives another state"
                )),
                Err(why) => report.fault(format!("state {id:?}: {why}")),
            }
            if let (StreamId::Farm(farm), Some(Moment(at))) = (&id, stream.wake) {
                let key = keys::wakeup(at, coop, *farm);
                if self.get::<()>(Shelf::Wakeups, &key)?.is_none() {
                    report.fault(format!(
                        "farm {farm}: its wake-up is not in the order of wake-ups"
                    ));
                }
            }
        }
        Ok(())
    }

    /// Every event belongs to a stream that has a state.
    fn check_orphans(&self, report: &mut Report) -> Result<(), StoreError> {
        let mut last: Option<(CoopId, StreamId)> = None;
        for entry in self.range(Shelf::Events, &[], None) {
            let (key, _) = entry?;
            let Some((coop, id, _)) = keys::read_event(&key) else {
                report.fault(format!("events key {key:02x?} does not read"));
                continue;
            };
            if last.as_ref() != Some(&(coop, id.clone())) {
                let state = self
                    .range(Shelf::States, &keys::stream(coop, &id), None)
                    .next()
                    .transpose()?;
                if state.is_none_or(|(key, _)| key.as_ref() != keys::stream(coop, &id).as_slice()) {
                    report.fault(format!("events of {id:?} have no state"));
                }
                last = Some((coop, id));
            }
        }
        Ok(())
    }

    /// Every wake-up is the one that its farm's state names.
    fn check_wakeups(&self, report: &mut Report) -> Result<(), StoreError> {
        for entry in self.range(Shelf::Wakeups, &[], None) {
            let (key, _) = entry?;
            let Some((at, coop, farm)) = keys::read_wakeup(&key) else {
                report.fault(format!("wakeups key {key:02x?} does not read"));
                continue;
            };
            let stream = self.load(coop, &StreamId::Farm(farm))?;
            if stream.wake != Some(Moment(at)) {
                report.fault(format!(
                    "a wake-up of farm {farm} is not the one its state names"
                ));
            }
        }
        Ok(())
    }

    /// The due order and the outbox name the same rows.
    fn check_outbox(&self, report: &mut Report) -> Result<(), StoreError> {
        let mut due = 0_u64;
        for entry in self.range(Shelf::Due, &[], None) {
            let (key, _) = entry?;
            due += 1;
            let row = keys::read_due(&key)
                .map(|id| self.get::<RowRecord>(Shelf::Outbox, &keys::outbox(id)));
            let stands = matches!(row, Some(Ok(Some(RowRecord { dead: None, .. }))));
            if !stands {
                report.fault(format!("due key {key:02x?} names no row that waits"));
            }
        }
        let mut waiting = 0_u64;
        for entry in self.range(Shelf::Outbox, &[], None) {
            let (key, bytes) = entry?;
            if let Ok(row) = codec::unseal::<RowRecord>(Shelf::Outbox, &key, &bytes) {
                waiting += u64::from(row.dead.is_none());
            }
        }
        if waiting != due {
            report.fault(format!(
                "{waiting} rows wait in the outbox, {due} are in the due order"
            ));
        }
        Ok(())
    }
}
