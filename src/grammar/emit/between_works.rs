//! Several units between words: `water C1 C2 bait` may be water at C1 and bait at C2, or both at both.
//!
//! This room only tells where that is so; what is asked then is decided elsewhere.

use crate::domain::said::Fact;
use crate::grammar::emit::{Emit, is_amount};
use crate::grammar::facts::{Draft, GroupUnits};
use crate::grammar::tokens::{Kind, Token};

impl Emit<'_> {
    /// Whether the group's units stand between words of which some may be the first unit's and some the last's: then its work is not certain.
    pub(crate) fn between_works(&self, draft: &Draft) -> bool {
        let work = |d: &&Draft| matches!(d.facts.first(), Some(Fact::Care(_) | Fact::Ants));
        let several = match &self.group.units {
            GroupUnits::Named(units) => units.len() > 1,
            GroupUnits::All => true,
            _ => false,
        };
        // `water C1 C2 dead 20g`: an amount is one unit's, and so may be the work.
        if several && work(&draft) && self.read.drafts.iter().any(is_amount) {
            return true;
        }
        let Some(unit) = self.group.unit_place.filter(|_| several) else {
            return false;
        };
        let works = || self.read.drafts.iter().filter(work);
        let unread = |t: &Token| matches!(t.kind, Kind::Unknown | Kind::Near(_));
        let before = works().any(|d| d.place < unit)
            || self
                .group
                .items
                .iter()
                .filter(|(at, _)| *at < unit)
                .any(|(_, t)| unread(t));
        let after = works().any(|d| d.place > unit);
        before && after && work(&draft)
    }
}
