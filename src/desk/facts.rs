//! Facts about units: which units are meant, on which day, and what is recorded of them. Eggs and stockings have rooms of their own.
//!
//! This room does not read text and does not answer questions.

use crate::desk::asking::saved_of;
use crate::desk::eggs::{Meant, TOO_EARLY_DAYS};
use crate::desk::reply::{Refusal, SavedNote, SavedWhat};
use crate::desk::second_look::{is_unlikely_weather, too_many_dead};
use crate::desk::unit::Unit;
use crate::desk::work::Work;
use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::event::{DayTemperature, FarmEvent};
use crate::domain::question::{Held, Unplaced};
use crate::domain::said::{DaySaid, Fact, Said, UnitSaid, Units, Why};
use crate::units::day::FarmDay;
use crate::units::{Celsius, Grams};

/// Units that a question or refusal lists: more than a reply can show.
pub(crate) const LISTED_MAX: usize = 12;

impl Work<'_> {
    /// One fact, for all of its units.
    pub(crate) fn fact(&mut self, said: &Said) {
        if let Fact::Temperature { min, max } = said.fact {
            self.temperature(said.day, min, max);
            return;
        }
        if let Fact::Delivered(weight) = said.fact {
            self.delivery(said.day, weight);
            return;
        }
        for unit in self.units_meant(&said.units, &said.fact) {
            self.fact_at(unit, said.day, &said.fact);
        }
    }

    fn fact_at(&mut self, unit: UnitCode, day: DaySaid, fact: &Fact) {
        if matches!(fact, Fact::State) {
            self.state(unit);
            self.which_unit_again(unit);
            return;
        }
        let Some(day) = self.date(Some(unit), day) else {
            return;
        };
        match fact {
            Fact::Eggs { weight, add } => {
                let meant = if *add { Meant::Add } else { Meant::Plain };
                self.eggs(unit, day, *weight, meant);
            }
            Fact::FixEggs(weight) => self.eggs(unit, day, *weight, Meant::Fix),
            Fact::Stock { amount, kind } => self.stock(unit, day, *amount, *kind),
            Fact::FixStock { amount, kind } => self.fix_stock(unit, *amount, *kind),
            Fact::Care(job) => self.care(unit, day, *job),
            Fact::Dead(grams) => self.dead(unit, day, *grams),
            Fact::Ants => self.ants(unit, day),
            Fact::Retire => self.retire(unit, day),
            Fact::Temperature { .. } | Fact::Delivered(_) | Fact::State => {}
        }
    }

    /// The units that a fact is about, each known to the farm (or about to be stocked); empty after a refusal or a question.
    fn units_meant(&mut self, units: &Units, fact: &Fact) -> Vec<UnitCode> {
        match units {
            // `C1-C92 water`: which cages are meant is not certain where the range ends at none.
            Units::Named(named) if let Some(end) = self.unknown_end(named) => {
                self.refuse_unknown(end);
                Vec::new()
            }
            Units::Named(named) => named
                .iter()
                .filter_map(|unit| self.known(*unit, fact))
                .collect(),
            Units::All => self.all_meant(fact),
            Units::Unsaid => self.unsaid(fact),
        }
    }

    fn known(&mut self, said: UnitSaid, fact: &Fact) -> Option<UnitCode> {
        let exists = self.farm.unit(said.code).is_some();
        if !exists && said.inside_range {
            return None;
        }
        let asks_only = matches!(fact, Fact::State);
        if self.rules.check_letter_required && !said.checked && !said.inside_range && !asks_only {
            self.refuse(Refusal::CheckLetterNeeded(said.code));
            return None;
        }
        if !exists && !matches!(fact, Fact::Stock { .. }) {
            self.refuse_unknown(said.code);
            return None;
        }
        Some(said.code)
    }

    /// The end of a written range that the farm has not.
    fn unknown_end(&self, named: &[UnitSaid]) -> Option<UnitCode> {
        let ranged = named.iter().any(|unit| unit.inside_range);
        let unknown = |unit: &&UnitSaid| !unit.inside_range && self.farm.unit(unit.code).is_none();
        named
            .iter()
            .find(unknown)
            .filter(|_| ranged)
            .map(|unit| unit.code)
    }

    /// No such unit: the farm's own, and how to start it.
    pub(crate) fn refuse_unknown(&mut self, unit: UnitCode) {
        let have = self.farm.units.iter().map(|u| u.code);
        let have = have.take(LISTED_MAX).collect();
        self.refuse(Refusal::UnknownUnit { unit, have });
    }

    fn all_meant(&mut self, fact: &Fact) -> Vec<UnitCode> {
        let running: Vec<UnitCode> = self.farm.running().map(|(unit, _)| unit.code).collect();
        match (running.as_slice(), fact) {
            ([], _) => self.refuse_nothing_running(),
            // A weight or an amount needs one unit.
            ([_, _, ..], Fact::Eggs { .. } | Fact::FixEggs(_) | Fact::Stock { .. }) => {
                self.ask_which(fact, &running);
            }
            _ => return running,
        }
        Vec::new()
    }

    /// No unit was named: the only one that can be meant, or a question.
    fn unsaid(&mut self, fact: &Fact) -> Vec<UnitCode> {
        let running: Vec<UnitCode> = self.farm.running().map(|(unit, _)| unit.code).collect();
        let every: Vec<UnitCode> = self.farm.units.iter().map(|u| u.code).collect();
        let fitting = match fact {
            Fact::Eggs { .. } | Fact::FixEggs(_) => {
                let laying: Vec<UnitCode> = self.laying();
                if laying.len() == 1 { laying } else { running }
            }
            Fact::Stock { .. } => {
                let empty = |u: &&Unit| u.running.is_none();
                self.farm
                    .units
                    .iter()
                    .filter(empty)
                    .map(|u| u.code)
                    .collect()
            }
            _ => running,
        };
        match (fitting.as_slice(), every.as_slice()) {
            ([only], _) | ([], [only]) => vec![*only],
            ([], _) => {
                self.refuse_nothing_running();
                Vec::new()
            }
            (several, _) => {
                self.ask_which(fact, several);
                Vec::new()
            }
        }
    }

    /// A bare code right after "which cage?" looks like the answer, but it only asks how that cage is: the question is shown again, so that
    /// nobody takes the weight for saved.
    fn which_unit_again(&mut self, unit: UnitCode) {
        let open = self.latest().map(|question| question.held);
        if let Some(held) = open
            && matches!(&held, Held::WhichUnit { units, .. } | Held::WhichUnitFor { units, .. } if units.contains(&unit))
        {
            self.ask_again(&held);
        }
    }

    fn laying(&self) -> Vec<UnitCode> {
        let today = self.today;
        self.farm
            .running()
            .filter(|(_, run)| run.age(today) > TOO_EARLY_DAYS || !run.harvests.is_empty())
            .map(|(unit, _)| unit.code)
            .collect()
    }

    fn ask_which(&mut self, fact: &Fact, units: &[UnitCode]) {
        let grams = match fact {
            Fact::Eggs { weight, .. } | Fact::FixEggs(weight) => Some(weight.grams),
            _ => None,
        };
        let of = match fact {
            Fact::Care(job) => Some(Unplaced::Care(*job)),
            Fact::Ants => Some(Unplaced::Ants),
            Fact::Dead(_) => Some(Unplaced::Dead),
            Fact::Stock { .. } => Some(Unplaced::Stock),
            Fact::Retire => Some(Unplaced::Retire),
            _ => None,
        };
        let units = units.iter().copied().take(LISTED_MAX).collect();
        self.hold(match of {
            Some(of) => Held::WhichUnitFor { of, units },
            None => Held::WhichUnit { grams, units },
        });
    }

    fn refuse_nothing_running(&mut self) {
        match self.farm.units.first().map(|unit| unit.code) {
            Some(first) => self.refuse(Refusal::NotRunning(first)),
            None => {
                if let Some(first) = UnitCode::new("C", 1) {
                    self.refuse_unknown(first);
                }
            }
        }
    }

    fn care(&mut self, unit: UnitCode, day: FarmDay, job: CareJob) {
        if !self.in_reach(day) {
            return;
        }
        if self.farm.unit(unit).and_then(|u| u.last_care(job)) == Some(day) {
            self.already(Some(unit), SavedWhat::Care(vec![job]), day);
            return;
        }
        self.save_plain(FarmEvent::Cared { unit, job, day });
    }

    fn dead(&mut self, unit: UnitCode, day: FarmDay, grams: Option<Grams>) {
        if !self.in_reach(day) {
            return;
        }
        let known = self.farm.unit(unit).and_then(|u| u.dead);
        if known.is_some_and(|dead| dead.day == day && dead.grams == grams) {
            self.already(Some(unit), SavedWhat::Dead(grams), day);
            return;
        }
        let run = self.farm.unit(unit).and_then(|u| u.run_on(day));
        let likely = grams.and_then(|grams| too_many_dead(run, grams, self.rules.pupa_mg));
        if let Some(likely) = likely {
            let grams = Some(likely);
            let event = FarmEvent::DeadFlies { unit, day, grams };
            self.hold_unlikely(Why::FarOff, Some(unit), event);
            return;
        }
        self.save_plain(FarmEvent::DeadFlies { unit, day, grams });
    }

    fn ants(&mut self, unit: UnitCode, day: FarmDay) {
        if !self.in_reach(day) {
            return;
        }
        if self.farm.unit(unit).and_then(|u| u.ants) == Some(day) {
            self.already(Some(unit), SavedWhat::Ants, day);
            return;
        }
        self.save_plain(FarmEvent::AntsSeen { unit, day });
    }

    fn temperature(&mut self, day: DaySaid, min: Celsius, max: Celsius) {
        let Some(day) = self.date(None, day) else {
            return;
        };
        if !self.in_reach(day) {
            return;
        }
        let new = DayTemperature { day, min, max };
        let standing = self.farm.temperatures.iter().find(|t| t.day == day);
        match standing.copied() {
            Some(same) if same == new => {
                self.already(None, SavedWhat::Temperature(min, max), day);
            }
            _ if is_unlikely_weather(&self.farm, &new) => {
                self.hold_unlikely(Why::FarOff, None, FarmEvent::Temperature(new));
            }
            Some(_) => self.save_as(FarmEvent::Temperature(new), SavedNote::Corrected),
            None => self.save_plain(FarmEvent::Temperature(new)),
        }
    }

    /// Records a fact as new.
    pub(crate) fn save_plain(&mut self, event: FarmEvent) {
        self.save_as(event, SavedNote::New);
    }

    /// Records a fact under a note.
    pub(crate) fn save_as(&mut self, event: FarmEvent, note: SavedNote) {
        if let Some(saved) = saved_of(&event, note) {
            self.save(event, saved);
        }
    }
}
