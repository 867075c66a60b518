//! A line's units with what is said of each.
//!
//! This room parts; it does not read what a group says.

use crate::domain::said::Expected;
use crate::grammar::codes::CodeReading;
use crate::grammar::emit::Headed;
use crate::grammar::facts::{Group, GroupUnits};
use crate::grammar::lines::{is_fact_like, is_number, is_unit, takes_amount};
use crate::grammar::meanings::Meaning;
use crate::grammar::tokens::{Kind, Token};

#[derive(Default)]
pub(super) struct Groups {
    done: Vec<Group>,
    open: Option<Group>,
    /// Items before the open group's units.
    before: usize,
    /// Only units and filler since the open group's units began.
    listing: bool,
    /// The first group is a sentence of its own.
    parted: bool,
}

impl Groups {
    pub(super) fn take(&mut self, place: usize, token: Token) {
        if !is_unit(&token) {
            let open = self
                .open
                .get_or_insert_with(|| Group::new(GroupUnits::Unsaid));
            self.listing &= token.is_filler();
            open.items.push((place, token));
            return;
        }
        let units = GroupUnits::of(&token.kind);
        let span = (token.at, token.end);
        match &mut self.open {
            Some(open) if open.unit_place.is_none() => {
                if self.done.is_empty() {
                    self.before = open.items.len();
                }
                open.units = units;
                open.unit_place = Some(place);
                open.unit_span = Some(span);
            }
            Some(open) if self.listing && open.units.takes(&units) => {
                open.units.extend(units);
                open.unit_span = open.unit_span.map(|(at, _)| (at, token.end));
            }
            _ => {
                self.close();
                let mut group = Group::new(units);
                group.unit_place = Some(place);
                group.unit_span = Some(span);
                self.open = Some(group);
            }
        }
        self.listing = true;
    }

    /// A sentence ends within the first group.
    pub(super) fn part(&mut self) {
        self.parted |= self.open.is_some() && self.done.is_empty();
    }

    pub(super) fn close(&mut self) {
        if let Some(open) = self.open.take() {
            self.done.push(open);
        }
    }

    /// The groups. Where words lead the line and its last unit has none after it, every unit takes the words before it (`water C1 bait C2`).
    pub(super) fn finish(mut self) -> (Vec<Group>, Headed) {
        self.close();
        let mut groups = self.done;
        let before = self.before;
        let facts = |items: &[(usize, Token)]| items.iter().any(|(_, t)| is_fact_like(t));
        let counts = |items: &[(usize, Token)]| items.iter().any(|(_, t)| is_number(t));
        let (head, rest) = groups
            .first()
            .map(|g| g.items.split_at(before.min(g.items.len())))
            .unwrap_or_default();
        if groups.len() < 2 || !facts(head) || self.parted {
            return (groups, Headed::No);
        }
        let numbers = counts(head);
        let later_numbers = counts(rest) || groups.iter().skip(1).any(|g| counts(&g.items));
        let amounts = head.iter().any(|(_, t)| takes_amount(t));
        let each = groups.last().is_some_and(|g| !facts(&g.items)) && (numbers || !later_numbers);
        if each {
            let mut carried = Vec::new();
            for (i, group) in groups.iter_mut().enumerate() {
                let own = if i == 0 { before } else { 0 };
                let mut after = group.items.split_off(own.min(group.items.len()));
                // `watered C1 yesterday and C2`: the day right after a unit is that unit's.
                let day = after
                    .iter()
                    .take_while(|(_, t)| t.is_filler() || matches!(t.kind, Kind::Day(_)))
                    .filter(|(_, t)| matches!(t.kind, Kind::Day(_)))
                    .count();
                let rest = after.split_off(if day == 1 { days_end(&after) } else { 0 });
                let mut items = std::mem::replace(&mut carried, rest);
                items.append(&mut group.items);
                items.append(&mut after);
                group.items = items;
            }
            // What ends the line (a day, an unread word) stays with the last unit.
            if let Some(last) = groups.last_mut() {
                last.items.append(&mut carried);
            }
            return (groups, Headed::Each { numbers });
        }
        (groups, Headed::First { amounts })
    }
}

/// One past the first day of some items.
fn days_end(items: &[(usize, Token)]) -> usize {
    let day = items
        .iter()
        .position(|(_, t)| matches!(t.kind, Kind::Day(_)));
    day.map_or(0, |at| at + 1)
}

impl Group {
    fn new(units: GroupUnits) -> Self {
        Self {
            units,
            unit_place: None,
            unit_span: None,
            items: Vec::new(),
        }
    }
}

impl GroupUnits {
    fn of(kind: &Kind) -> Self {
        match kind {
            Kind::Units(units) => Self::Named(units.clone()),
            Kind::UnitDoubt(why, readings) => Self::Doubt(*why, readings.clone()),
            Kind::Word(Meaning::All) => Self::All,
            Kind::BadRange => Self::Bad(Expected::RangeEnd),
            _ => Self::Bad(Expected::CageOrWord),
        }
    }

    /// Whether a unit after these, with nothing between, belongs to the same list.
    fn takes(&self, _next: &Self) -> bool {
        match self {
            Self::Doubt(_, readings) => readings.iter().all(|r| r.number.is_none()),
            _ => true,
        }
    }

    fn extend(&mut self, next: Self) {
        let joined = match (std::mem::replace(self, Self::All), next) {
            (Self::Named(mut units), Self::Named(more)) => {
                for unit in more {
                    match units.iter_mut().find(|u| u.code == unit.code) {
                        Some(held) => {
                            held.checked |= unit.checked;
                            held.inside_range &= unit.inside_range;
                        }
                        None => units.push(unit),
                    }
                }
                Self::Named(units)
            }
            (Self::Named(units), Self::Doubt(why, readings)) => Self::Doubt(
                why,
                readings
                    .into_iter()
                    .map(|r| CodeReading {
                        units: [units.clone(), r.units].concat(),
                        ..r
                    })
                    .collect(),
            ),
            (Self::Doubt(why, readings), Self::Named(units)) => Self::Doubt(
                why,
                readings
                    .into_iter()
                    .map(|r| CodeReading {
                        units: [r.units, units.clone()].concat(),
                        ..r
                    })
                    .collect(),
            ),
            (Self::All, Self::All) => Self::All,
            (Self::Bad(expected), _) | (_, Self::Bad(expected)) => Self::Bad(expected),
            _ => Self::Bad(Expected::CageOrWord),
        };
        *self = joined;
    }
}
