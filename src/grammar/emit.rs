//! Drafts to what was said: units and days are put to the facts, and whatever has more than one reading becomes a doubt.
//!
//! The last word on certainty: a fact is said only if its unit, its day, its amount and its group are certain.

mod between_works;
mod later_days;
mod repeats;
mod stuck;
mod without_facts;
mod work_ahead;

use crate::domain::code::UnitCode;
use crate::domain::said::{
    DaySaid, Doubt, Expected, Fact, Reading, Said, StockAmount, UnitSaid, Units, Unread, Weighed,
    Why,
};
use crate::grammar::binding::{self, Choices, Places};
use crate::grammar::emit::later_days::{drop_later_day, loosen_last_day};
use crate::grammar::emit::repeats::settle_repeats;
use crate::grammar::facts::{self, Draft, Drafts, Group, GroupUnits};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::orders::written;
use crate::units::{Grams, Pupae};

/// A code with such a number right after a stocking without one may be the amount: `stock s700`.
const AMOUNT_LIKE: u16 = 100;

/// How words that lead a line bind its units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Headed {
    /// Each unit has the words after it.
    #[default]
    No,
    /// The first unit has words before it and others after: they may be meant for all. `amounts`: they take numbers.
    First { amounts: bool },
    /// Each unit has taken the words before it. `numbers`: there are numbers among them, which is not certain.
    Each { numbers: bool },
}

/// What binds the whole line.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Whole {
    /// Nothing of it is certain.
    pub(crate) unsure: bool,
    /// Facts lead the line before the first of several units.
    pub(crate) headed: Headed,
}

/// Says what the groups hold.
pub(crate) fn emit(
    original: &[char],
    groups: &[Group],
    whole: &Whole,
    lexicon: &Lexicon,
    reading: &mut Reading,
) {
    let drafts: Vec<Drafts<'_>> = groups
        .iter()
        .map(|group| facts::draft(group, lexicon))
        .collect();
    let mut places: Vec<Places> = groups
        .iter()
        .zip(&drafts)
        .map(|(g, d)| places(g, d))
        .collect();
    drop_later_day(groups, &mut places);
    let mut days = binding::bind(&places);
    loosen_last_day(groups, &places, &mut days);
    let facts_anywhere = drafts.iter().any(|d| !d.drafts.is_empty());
    for (index, ((group, read), days)) in groups.iter().zip(&drafts).zip(&days).enumerate() {
        let mut one = Emit {
            original,
            group,
            read,
            whole,
            reading,
            groups,
            index,
        };
        one.unread();
        one.facts(days);
        if read.drafts.is_empty() {
            one.without_facts(facts_anywhere);
        } else if read.drafts.iter().all(is_farm_wide) {
            one.left_bare();
        }
    }
    settle_repeats(original, reading);
}

fn places(group: &Group, drafts: &Drafts<'_>) -> Places {
    let stuck = matches!(group.units, GroupUnits::Doubt(..)) && drafts.unread.is_empty();
    let mut facts: Vec<usize> = drafts.drafts.iter().map(|d| d.place).collect();
    if stuck && facts.is_empty() {
        facts.extend(group.unit_place);
    }
    let is_work = |d: &Draft| matches!(d.facts[..], [Fact::Care(_)]);
    Places {
        undone: drafts.blur_at.is_some()
            && drafts.weights.is_empty()
            && drafts.drafts.iter().all(is_work),
        blur: drafts.blur_at,
        units: group.unit_place,
        facts,
        days: drafts.days.clone(),
    }
}

pub(crate) struct Emit<'a> {
    original: &'a [char],
    group: &'a Group,
    read: &'a Drafts<'a>,
    whole: &'a Whole,
    reading: &'a mut Reading,
    groups: &'a [Group],
    index: usize,
}

