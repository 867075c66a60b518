//! From what is held to the question that is shown.
//!
//! One question is shown the same way whenever it is asked again. This room changes nothing.

use crate::desk::reply::{Ask, Saved, SavedNote, SavedWhat};
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
use crate::domain::event::{FarmEvent, Harvest, HarvestHow};
use crate::domain::question::Held;
use crate::units::Grams;

impl Work<'_> {
    /// The question as it is shown.
    pub(crate) fn ask_of(&self, held: &Held) -> Ask {
        match held {
            Held::OtherWeight { harvest, old } => Ask::OtherWeight {
                unit: harvest.unit,
                day: harvest.day,
                old: *old,
                new: harvest.grams,
            },
            Held::AddAgain { harvest } => Ask::AddAgain {
                unit: harvest.unit,
                day: harvest.day,
                grams: harvest.grams,
                total: self.standing(harvest).unwrap_or(Grams::ZERO),
            },
            Held::Implausible {
                harvest,
                most,
                likely,
            } => Ask::Implausible {
                unit: harvest.unit,
                said: harvest.grams,
                most: *most,
                likely: *likely,
            },
            Held::TooEarly { harvest, days } => Ask::TooEarly {
                unit: harvest.unit,
                grams: harvest.grams,
                days: *days,
            },
            Held::NotStocked { harvest } => Ask::NotStocked {
                unit: harvest.unit,
                grams: harvest.grams,
            },
            Held::Restock { stocking, since } => Ask::Restock {
                unit: stocking.unit,
                pupae: stocking.pupae,
                since: *since,
            },
            Held::StockSize {
                stocking, likely, ..
            } => Ask::StockSize {
                unit: stocking.unit,
                pupae: stocking.pupae.unwrap_or(crate::units::Pupae::MAX),
                likely: likely.map(|(pupae, _)| pupae),
            },
            Held::WhichUnit { grams, units } => Ask::WhichUnit {
                grams: *grams,
                of: None,
                units: units.clone(),
            },
            Held::WhichUnitFor { of, units } => Ask::WhichUnit {
                grams: None,
                of: Some(*of),
                units: units.clone(),
            },
            Held::Doubt {
                why,
                unit,
                text,
                options,
                likely,
            } => Ask::Doubt {
                why: *why,
                unit: *unit,
                text: text.clone(),
                options: options.clone(),
                likely: merged(likely),
            },
            Held::Delivery { delivery, already } => Ask::Delivery {
                grams: delivery.grams,
                day: delivery.day,
                own: delivery.own,
                already: *already,
            },
            Held::Forget => Ask::Forget,
            Held::Pin(behind) => Ask::Pin(*behind),
        }
    }

    /// The weight on record for the day of a harvest.
    pub(crate) fn standing(&self, harvest: &Harvest) -> Option<Grams> {
        let run = self.farm.unit(harvest.unit)?.run_on(harvest.day)?;
        run.on(harvest.day).map(|h| h.grams)
    }
}

/// How a recorded fact is shown; `None` for events that are no facts.
pub(crate) fn saved_of(event: &FarmEvent, note: SavedNote) -> Option<Saved> {
    let (unit, what, day) = match event {
        FarmEvent::Harvested(h) => {
            let what = SavedWhat::Eggs {
                grams: h.grams,
                gross_tare: h.gross_tare,
            };
            (Some(h.unit), what, h.day)
        }
        FarmEvent::Cared { unit, job, day } => (Some(*unit), SavedWhat::Care(vec![*job]), *day),
        FarmEvent::Stocked(s) | FarmEvent::StockCorrected(s) => {
            let what = SavedWhat::Stock {
                pupae: s.pupae,
                weight: s.weight,
                kind: s.kind,
            };
            (Some(s.unit), what, s.day)
        }
        FarmEvent::DeadFlies { unit, day, grams } => (Some(*unit), SavedWhat::Dead(*grams), *day),
        FarmEvent::AntsSeen { unit, day } => (Some(*unit), SavedWhat::Ants, *day),
        FarmEvent::Temperature(t) => (None, SavedWhat::Temperature(t.min, t.max), t.day),
        FarmEvent::Retired { unit, day } => (Some(*unit), SavedWhat::Retire, *day),
        FarmEvent::Delivered(d) => {
            let what = SavedWhat::Delivered {
                grams: d.grams,
                own: d.own,
            };
            (None, what, d.day)
        }
        _ => return None,
    };
    Some(Saved {
        unit,
        what,
        day,
        note,
    })
}

/// Several like facts as one, with the other units in the note.
fn merged(events: &[FarmEvent]) -> Option<Saved> {
    let mut all = events
        .iter()
        .filter_map(|event| saved_of(event, SavedNote::New));
    let mut first = all.next()?;
    let others: Vec<UnitCode> = all.filter_map(|saved| saved.unit).collect();
    if !others.is_empty() {
        first.note = SavedNote::With(others);
    }
    Some(first)
}

/// What a harvest is to be called once it is recorded over `before`.
pub(crate) fn harvest_note(harvest: &Harvest, before: Option<Grams>) -> SavedNote {
    match (harvest.how, before) {
        (HarvestHow::Added, Some(before)) => SavedNote::AddedTo(before.plus(harvest.grams)),
        (HarvestHow::Replaced, Some(before)) => SavedNote::Replaced(before),
        (HarvestHow::First | HarvestHow::Added | HarvestHow::Replaced, _) => SavedNote::New,
    }
}
