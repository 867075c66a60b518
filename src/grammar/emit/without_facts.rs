//! Groups without a fact: questions about a unit, days and words that stand alone, and "nothing".
//!
//! This room says nothing about amounts.

use crate::domain::said::{DaySaid, Doubt, Expected, Fact, Said, Units, Verb, Why};
use crate::grammar::emit::{Emit, eggs};
use crate::grammar::facts::GroupUnits;
use crate::grammar::meanings::{Blur, Meaning};
use crate::grammar::orders::written;
use crate::grammar::roles::Role;
use crate::grammar::tokens::{Kind, Token};
use crate::units::Grams;

impl Emit<'_> {
    /// `C1 4 CP2 temp 18-31`: a unit among others that has only what is the farm's own has probably lost its weight.
    pub(crate) fn left_bare(&mut self) {
        let others = self
            .groups
            .iter()
            .filter(|group| group.unit_place.is_some())
            .count();
        if others > 1
            && !self.read.asked
            && self.read.unread.is_empty()
            && let (GroupUnits::Named(_), Some((at, end))) =
                (&self.group.units, self.group.unit_span)
        {
            self.name(at, end, Expected::WeightOrWord);
        }
    }

    /// A unit without a fact is a question about it, unless something there was not understood.
    pub(crate) fn without_facts(&mut self, facts_elsewhere: bool) {
        if let Some(blur) = self.read.blur {
            return self.blurred(blur);
        }
        // `C1 5, C2 C3 Asha`: so have units of which only a word says something that is none of ours.
        let several = match &self.group.units {
            GroupUnits::Named(units) => units.len() > 1,
            GroupUnits::All => true,
            _ => false,
        };
        let wordy = |t: &Token| matches!(t.kind, Kind::Unknown | Kind::Word(Meaning::Plain));
        if let (true, Some((at, end))) = (
            facts_elsewhere
                && several
                && !self.read.unread.is_empty()
                && self.read.unread.iter().all(|(t, _)| wordy(t)),
            self.group.unit_span,
        ) {
            return self.name(at, end, Expected::WeightOrWord);
        }
        // A unit left over beside facts has probably lost its own.
        if facts_elsewhere
            && !self.read.asked
            && self.read.unread.is_empty()
            && self.read.days.is_empty()
            && self.group.items.iter().all(|(_, t)| t.is_filler())
            // "all good" beside facts is a polite form.
            && (self.group.units != GroupUnits::All || self.group.items.is_empty())
            && let (GroupUnits::Named(_) | GroupUnits::All, Some((at, end))) =
                (&self.group.units, self.group.unit_span)
        {
            return self.name(at, end, Expected::WeightOrWord);
        }
        // `C4 wa`: a small word right after a unit, and nothing else, may be a keyword cut short.
        let short = |t: &Token| {
            t.text.len() <= 2 && t.text != "ok" && t.kind == Kind::Word(Meaning::Filler)
        };
        let cut = self
            .group
            .items
            .iter()
            .find(|(at, t)| Some(*at) > self.group.unit_place && short(t));
        if let (Some((_, token)), false, true) = (cut, self.read.asked, self.read.unread.is_empty())
        {
            return self.name(token.at, token.end, Expected::WeightOrWord);
        }
        let units = match &self.group.units {
            GroupUnits::Named(units) => Units::Named(units.clone()),
            // "all good" beside facts is a polite form.
            GroupUnits::All
                if facts_elsewhere && !self.group.items.is_empty() && !self.read.asked =>
            {
                return;
            }
            GroupUnits::All => Units::All,
            GroupUnits::Doubt(_, readings) => {
                // One that may hold a number is asked about already.
                if let (Some((at, end)), true) = (
                    self.group.unit_span,
                    readings.iter().all(|r| r.number.is_none()) && facts_elsewhere,
                ) {
                    self.name(at, end, Expected::WeightOrWord);
                }
                return;
            }
            GroupUnits::Bad(_) => return,
            GroupUnits::Unsaid => return self.without_unit(facts_elsewhere),
        };
        if self.read.unread.is_empty() && self.read.days.is_empty() {
            self.reading.said.push(Said {
                units,
                day: DaySaid::Unsaid,
                fact: Fact::State,
            });
        }
    }

    /// Days and question marks that stand with nothing.
    fn without_unit(&mut self, facts_elsewhere: bool) {
        if facts_elsewhere || !self.read.unread.is_empty() {
            return;
        }
        for (_, token) in self.group.items.iter().filter(|(_, t)| !t.is_filler()) {
            self.name(token.at, token.end, Expected::CageOrWord);
        }
    }

    /// "no eggs at C4": nothing taken is the likely meaning, but it is asked.
    fn blurred(&mut self, blur: Blur) {
        let (units, span) = match (&self.group.units, self.group.unit_span) {
            (GroupUnits::Named(units), Some(span)) => (units.clone(), span),
            _ => {
                for (_, token) in self.group.items.iter().filter(|(_, t)| !t.is_filler()) {
                    let known = self.read.unread.iter().any(|(t, _)| t.at == token.at);
                    if !known {
                        self.name(token.at, token.end, Expected::CageOrWord);
                    }
                }
                return;
            }
        };
        let nothing = (self.read.eggs_noun.is_some() && blur != Blur::Future) || blur == Blur::None;
        let day = self
            .read
            .days
            .first()
            .map_or(Some(DaySaid::Unsaid), |(_, day)| *day);
        let readings = day.filter(|_| nothing && units.len() == 1).map(|day| Said {
            units: Units::Named(units),
            day,
            fact: eggs(Grams::ZERO, false),
        });
        let (first, last) = (self.group.items.first(), self.group.items.last());
        let at = first.map_or(span.0, |(_, t)| t.at.min(span.0));
        let end = last.map_or(span.1, |(_, t)| t.end.max(span.1));
        let text = written(self.original, at, end);
        let readings: Vec<Said> = readings.into_iter().collect();
        let none = blur == Blur::None || self.denies_eggs();
        let why = if none && !readings.is_empty() {
            Why::Nothing
        } else {
            Why::Unsure
        };
        self.reading.doubts.push(Doubt {
            why,
            text,
            readings,
        });
    }

    /// `no eggs`, `pas d'oeufs`, and nothing else.
    fn denies_eggs(&self) -> bool {
        let solid: Vec<&Token> = self
            .group
            .items
            .iter()
            .map(|(_, t)| t)
            .filter(|t| !t.is_filler())
            .collect();
        let eggs = |t: &Token| matches!(t.kind, Kind::Word(Meaning::Verb(Verb::Eggs, _)));
        match solid.as_slice() {
            [no, noun] => eggs(noun) && self.read.lexicon.plays(Role::NotAny, &no.text),
            _ => false,
        }
    }
}
