//! Codes with a number stuck to them: each way to part them is a reading.
//!
//! This room saves nothing: what is stuck is always a question.

use crate::domain::said::{DaySaid, Doubt, Fact, Said, Units};
use crate::grammar::emit::{Emit, eggs, is_amount};
use crate::grammar::facts::{Draft, GroupUnits};
use crate::grammar::orders::written;

impl Emit<'_> {
    /// `C412.5 bait`: readings of the code that hold a number are eggs of that unit, asked about once, with the first draft.
    pub(crate) fn stuck_numbers(&self, readings: &mut Vec<Said>, draft: &Draft, days: &[DaySaid]) {
        let first = self
            .read
            .drafts
            .first()
            .is_some_and(|d| d.place == draft.place);
        if !first || !is_amount(draft) {
            return;
        }
        readings.splice(0..0, self.stuck_readings(days));
    }

    fn stuck_readings(&self, days: &[DaySaid]) -> Vec<Said> {
        let GroupUnits::Doubt(_, units) = &self.group.units else {
            return Vec::new();
        };
        let mut readings = Vec::new();
        for day in days {
            for reading in units {
                let Some(number) = &reading.number else {
                    continue;
                };
                if let Some(grams) = number.grams(number.hundredths) {
                    readings.push(Said {
                        units: Units::Named(reading.units.clone()),
                        day: *day,
                        fact: eggs(grams, number.in_kilograms()),
                    });
                }
            }
        }
        readings
    }

    /// A doubtful code with nothing else: the eggs that may be in it.
    pub(crate) fn stuck_alone(&mut self, days: &[DaySaid]) {
        let GroupUnits::Doubt(why, units) = &self.group.units else {
            return;
        };
        let mut readings = self.stuck_readings(days);
        for unit in units.iter().filter(|r| r.number.is_none()) {
            readings.push(Said {
                units: Units::Named(unit.units.clone()),
                day: DaySaid::Unsaid,
                fact: Fact::State,
            });
        }
        if let Some((at, end)) = self.group.unit_span {
            let text = written(self.original, at, end);
            self.reading.doubts.push(Doubt {
                why: *why,
                text,
                readings,
            });
        }
    }
}
