//! A cage named by its number alone: `C1 2 water` may be 2 g from C1, or water at C1 and C2.
//!
//! No code is put right here. Where a number would be a question as a weight anyway and another cage of the farm has it, that cage is shown
//! among the answers, and what stands with the number is held with it.

use crate::desk::days;
use crate::desk::eggs::TOO_EARLY_DAYS;
use crate::desk::plausible::is_plausible;
use crate::desk::quoting::quoted;
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
use crate::domain::event::FarmEvent;
use crate::domain::question::Held;
use crate::domain::said::{DaySaid, Fact, Reading, Said, Units, Verb, Why};
use crate::grammar::{Lexicon, registry};
use crate::units::Grams;

impl Work<'_> {
    /// The farm's other cage with the letters of `unit` whose number a weight is.
    pub(crate) fn cage_of_number(&self, unit: UnitCode, grams: Grams) -> Option<UnitCode> {
        let whole = grams.hundredths().is_multiple_of(100);
        let number = u16::try_from(grams.hundredths() / 100).ok()?;
        let other = UnitCode::new(&unit.letters(), number).filter(|_| whole)?;
        (other != unit && self.farm.unit(other).is_some()).then_some(other)
    }

    /// The other cages that the weights of some readings may name.
    pub(crate) fn cages_of_numbers(&self, readings: &[Said]) -> Vec<UnitCode> {
        let mut cages: Vec<UnitCode> = readings
            .iter()
            .flat_map(|said| named(said).into_iter().map(move |unit| (said, unit)))
            .filter_map(|(said, unit)| self.cage_of_number(unit, bare(said)?))
            .collect();
        cages.sort();
        cages.dedup();
        cages
    }

    /// Holds what may be a cage without its letter, with what stands beside it; gives the facts that are left.
    pub(crate) fn hold_letterless<'r>(&mut self, reading: &'r Reading) -> Vec<&'r Said> {
        let mut left: Vec<&Said> = reading.said.iter().collect();
        let beside = |said: &&Said| matches!(said.fact, Fact::Care(_) | Fact::Ants | Fact::Dead(_));
        if !left.iter().any(beside) {
            return left;
        }
        let doubtful = reading.doubts.iter().filter(|d| {
            matches!(
                d.why,
                Why::TwoNumbers | Why::SplitDecimal | Why::WeightForMany
            )
        });
        let mut suspects: Vec<UnitCode> = doubtful
            .flat_map(|d| d.readings.iter().filter_map(only))
            .collect();
        for said in &reading.said {
            let (Some(unit), Some(grams)) = (only(said), bare(said)) else {
                continue;
            };
            let Some(other) = self.cage_of_number(unit, grams) else {
                continue;
            };
            if self.would_be_asked(unit, said.day, grams) {
                left.retain(|kept| *kept != said);
                let words = with(unit, &left, self);
                self.hold(Held::Doubt {
                    why: Why::LetterMissing,
                    unit: None,
                    text: quoted(&format!("{unit} {}{words}", other.number())),
                    options: vec![format!("{unit} {grams}"), other.to_string()],
                    likely: Vec::new(),
                });
                left.retain(|kept| only(kept) != Some(unit) || !beside(kept));
            }
        }
        suspects.dedup();
        for unit in suspects {
            let (held, kept) = left
                .iter()
                .partition::<Vec<&Said>, _>(|said| only(said) == Some(unit) && beside(said));
            left = kept;
            for said in held {
                self.hold_beside(unit, said);
            }
        }
        left
    }

    /// Work told of a cage whose weight is asked about, since flies cannot have laid there or the day has another: the code may be wrong, and
    /// then it is for the work too.
    pub(crate) fn beside_impossible<'r>(&self, reading: &'r Reading) -> Vec<&'r Said> {
        let mut suspects: Vec<UnitCode> = Vec::new();
        for said in &reading.said {
            if let (Some(unit), Some(grams)) = (only(said), weight(said))
                && self.cannot_be(unit, said.day, grams)
            {
                suspects.push(unit);
            }
        }
        let doubtful = |said: &&Said| {
            let new = || {
                self.events_of(said)
                    .is_some_and(|events| !self.stand(&events))
            };
            matches!(said.fact, Fact::Care(_) | Fact::Ants | Fact::Dead(_))
                && only(said).is_some_and(|unit| suspects.contains(&unit))
                && new()
        };
        reading.said.iter().filter(doubtful).collect()
    }

    /// Whether care done stands on record already.
    fn stand(&self, events: &[FarmEvent]) -> bool {
        events.iter().all(|event| match event {
            FarmEvent::Cared { unit, job, day } => {
                self.farm.unit(*unit).and_then(|u| u.last_care(*job)) == Some(*day)
            }
            _ => false,
        })
    }

    /// Whether flies cannot have laid a weight, or its day has another.
    fn cannot_be(&self, unit: UnitCode, day: DaySaid, grams: Grams) -> bool {
        let Some(day) = days::resolve(day, self.today) else {
            return false;
        };
        let Some(known) = self.farm.unit(unit) else {
            return false;
        };
        let Some(run) = known.run_on(day) else {
            return true;
        };
        run.on(day).is_some_and(|standing| standing.grams != grams)
            || (run.age(day) <= TOO_EARLY_DAYS && grams > Grams::ZERO)
    }

    /// What stands beside two numbers for one cage may be another cage's.
    pub(crate) fn hold_beside(&mut self, unit: UnitCode, said: &Said) {
        let Some(likely) = self.events_of(said) else {
            return self.fact(said);
        };
        let words = with(unit, &[said], self);
        self.hold(Held::Doubt {
            why: Why::Unsure,
            // It may be another's: the question is not this cage's alone.
            unit: None,
            text: quoted(&format!("{unit}{words}")),
            options: Vec::new(),
            likely,
        });
    }

    /// Whether a weight would be a question at its cage: the day has another, flies cannot have laid, or it is too much.
    fn would_be_asked(&self, unit: UnitCode, day: DaySaid, grams: Grams) -> bool {
        let Some(known) = self.farm.unit(unit) else {
            return false;
        };
        let Some(date) = days::resolve(day, self.today) else {
            return false;
        };
        let run = known.run_on(date);
        self.cannot_be(unit, day, grams)
            || run.is_some_and(|run| {
                run.age(date) <= TOO_EARLY_DAYS || !is_plausible(run, date, grams)
            })
    }
}

