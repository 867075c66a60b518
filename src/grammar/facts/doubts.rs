//! What stands beside something lost or not understood is asked about: it may belong to that.
//!
//! This room adds doubts to drafts; it makes none of its own.

use crate::domain::said::{Expected, Fact, Verb, Why};
use crate::grammar::facts::{Drafts, Group, Weight, is_number, verb_of};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::Blur;
use crate::grammar::numbers::Number;
use crate::grammar::roles::Role;
use crate::grammar::tokens::{Kind, Token};

/// As many pupae as a cage may be stocked with, and more than a day's eggs: 500, or 200 g of them. A keeper's largest cage gives about 50 g a day.
pub(crate) fn is_stock_size(number: &Number) -> bool {
    const COUNT: u32 = 500;
    const GRAMS: f64 = 200.0;
    let weight = number.unit.and_then(|_| number.grams(number.hundredths));
    number.plain.is_some_and(|count| count >= COUNT) || weight.is_some_and(|g| g.as_f64() >= GRAMS)
}

/// The flies of `dead flies 40g` and `nzi wamekufa 40g` say nothing more. Beside a number they count: `12 flies dead` is no weight.
pub(crate) fn drop_flies(items: &mut Vec<&(usize, Token)>, lexicon: &Lexicon) {
    let is_flies = |t: &Token| lexicon.plays(Role::Flies, &t.text);
    let dead = |k: usize| verb_of(items.get(k).map(|(_, t)| t)) == Some(Verb::Dead);
    let number = |k: usize| is_number(items.get(k).map(|(_, t)| t));
    let bare = |k: Option<usize>| {
        let token = k.and_then(|k| items.get(k)).map(|(_, t)| &t.kind);
        matches!(token, Some(Kind::Number(n)) if n.unit.is_none())
    };
    let drops: Vec<usize> = (0..items.len())
        .filter(|i| items.get(*i).is_some_and(|(_, t)| is_flies(t)))
        .filter(|i| {
            let after = i.checked_sub(1).is_some_and(dead);
            let before = dead(i + 1) && (number(i + 2) || !bare(i.checked_sub(1)));
            after || before
        })
        .collect();
    for i in drops.into_iter().rev() {
        items.remove(i);
    }
}

/// `2:7.1g`, `1.7gc-32`: figures with marks or letters in them that may hold a cage; longer ones are phones and prices.
fn is_cage_like(token: &Token) -> bool {
    const FIGURES: usize = 5;
    let figures = token.text.chars().filter(char::is_ascii_digit).count();
    token.kind == Kind::Junk
        && (1..=FIGURES).contains(&figures)
        && !token.text.contains(['%', '$', '='])
}

/// `ikg`, `pg`: letters that end like a weight.
pub(crate) fn is_weight_in_letters(token: &Token) -> bool {
    const LONGEST: usize = 4;
    (2..=LONGEST).contains(&token.text.len()) && token.text.ends_with('g')
}

