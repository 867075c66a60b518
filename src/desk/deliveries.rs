//! Eggs received from a farm: the collector's figure beside the farm's own.
//!
//! `got 2071 48.2` goes into the stream of the farm that delivered, so that one stream holds both figures. This room does not know money.

use crate::desk::farm::Farm;
use crate::desk::reply::{Refusal, SavedNote, SavedWhat};
use crate::desk::work::Work;
use crate::domain::Role;
use crate::domain::event::{Delivery, FarmEvent};
use crate::domain::question::{Closing, Held};
use crate::domain::said::{DaySaid, Verb, Weighed};
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Days;

/// The most that one farm can bring at once: forty cages of 10,000 pupae at a third of all they ever lay are 1.5 kg; more is a slip of the point.
const MOST_HUNDREDTHS: u32 = 200_000;
/// A farm that has delivered nothing yet is compared with its last seven days.
const FIRST_DAYS: u64 = 7;
/// Within a half and one and a half times the farm's own weights, and this much, both scales may be right: eggs dry, crumbs are lost, scales differ.
const SLACK_HUNDREDTHS: u32 = 500;

impl Work<'_> {
    /// Eggs received from the owner's farm.
    pub(crate) fn delivery(&mut self, day: DaySaid, weight: Weighed) {
        if self.sender.role < Role::Collector {
            self.refuse(Refusal::NotAllowed);
            return;
        }
        let Some(day) = self.date(None, day) else {
            return;
        };
        if !self.in_reach(day) {
            return;
        }
        let grams = weight.grams;
        if grams.hundredths() > MOST_HUNDREDTHS || grams == Grams::ZERO {
            self.refuse(Refusal::OutOfBounds(Verb::Got));
            return;
        }
        let standing = self.farm.deliveries.iter().find(|d| d.day == day).copied();
        // What comes on top of a day's first delivery is in the farm's figure already.
        let own = match standing {
            Some(_) => None,
            None => own_since_last(&self.farm, day),
        };
        if standing.is_some_and(|row| row.grams == grams) {
            self.already(None, SavedWhat::Delivered { grams, own }, day);
            return;
        }
        let insisted = self.withdraw_delivery(day, grams);
        let delivery = Delivery { day, grams, own };
        let already = standing.map_or(Grams::ZERO, |row| row.grams);
        // What a farm that keeps no record brings cannot be compared; the ceiling above is all there is.
        let far = own.is_some_and(|own| is_far(grams, own));
        if !insisted && (far || standing.is_some() || weight.in_kilograms) {
            self.hold(Held::Delivery { delivery, already });
        } else {
            self.save_delivery(delivery);
        }
    }

    /// Records a delivery on top of what its day has.
    pub(crate) fn save_delivery(&mut self, delivery: Delivery) {
        let standing = self.farm.deliveries.iter().find(|d| d.day == delivery.day);
        let note = standing.map_or(SavedNote::New, |row| {
            SavedNote::AddedTo(row.grams.plus(delivery.grams))
        });
        self.save_as(FarmEvent::Delivered(delivery), note);
    }

    /// A new figure for the same day withdraws what was asked about it; whether it is the very figure that was asked about.
    fn withdraw_delivery(&mut self, day: FarmDay, grams: Grams) -> bool {
        let sender = self.sender_no();
        let asked: Vec<(u32, Grams)> = self
            .farm
            .questions
            .iter()
            .filter(|question| question.by == Some(sender))
            .filter_map(|question| match &question.held {
                Held::Delivery { delivery, .. } if delivery.day == day => {
                    Some((question.no, delivery.grams))
                }
                _ => None,
            })
            .collect();
        for (no, _) in &asked {
            self.close(*no, Closing::Withdrawn);
        }
        asked.iter().any(|(_, held)| *held == grams)
    }
}

fn is_far(grams: Grams, own: Grams) -> bool {
    let half = own.hundredths() / 2;
    let (low, high) = (half, own.hundredths() + half);
    grams.hundredths() + SLACK_HUNDREDTHS < low || grams.hundredths() > high + SLACK_HUNDREDTHS
}

/// The farm's own weights since the day of its delivery before, up to `day`; none where it has none.
fn own_since_last(farm: &Farm, day: FarmDay) -> Option<Grams> {
    let last = farm.deliveries.iter().rev().find(|d| d.day < day);
    let first = day.checked_sub_days(Days::new(FIRST_DAYS))?;
    let since = last.map_or(first, |d| d.day.max(first));
    let runs = farm
        .units
        .iter()
        .flat_map(|unit| unit.running.iter().chain(&unit.last));
    let weights = runs.flat_map(|run| {
        run.harvests.iter().map(|h| {
            (
                run.stocked + chrono::Duration::days(i64::from(h.day)),
                h.grams,
            )
        })
    });
    weights
        .filter(|(on, _)| *on > since && *on <= day)
        .map(|(_, grams)| grams)
        .reduce(Grams::plus)
}
