//! The deliveries that stand: what a collector weighed beside what the farm had weighed.
//!
//! Made by replaying each farm's events: what was taken back is not listed. This room does not know prices.

use crate::counter::harvests::message_id;
use crate::domain::MemberNo;
use crate::domain::event::{Event, FarmEvent, StreamId};
use crate::domain::message::CoopId;
use crate::store::{Store, StoreError};
use crate::units::Grams;
use crate::units::day::FarmDay;

/// Eggs received from a farm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeliveryRow {
    /// Whose eggs.
    pub member: MemberNo,
    /// Day.
    pub day: FarmDay,
    /// As received.
    pub grams: Grams,
    /// As the farm had weighed them, where it had.
    pub own: Option<Grams>,
    /// Who received them.
    pub by: Option<MemberNo>,
    /// The network's id of that message where it had one, else our number.
    pub message_id: String,
}

/// One farm's deliveries by day, without those that were taken back.
pub(crate) fn of_farm(
    store: &Store,
    coop: CoopId,
    farm: MemberNo,
) -> Result<Vec<DeliveryRow>, StoreError> {
    let mut rows = Vec::new();
    store.events(coop, &StreamId::Farm(farm), |_, record| {
        let (by, said) = (record.recorded.by, record.recorded.message);
        match &record.recorded.event {
            Event::Farm(FarmEvent::Delivered(delivery)) => rows.push((
                said,
                DeliveryRow {
                    member: farm,
                    day: delivery.day,
                    grams: delivery.grams,
                    own: delivery.own,
                    by,
                    message_id: message_id(record.id.as_deref(), said),
                },
            )),
            Event::Farm(FarmEvent::TakenBack { message, .. }) => {
                rows.retain(|(by, _)| *by != Some(*message));
            }
            _ => {}
        }
        Ok(())
    })?;
    let mut rows: Vec<DeliveryRow> = rows.into_iter().map(|(_, row)| row).collect();
    rows.sort_by_key(|row| row.day);
    Ok(rows)
}