impl Drafts<'_> {
    /// Before the weights are settled: what may have lost its cage or its amount. Gives the place of a second weight.
    pub(crate) fn doubt_lost(&mut self, named: bool) -> Option<usize> {
        self.doubt_near_unread();
        // `3 stocked 1.2kg`, `4 water`: a bare number before work may be a cage without its letter.
        let leads = |w: &&Weight| {
            w.plain.is_some() && self.drafts.first().is_some_and(|d| w.place < d.place)
        };
        if !named && self.weights.first().filter(leads).is_some() {
            self.blur(Blur::Unsure);
        }
        self.weights.get(1).map(|w| w.place)
    }

    /// Work after a second weight may belong to a cage whose code was lost.
    pub(crate) fn doubt_after(&mut self, second: Option<usize>) {
        for draft in &mut self.drafts {
            if second.is_some_and(|at| draft.place > at)
                && matches!(draft.facts.first(), Some(Fact::Care(_)))
                && self.days.is_empty()
            {
                draft.why = draft.why.or(Some(Why::TwoNumbers));
            }
        }
        self.doubt_stock_kind();
    }

    /// `K6 1.4gmk7 0`: what was not understood before a weight may have been another cage. `dead flxes 22g`: the number may be their weight.
    fn doubt_near_unread(&mut self) {
        let numbers: Vec<usize> = self
            .unread
            .iter()
            .filter(|(t, _)| t.text.contains(|c: char| c.is_ascii_digit()))
            .map(|(t, _)| t.at)
            .collect();
        for weight in &mut self.weights {
            if numbers.iter().any(|at| *at < weight.at) {
                weight.why = weight.why.or(Some(Why::Unsure));
            }
        }
        let dead = self
            .drafts
            .iter()
            .filter(|d| matches!(d.facts.first(), Some(Fact::Dead(Some(_)))));
        let dead_ends: Vec<usize> = dead.map(|d| d.end).collect();
        for weight in &mut self.weights {
            if self.bare_dead
                && dead_ends
                    .iter()
                    .any(|end| (*end..=end + 2).contains(&weight.at))
            {
                weight.why = weight.why.or(Some(Why::TwoNumbers));
            }
        }
        for draft in &mut self.drafts {
            let bare = matches!(
                draft.facts.first(),
                Some(Fact::Dead(None) | Fact::Stock { amount: None, .. })
            );
            // `C1 water 2:7.1g dead 25g`: what is no number may have been another cage with its weight.
            let other = self
                .unread
                .iter()
                .any(|(t, _)| t.at < draft.at && is_cage_like(t));
            if other {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
            if bare && numbers.iter().any(|at| *at > draft.at) {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
            // `C2 9 stock 6900`: the number may be the rest of the code.
            let stocks = matches!(draft.facts.first(), Some(Fact::Stock { .. }));
            if stocks
                && self
                    .weights
                    .iter()
                    .any(|w| w.plain.is_some() && w.at < draft.at)
            {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
            // `dead 2 2g`
            let weighed = matches!(draft.facts.first(), Some(Fact::Dead(Some(_))));
            if self.bare_dead
                && weighed
                && self
                    .weights
                    .iter()
                    .any(|w| w.at >= draft.end && w.at <= draft.end + 2)
            {
                draft.why = draft.why.or(Some(Why::TwoNumbers));
            }
            // `C7 2 cb 1.7 dead 29g`: letters and a number that are no cage may have been one.
            let lost = self.unread.iter().any(|(t, _)| {
                t.kind == Kind::Letters
                    && t.at < draft.at
                    && numbers.iter().any(|at| (t.end..=t.end + 2).contains(at))
            });
            if lost {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
        }
    }

    /// `1, A2 water`: a whole number before a cage that has work after it may be a cage without its letter.
    pub(crate) fn doubt_leading(&mut self, group: &Group) {
        let Some(unit) = group.unit_place.filter(|_| self.eggs_noun.is_none()) else {
            return;
        };
        let works = self
            .drafts
            .iter()
            .any(|d| d.place > unit && matches!(d.facts.first(), Some(Fact::Care(_) | Fact::Ants)));
        for draft in &mut self.drafts {
            let leads = draft.place < unit && self.bare_weights.contains(&draft.place);
            if leads && works && matches!(draft.facts[..], [Fact::Eggs { .. }]) {
                draft.why = draft.why.or(Some(Why::LetterMissing));
            }
        }
    }

    /// `C1 water 2 water`: the number between the same work said twice may be another cage.
    pub(crate) fn doubt_between_same(&mut self) {
        let cares: Vec<(usize, Vec<Fact>)> = self
            .drafts
            .iter()
            .filter(|d| matches!(d.facts[..], [Fact::Care(_)]))
            .map(|d| (d.place, d.facts.clone()))
            .collect();
        for (first, fact) in &cares {
            let Some((second, _)) = cares.iter().find(|(at, f)| at > first && f == fact) else {
                continue;
            };
            let within = |place: usize| (*first..*second).contains(&place);
            let bare = self.bare_weights.iter().any(|at| within(*at));
            for draft in &mut self.drafts {
                if bare && (within(draft.place) || draft.place == *second) && draft.place != *first
                {
                    draft.why = draft.why.or(Some(Why::TwoNumbers));
                }
            }
        }
    }

    /// `stocked with`: a line cut before its amount.
    pub(crate) fn doubt_cut_stock(&mut self, group: &Group) {
        let open = group
            .items
            .last()
            .is_some_and(|(_, t)| self.lexicon.plays(Role::StockOpen, &t.text));
        if let (true, Some(draft)) = (open, self.drafts.last_mut())
            && matches!(draft.facts.first(), Some(Fact::Stock { amount: None, .. }))
        {
            draft.why = draft.why.or(Some(Why::Unsure));
        }
    }

    /// `stock 8000 mxyz`: the word may have been the stock's kind.
    fn doubt_stock_kind(&mut self) {
        let worded = |(token, _): &(Token, Expected)| {
            matches!(token.kind, Kind::Unknown | Kind::Letters | Kind::Near(_))
        };
        if !self.unread.iter().any(worded) {
            return;
        }
        for draft in &mut self.drafts {
            if matches!(draft.facts.first(), Some(Fact::Stock { kind: None, .. })) {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
        }
    }
}

/// `03.03`, `04.11`: two figures on both sides of a point, the first a nought.
pub(crate) fn is_padded_date(token: &Token) -> bool {
    let figures = |part: &str| part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
    token.text.starts_with('0')
        && token
            .text
            .split_once('.')
            .is_some_and(|(day, month)| figures(day) && figures(month))
}
