//! Numbers whose neighbour says what they are: pupae by count, an amount of bait, flies.
//!
//! This room looks one word around; what a number is for otherwise is not its business.

use crate::domain::CareJob;
use crate::domain::said::{Expected, Fact, Verb};
use crate::grammar::facts::doubts::is_stock_size;
use crate::grammar::facts::{Drafts, Owner, is, verb_of};
use crate::grammar::meanings::{MassUnit, Meaning};
use crate::grammar::numbers::Number;
use crate::grammar::roles::Role;
use crate::grammar::tokens::Token;

impl Drafts<'_> {
    /// Whether the number is settled by what stands beside it.
    pub(crate) fn beside<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        number: &Number,
        next: &impl Fn(usize) -> Option<&'t Token>,
    ) -> bool {
        let eggs = self.owner == Owner::Eggs;
        // `8000 pupae`: no weight is so large.
        let pupae = is(next(1), Meaning::Pupae) && verb_of(next(2)) != Some(Verb::Dead);
        if eggs && pupae && number.doubt.is_none() && is_stock_size(number) {
            self.start_stock(place, token);
            let Owner::Stock(index) = self.owner else {
                return false;
            };
            self.stock_amount(index, token, number);
            self.skip = 1;
            self.stretch(next(1));
            return true;
        }
        // `stock 8000 pcs`
        if let Owner::Stock(index) = self.owner
            && number.unit.is_none()
            && next(1).is_some_and(|t| self.lexicon.plays(Role::Pieces, &t.text))
        {
            self.stock_amount(index, token, number);
            self.skip = 1;
            self.stretch(next(1));
            return true;
        }
        // `bait 200g`, `2kg bait`: more than any cage's eggs. It is the bait's, which is not kept; so it is named.
        let after_bait = || {
            self.drafts
                .last()
                .is_some_and(|d| d.place + 1 == place && d.facts == [Fact::Care(CareJob::Bait)])
        };
        if eggs
            && is_amount_of_bait(number)
            && (after_bait() || verb_of(next(1)) == Some(Verb::Bait))
        {
            self.unread.push((token.clone(), Expected::NoNumber));
            return true;
        }
        // `10.4 flies are many`: no flies are counted in tenths.
        if eggs
            && !number.integer
            && number.unit.is_none()
            && next(1).is_some_and(|t| self.lexicon.plays(Role::Flies, &t.text))
        {
            self.weigh(place, token, number);
            return true;
        }
        false
    }
}

/// 200 g and more, in whole grams or kilograms. With a fraction it may be a slip.
fn is_amount_of_bait(number: &Number) -> bool {
    number.doubt.is_none()
        && number.integer
        && match number.unit {
            Some(MassUnit::Kilo) => true,
            Some(MassUnit::Gram) => is_stock_size(number),
            None => false,
        }
}