/// The words of what is said of one cage beside its number.
fn with(unit: UnitCode, said: &[&Said], work: &Work<'_>) -> String {
    let word = |said: &&&Said| match said.fact {
        Fact::Care(job) => registry::VERBS
            .iter()
            .find(|row| row.care == Some(job))
            .map(|row| row.verb),
        Fact::Ants => Some(Verb::Ants),
        Fact::Dead(_) => Some(Verb::Dead),
        _ => None,
    };
    said.iter()
        .filter(|said| only(said) == Some(unit))
        .filter_map(|said| word(&said))
        .map(|verb| format!(" {}", Lexicon::builtin().word(verb, work.sender.lang)))
        .collect()
}

fn named(said: &Said) -> Vec<UnitCode> {
    match &said.units {
        Units::Named(units) => units.iter().map(|u| u.code).collect(),
        Units::All | Units::Unsaid => Vec::new(),
    }
}

pub(crate) fn only(said: &Said) -> Option<UnitCode> {
    match named(said)[..] {
        [unit] => Some(unit),
        _ => None,
    }
}

fn weight(said: &Said) -> Option<Grams> {
    match &said.fact {
        Fact::Eggs { weight, .. } if weight.gross_tare.is_none() => Some(weight.grams),
        _ => None,
    }
}

/// A weight without a unit: one with it is no cage's number.
fn bare(said: &Said) -> Option<Grams> {
    match &said.fact {
        Fact::Eggs { weight, .. } if weight.unit_said => None,
        _ => weight(said),
    }
}
