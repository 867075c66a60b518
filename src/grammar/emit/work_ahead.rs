//! Work right before units that have nothing of their own: `C1 3, water C2`, `C1 3 maji kwa C2` may be water at C2.
//!
//! This room only tells where that is so; what is asked then is decided elsewhere.

use crate::domain::said::{Fact, Verb};
use crate::grammar::emit::Emit;
use crate::grammar::facts::{Draft, Group, GroupUnits, is_care, verb_of};
use crate::grammar::meanings::Meaning;
use crate::grammar::roles::Role;
use crate::grammar::tokens::{Kind, Token};

impl Emit<'_> {
    /// Whether a draft is work that may be the next units': a word leads to them (`C1 bait, water for C2`), or they end up with none, and so do those
    /// before them, up to a unit that has a weight besides (`C1 3 water all, bait C1 C2`).
    pub(crate) fn work_ahead(&self, draft: &Draft) -> bool {
        let work = matches!(draft.facts.first(), Some(Fact::Care(_) | Fact::Ants));
        if !work || !self.trails(draft.place) {
            return false;
        }
        if self.leads_on() {
            return true;
        }
        let before = self.groups.get(..=self.index).unwrap_or_default();
        let from = before.iter().rposition(|group| !self.only_work(group));
        // Without a unit that has more than work the line is a list of works.
        let begins = from.is_some_and(|at| before.get(at).is_some_and(|group| self.is_told(group)));
        let after = self.groups.get(self.index + 1..).unwrap_or_default();
        let ends = after.iter().find(|group| !self.only_work(group));
        let mut parted = self
            .groups
            .windows(2)
            .skip(self.index)
            .take_while(|pair| pair.first().is_some_and(|g| !is_bare(g)));
        begins
            && ends.is_some_and(is_bare)
            && !parted.any(|pair| matches!(pair, [a, b] if self.sentence_ends(a, b)))
    }

    /// The group's last word leads to the units that follow.
    fn leads_on(&self) -> bool {
        let mut solid = self.group.items.iter().map(|(_, t)| t);
        let last = solid.rfind(|t| !t.is_filler());
        let next = self.groups.get(self.index + 1);
        last.is_some_and(|t| self.leads(t)) && next.is_some_and(|g| g.unit_place.is_some())
    }

    /// Nothing but work stands in the group from this place on.
    fn trails(&self, place: usize) -> bool {
        let after_unit = self.group.unit_place.is_some_and(|unit| unit < place);
        let rest = self.group.items.iter().filter(|(at, _)| *at >= place);
        after_unit
            && rest
                .map(|(_, t)| t)
                .all(|t| t.is_filler() || self.is_work(t))
    }

    /// Units that have nothing but work after them.
    fn only_work(&self, group: &Group) -> bool {
        let mut solid = group.items.iter().filter(|(_, t)| !t.is_filler());
        let after = |at: usize| group.unit_place.is_some_and(|unit| unit < at);
        !is_bare(group) && solid.all(|(at, t)| after(*at) && self.is_work(t))
    }

    /// Named units with something besides the work at their end.
    fn is_told(&self, group: &Group) -> bool {
        group.unit_place.is_some_and(|unit| {
            let mut after = group.items.iter().filter(|(at, _)| *at > unit);
            after.any(|(_, t)| !t.is_filler() && !self.is_work(t))
        })
    }

    /// Work, or what leads from it to its unit.
    fn is_work(&self, token: &Token) -> bool {
        is_care(Some(token)) || verb_of(Some(token)) == Some(Verb::Ants) || self.leads(token)
    }

    /// `for`, `to`, `at`.
    fn leads(&self, token: &Token) -> bool {
        verb_of(Some(token)) == Some(Verb::For)
            || token.kind == Kind::Word(Meaning::To)
            || self.read.lexicon.plays(Role::PassedBeforeCage, &token.text)
    }

    /// A full stop, a semicolon or a new line parts two groups.
    fn sentence_ends(&self, group: &Group, next: &Group) -> bool {
        let (Some((_, last)), Some((from, _))) = (group.items.last(), next.unit_span) else {
            return false;
        };
        let between = self.original.get(last.end..from).unwrap_or_default();
        between.iter().any(|c| matches!(c, '\n' | '\r' | ';' | '.'))
    }
}

/// Units with nothing but filler.
fn is_bare(group: &Group) -> bool {
    let empty = match group.units {
        GroupUnits::Named(_) => group.items.iter().all(|(_, t)| t.is_filler()),
        // "all good" is a polite form.
        GroupUnits::All => group.items.is_empty(),
        _ => false,
    };
    empty && group.unit_place.is_some()
}