impl Emit<'_> {
    /// The group's unit, where it names exactly one.
    fn unit(&self) -> Option<UnitCode> {
        match &self.group.units {
            GroupUnits::Named(units) => match units[..] {
                [unit] => Some(unit.code),
                _ => None,
            },
            _ => None,
        }
    }

    fn name(&mut self, at: usize, end: usize, expected: Expected) {
        let unit = self.unit();
        let text = written(self.original, at, end);
        self.reading.unread.push(Unread {
            text,
            at,
            unit,
            expected,
        });
    }

    fn unread(&mut self) {
        if let (GroupUnits::Bad(expected), Some((at, end))) =
            (&self.group.units, self.group.unit_span)
        {
            self.name(at, end, *expected);
        }
        for (token, expected) in &self.read.unread {
            self.name(token.at, token.end, *expected);
        }
        for place in &self.read.lone_days {
            if let Some((_, token)) = self.group.items.iter().find(|(at, _)| at == place) {
                self.name(token.at, token.end, Expected::WeightOrWord);
            }
        }
    }

    fn facts(&mut self, days: &[Choices]) {
        for (nth, (draft, days)) in self.read.drafts.iter().zip(days).enumerate() {
            // `C4 water 12.5 water`: one cage's work said twice is said once.
            let again = |d: &Draft| d.facts == draft.facts && d.why.is_none();
            let work = matches!(draft.facts[..], [Fact::Care(_) | Fact::Ants]);
            if work && draft.why.is_none() && self.read.drafts.iter().take(nth).any(again) {
                continue;
            }
            if matches!(self.group.units, GroupUnits::Bad(_)) && !is_farm_wide(draft) {
                self.name(draft.at, draft.end, Expected::CageOrWord);
                continue;
            }
            let certain_days: Vec<DaySaid> = days.iter().filter_map(|d| *d).collect();
            if certain_days.is_empty() {
                // Its day is no date; the day is named, and the fact with it.
                self.name(draft.at, draft.end, Expected::Day);
                continue;
            }
            self.fact(draft, &certain_days, days.len() > 1);
        }
        // A code with a number stuck to it is asked about even where all that follows is the farm's own (`A50g temp 18-31`).
        let of_farm = self.read.drafts.iter().all(is_farm_wide);
        if of_farm && self.group.unit_place.is_some() {
            let days = days.first().map_or_else(
                || vec![DaySaid::Unsaid],
                |days| days.iter().filter_map(|d| *d).collect(),
            );
            self.stuck_alone(&days);
        }
    }

    fn fact(&mut self, draft: &Draft, days: &[DaySaid], more_days: bool) {
        let (units, units_why) = self.units_for(draft);
        let mut readings = Vec::new();
        for day in days {
            for units in &units {
                for fact in &draft.facts {
                    readings.push(Said {
                        units: units.clone(),
                        day: *day,
                        fact: fact.clone(),
                    });
                }
            }
            if let (Some((fact, back)), Some(units)) = (&draft.back, units.first()) {
                let day = DaySaid::Back(*back);
                readings.push(Said {
                    units: units.clone(),
                    day,
                    fact: fact.clone(),
                });
            }
        }
        self.stuck_numbers(&mut readings, draft, days);
        let ahead = self.work_ahead(draft);
        let under_heading = self.stock_again(&mut readings) | self.between_works(draft) | ahead;
        let unsure = self.read.blur.is_some() || self.whole.unsure || more_days || under_heading;
        let asked = self.read.asked;
        // `stock 2b00`, `dead fl1xs 31g`: what is no cage may have been the amount.
        let next = self.groups.get(self.index + 1).map(|g| &g.units);
        let far = |units: &[UnitSaid]| matches!(units, [unit] if unit.code.number() >= AMOUNT_LIKE);
        let no_cage = match next {
            Some(GroupUnits::Bad(_) | GroupUnits::Doubt(..)) => true,
            Some(GroupUnits::Named(units)) => far(units),
            _ => false,
        };
        let cut = no_cage
            && matches!(
                draft.facts.first(),
                Some(
                    Fact::Dead(None)
                        | Fact::Stock { amount: None, .. }
                        | Fact::Stock { kind: None, .. }
                )
            );
        let unsure = unsure || cut;
        let why = draft
            .why
            .or(unsure.then_some(Why::Unsure))
            .or(units_why)
            .or(asked.then_some(Why::SaidOrAsked))
            .or((readings.len() != 1).then_some(Why::Unsure));
        match why {
            None => self.reading.said.append(&mut readings),
            Some(why) => {
                // Of work that may be another unit's only the work is shown: what its own unit has is said.
                let (at, end) = if ahead {
                    (draft.at, draft.end)
                } else {
                    self.span(draft)
                };
                let text = written(self.original, at, end);
                self.reading.doubts.push(Doubt {
                    why,
                    text,
                    readings,
                });
            }
        }
    }

    /// `stock C7 8000 C8 9000`: a bare number under such a heading may be stock again. Whether it did so.
    fn stock_again(&self, readings: &mut Vec<Said>) -> bool {
        if self.whole.headed != (Headed::First { amounts: true }) || self.index == 0 {
            return false;
        }
        let again: Vec<Said> = readings
            .iter()
            .filter_map(|said| match &said.fact {
                Fact::Eggs { weight, .. } => {
                    let whole = weight.grams.hundredths().is_multiple_of(100);
                    let count = whole
                        .then(|| Pupae::new(weight.grams.hundredths() / 100))
                        .flatten()?;
                    let amount = Some(StockAmount::Count(count));
                    Some(Said {
                        fact: Fact::Stock { amount, kind: None },
                        ..said.clone()
                    })
                }
                _ => None,
            })
            .collect();
        let eggs = readings
            .iter()
            .any(|said| matches!(said.fact, Fact::Eggs { .. }));
        readings.splice(0..0, again);
        eggs
    }

    /// The characters from the group's units to the draft, so that a question shows both.
    fn span(&self, draft: &Draft) -> (usize, usize) {
        match self.group.unit_span {
            Some((at, end)) => (at.min(draft.at), end.max(draft.end)),
            None => (draft.at, draft.end),
        }
    }

    /// The units that a draft may be for, and why there is more than one reading.
    fn units_for(&self, draft: &Draft) -> (Vec<Units>, Option<Why>) {
        if is_farm_wide(draft) {
            return (vec![Units::Unsaid], None);
        }
        let named = |units: &[UnitSaid]| Units::Named(units.to_vec());
        match &self.group.units {
            GroupUnits::Unsaid | GroupUnits::Bad(_) => (vec![Units::Unsaid], None),
            GroupUnits::All if is_amount(draft) => (Vec::new(), Some(Why::WeightForMany)),
            GroupUnits::All => (vec![Units::All], None),
            GroupUnits::Named(units) if units.len() > 1 && is_amount(draft) => {
                let each = units.iter().rev().map(|unit| named(&[*unit])).collect();
                (each, Some(Why::WeightForMany))
            }
            GroupUnits::Named(units) => self.headed(draft, units),
            GroupUnits::Doubt(why, readings) => {
                let units = readings.iter().map(|r| named(&r.units));
                let units: Vec<Units> = if is_amount(draft) {
                    readings
                        .iter()
                        .filter(|r| r.number.is_none())
                        .map(|r| named(&r.units))
                        .collect()
                } else {
                    units.collect()
                };
                (units, Some(*why))
            }
        }
    }

    /// `water C1 5 C2 8`: the heading may be meant for the first unit or for all.
    fn headed(&self, draft: &Draft, units: &[UnitSaid]) -> (Vec<Units>, Option<Why>) {
        let own = vec![Units::Named(units.to_vec())];
        let own_amount = matches!(
            draft.facts.first(),
            Some(
                Fact::Stock {
                    amount: Some(_),
                    ..
                } | Fact::Dead(Some(_))
            )
        );
        let heads = match self.whole.headed {
            Headed::No => false,
            // Every unit took the words before it: certain for words, not where there are numbers.
            Headed::Each { numbers } => numbers,
            Headed::First { .. } => {
                let leads = self.group.unit_place.is_some_and(|unit| draft.place < unit);
                self.index == 0 && leads && !own_amount
            }
        };
        if !heads {
            return (own, None);
        }
        let mut every: Vec<UnitSaid> = Vec::new();
        for group in self.groups {
            if let GroupUnits::Named(units) = &group.units {
                every.extend(
                    units
                        .iter()
                        .filter(|u| !every.iter().any(|e| e.code == u.code))
                        .copied()
                        .collect::<Vec<_>>(),
                );
            }
        }
        let mut readings = own;
        if !is_amount(draft) && every.len() > units.len() {
            readings.push(Units::Named(every));
        }
        (readings, Some(Why::Unsure))
    }
}

fn eggs(grams: Grams, in_kilograms: bool) -> Fact {
    let weight = Weighed {
        grams,
        gross_tare: None,
        in_kilograms,
        unit_said: in_kilograms,
    };
    Fact::Eggs { weight, add: false }
}

fn is_farm_wide(draft: &Draft) -> bool {
    matches!(draft.facts.first(), Some(Fact::Temperature { .. }))
}

/// Whether a draft carries an amount, which belongs to one unit.
fn is_amount(draft: &Draft) -> bool {
    draft.back.is_some()
        || draft.facts.iter().any(|fact| match fact {
            Fact::Eggs { .. } | Fact::FixEggs(_) | Fact::FixStock { .. } => true,
            Fact::Stock { amount, .. } => amount.is_some(),
            Fact::Dead(weight) => weight.is_some(),
            _ => false,
        })
}
