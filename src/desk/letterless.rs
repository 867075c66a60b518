//! A cage named by its number alone: `C1 2 water` may be 2 g from C1, or water at C1 and C2.
//!
//! No code is put right here. Where a number would be a question as a weight anyway and another cage of the farm has it, that cage is shown
//! among the answers, and what stands with the number is held with it.

use crate::desk::days;
use crate::desk::doubts::QUOTED_MAX;
use crate::desk::eggs::TOO_EARLY_DAYS;
use crate::desk::plausible::is_plausible;
use crate::desk::work::Work;
use crate::domain::code::UnitCode;
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
            .filter_map(|(said, unit)| self.cage_of_number(unit, weight(said)?))
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
            let (Some(unit), Some(grams)) = (only(said), weight(said)) else {
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
                    text: format!("{unit} {}{words}", other.number())
                        .chars()
                        .take(QUOTED_MAX)
                        .collect(),
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

    /// What stands beside two numbers for one cage may be another cage's.
    fn hold_beside(&mut self, unit: UnitCode, said: &Said) {
        let Some(likely) = self.events_of(said) else {
            return self.fact(said);
        };
        let words = with(unit, &[said], self);
        self.hold(Held::Doubt {
            why: Why::Unsure,
            // It may be another's: the question is not this cage's alone.
            unit: None,
            text: format!("{unit}{words}").chars().take(QUOTED_MAX).collect(),
            options: Vec::new(),
            likely,
        });
    }

    /// Whether a weight would be a question at its cage: the day has another, flies cannot have laid, or it is too much.
    fn would_be_asked(&self, unit: UnitCode, day: DaySaid, grams: Grams) -> bool {
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
            || run.age(day) <= TOO_EARLY_DAYS
            || !is_plausible(run, day, grams)
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

fn only(said: &Said) -> Option<UnitCode> {
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
