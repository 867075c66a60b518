//! One group of a line: a unit (or none) and the facts that stand with it, as drafts.
//!
//! A draft is a fact that has still to get its day. This room does not know days or other groups.

use crate::domain::said::{Expected, Fact, UnitSaid, Verb, Weighed, Why};
use crate::domain::{CareJob, StockKind};
use crate::grammar::binding::Placed;
use crate::grammar::codes::CodeReading;
use crate::grammar::lexicon::{Blur, Manner, Meaning};
use crate::grammar::amounts::either;
use crate::grammar::numbers::Number;
use crate::grammar::registry;
use crate::grammar::tokens::{Kind, Token};

/// Which units a group is about.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum GroupUnits {
    Unsaid,
    All,
    Named(Vec<UnitSaid>),
    Doubt(Why, Vec<CodeReading>),
    /// Named by something that is no code.
    Bad(Expected),
}

/// Units with the tokens that stand with them; a token's place is its index in the line.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    pub(crate) units: GroupUnits,
    /// Place of the first unit token.
    pub(crate) unit_place: Option<usize>,
    /// Characters from and to, of the unit tokens.
    pub(crate) unit_span: Option<(usize, usize)>,
    pub(crate) items: Vec<(usize, Token)>,
}

/// A fact without its day. More than one fact: readings, likeliest first.
#[derive(Clone, Debug)]
pub(crate) struct Draft {
    pub(crate) place: usize,
    pub(crate) facts: Vec<Fact>,
    pub(crate) why: Option<Why>,
    /// It may be this fact for a day so far back instead.
    pub(crate) back: Option<(Fact, u8)>,
    pub(crate) at: usize,
    pub(crate) end: usize,
}

/// What came of a group's items.
#[derive(Clone, Debug, Default)]
pub(crate) struct Drafts {
    pub(crate) drafts: Vec<Draft>,
    pub(crate) days: Vec<Placed>,
    /// Tokens not understood, and what was expected.
    pub(crate) unread: Vec<(Token, Expected)>,
    pub(crate) blur: Option<Blur>,
    pub(crate) asked: bool,
    /// Days that stand with no fact.
    pub(crate) lone_days: Vec<usize>,
    /// The noun of eggs was said.
    pub(crate) eggs_noun: Option<Token>,
    pub(crate) weights: Vec<Weight>,
    pub(crate) fix: Option<Token>,
    pub(crate) add: bool,
    pub(crate) owner: Owner,
    /// Items taken by one before them.
    pub(crate) skip: usize,
    /// The group's units are behind.
    crossed: bool,
    /// The first item after the units follows "and".
    pub(crate) listed_on: bool,
}

#[derive(Clone, Debug)]
pub(crate) struct Weight {
    pub(crate) place: usize,
    pub(crate) at: usize,
    pub(crate) end: usize,
    /// What it may be, likeliest first.
    pub(crate) readings: Vec<Weighed>,
    pub(crate) why: Option<Why>,
    /// It may be the first weight of its readings for a day so far back.
    pub(crate) back: Option<(Weighed, u8)>,
    /// As typed, where it is plain digits.
    pub(crate) plain: Option<u32>,
}

/// Whose number comes next.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) enum Owner {
    #[default]
    Eggs,
    Stock(usize),
    Dead(usize),
    /// Something not understood: its number is not understood either.
    Unread,
}

/// Reads the items of one group.
pub(crate) fn draft(group: &Group) -> Drafts {
    let named = !matches!(group.units, GroupUnits::Unsaid);
    let mut read = Drafts::default();
    let mut items: Vec<&(usize, Token)> = group.items.iter().filter(|(_, t)| !t.is_filler()).collect();
    drop_flies(&mut items);
    for i in 0..items.len() {
        if read.skip > 0 {
            read.skip -= 1;
            continue;
        }
        let next = |k: usize| items.get(i + k).map(|(_, t)| t);
        let before = i.checked_sub(1).and_then(|j| items.get(j)).map(|(_, t)| t);
        let (place, token) = items[i];
        read.after_units(group, *place, before);
        read.item(*place, token, before, next, named);
    }
    read.finish(named);
    read
}

/// As many pupae as a cage may be stocked with, and more than a day's eggs: 500, or 200 g of them. A keeper's largest cage gives about 50 g a day.
fn is_stock_size(number: &Number) -> bool {
    const COUNT: u32 = 500;
    const GRAMS: f64 = 200.0;
    let weight = number.unit.and_then(|_| number.grams(number.hundredths));
    number.plain.is_some_and(|count| count >= COUNT) || weight.is_some_and(|g| g.as_f64() >= GRAMS)
}

/// The flies of `dead flies 40g` and `nzi wamekufa 40g` say nothing more. Beside a number they count: `12 flies dead` is no weight.
fn drop_flies(items: &mut Vec<&(usize, Token)>) {
    let is_flies = |t: &Token| matches!(t.text.as_str(), "flies" | "fly" | "nzi");
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

pub(crate) fn verb_of(token: Option<&Token>) -> Option<Verb> {
    match token?.kind {
        Kind::Word(Meaning::Verb(verb, _)) => Some(verb),
        _ => None,
    }
}

fn is_plain(token: Option<&Token>) -> bool {
    token.is_some_and(|t| matches!(&t.kind, Kind::Number(n) if n.plain.is_some()))
}

pub(crate) fn is_number(token: Option<&Token>) -> bool {
    token.is_some_and(|t| matches!(t.kind, Kind::Number(_) | Kind::Pair { .. }))
}

fn is_care(token: Option<&Token>) -> bool {
    verb_of(token).is_some_and(|v| registry::of(v).care.is_some())
}

pub(crate) fn is(token: Option<&Token>, meaning: Meaning) -> bool {
    token.is_some_and(|t| t.kind == Kind::Word(meaning))
}

impl Drafts {
    /// A plain word before the units says nothing about the numbers after them; a number after "and" may be one more unit.
    fn after_units(&mut self, group: &Group, place: usize, before: Option<&Token>) {
        let Some(unit) = group.unit_place.filter(|unit| *unit < place) else {
            return;
        };
        if self.crossed {
            return;
        }
        self.crossed = true;
        if self.owner == Owner::Unread && is(before, Meaning::Plain) {
            self.owner = Owner::Eggs;
        }
        let between = group.items.iter().filter(|(at, _)| (unit..place).contains(at));
        self.listed_on = between.last().is_some_and(|(_, t)| t.kind == Kind::Word(Meaning::And));
    }

    pub(crate) fn push(&mut self, place: usize, token: &Token, facts: Vec<Fact>, why: Option<Why>) {
        self.drafts.push(Draft { place, facts, why, back: None, at: token.at, end: token.end });
    }

    pub(crate) fn name(&mut self, token: &Token, expected: Expected) {
        self.unread.push((token.clone(), expected));
        self.owner = Owner::Unread;
    }

    pub(crate) fn blur(&mut self, blur: Blur) {
        self.blur = Some(self.blur.map_or(blur, |held| held.min(blur)));
    }

    fn item<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        before: Option<&'t Token>,
        next: impl Fn(usize) -> Option<&'t Token>,
        named: bool,
    ) {
        let expected = if named { Expected::WeightOrWord } else { Expected::CageOrWord };
        match &token.kind {
            Kind::Number(number) => self.number(place, token, number, &next),
            Kind::Pair { gross, tare, loose } => self.pair(place, token, gross, tare, *loose),
            Kind::Dashed(number) => {
                self.weigh(place, token, number);
                if let Some(last) = self.weights.last_mut() {
                    last.why = last.why.or(Some(Why::TareOrDay));
                }
            }
            Kind::Day(day) => {
                self.days.push((place, Some(*day)));
                // `12 1/2` may be twelve and a half.
                if matches!(token.text.as_str(), "1/2" | "1/4" | "3/4") && is_plain(before) {
                    self.blur(Blur::Unsure);
                }
            }
            Kind::BadDay => {
                self.days.push((place, None));
                self.unread.push((token.clone(), Expected::Day));
            }
            Kind::Temperature(min, max) => {
                let fact = Fact::Temperature { min: *min, max: *max };
                self.push(place, token, vec![fact], None);
            }
            Kind::BadTemperature => self.name(token, Expected::TwoTemperatures),
            Kind::Ask => self.asked = true,
            Kind::Dash => (),
            Kind::Word(meaning) => self.word(place, token, *meaning, before, &next, expected),
            Kind::Junk if matches!(self.owner, Owner::Stock(_)) => {
                self.spoil_stock(token);
            }
            // `dead jg`: its weight is not understood, so it is not either.
            Kind::Junk | Kind::Letters | Kind::BadUnit if matches!(self.owner, Owner::Dead(_)) => {
                if let Owner::Dead(index) = self.owner
                    && index + 1 == self.drafts.len()
                {
                    self.drafts.pop();
                }
                self.name(token, Expected::Weight);
            }
            _ => self.name(token, expected),
        }
    }

    /// `C7 stock 8x00`: a stocking whose amount is not understood is not understood at all.
    pub(crate) fn spoil_stock(&mut self, token: &Token) {
        if let Owner::Stock(index) = self.owner
            && index < self.drafts.len()
        {
            self.drafts.remove(index);
        }
        self.name(token, Expected::Amount);
    }

    fn word<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        meaning: Meaning,
        before: Option<&'t Token>,
        next: &impl Fn(usize) -> Option<&'t Token>,
        expected: Expected,
    ) {
        match meaning {
            Meaning::Verb(verb, manner) => self.verb(place, token, (verb, manner), before, next, expected),
            Meaning::Mixed | Meaning::OneAge => {
                let said = if meaning == Meaning::Mixed { StockKind::Mixed } else { StockKind::OneAge };
                match self.stock() {
                    Some(Draft { facts, .. }) => {
                        for fact in facts.iter_mut() {
                            if let Fact::Stock { kind, .. } = fact {
                                *kind = Some(said);
                            }
                        }
                    }
                    None => self.name(token, Expected::Amount),
                }
            }
            Meaning::Put => self.put(place, token, next),
            Meaning::Pupae if self.stock().is_some() => (),
            Meaning::To if is_number(before) && is_number(next(1)) => self.blur(Blur::Unsure),
            Meaning::To => self.owner = Owner::Eggs,
            Meaning::Ago => self.blur(Blur::Unsure),
            Meaning::Blur(blur) => self.blur(blur),
            _ => self.name(token, expected),
        }
    }

    fn stock(&mut self) -> Option<&mut Draft> {
        self.drafts.iter_mut().find(|d| matches!(d.facts.first(), Some(Fact::Stock { .. })))
    }

    fn verb<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        (verb, manner): (Verb, Manner),
        before: Option<&'t Token>,
        next: &impl Fn(usize) -> Option<&'t Token>,
        expected: Expected,
    ) {
        if let Some(job) = registry::of(verb).care {
            self.owner = Owner::Eggs;
            return self.push(place, token, vec![Fact::Care(job)], None);
        }
        match verb {
            Verb::Eggs => {
                self.owner = Owner::Eggs;
                self.eggs_noun = Some(token.clone());
            }
            Verb::Stock => self.start_stock(place, token),
            Verb::Dead => {
                self.push(place, token, vec![Fact::Dead(None)], None);
                self.owner = Owner::Dead(self.drafts.len() - 1);
            }
            Verb::Ants => {
                self.owner = Owner::Eggs;
                self.push(place, token, vec![Fact::Ants], None);
            }
            Verb::Retire => self.retire(place, token, manner, next),
            Verb::Fix => {
                self.owner = Owner::Eggs;
                self.fix = Some(token.clone());
            }
            Verb::Add => {
                let noun = usize::from(verb_of(next(1)) == Some(Verb::Eggs));
                if is_care(next(1)) {
                    // `ongeza maji`: water topped up.
                } else if is_number(before) || is_number(next(1 + noun)) || before.is_some_and(|t| {
                    matches!(t.kind, Kind::Word(Meaning::Verb(Verb::Eggs, _)))
                }) {
                    self.add = true;
                } else {
                    self.name(token, Expected::Weight);
                }
            }
            Verb::No => self.blur(Blur::Unsure),
            Verb::For if is_number(next(1)) => {
                // A member's number at the wrong place: whose farm is meant is not certain.
                self.blur(Blur::Unsure);
                self.name(token, Expected::Member);
            }
            Verb::For => self.owner = Owner::Eggs,
            Verb::Yes => self.unread.push((token.clone(), expected)),
            _ => self.name(token, expected),
        }
    }

    fn start_stock(&mut self, place: usize, token: &Token) {
        let fact = Fact::Stock { amount: None, kind: None };
        self.push(place, token, vec![fact], None);
        self.owner = Owner::Stock(self.drafts.len() - 1);
    }

    /// `ondoa mayai 12.5` takes eggs out, `ondoa waliokufa` sweeps: only an `ondoa` with nothing after it retires.
    fn retire<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        manner: Manner,
        next: &impl Fn(usize) -> Option<&'t Token>,
    ) {
        self.owner = Owner::Eggs;
        let something = is_number(next(1))
            || matches!(next(1).map(|t| &t.kind), Some(Kind::Word(Meaning::Verb(..) | Meaning::Pupae) | Kind::Unknown));
        if manner == Manner::Loose && something {
            if verb_of(next(1)) == Some(Verb::Dead) {
                self.skip = 1;
                let facts = vec![Fact::Care(CareJob::Swept), Fact::Retire];
                self.push(place, token, facts, Some(Why::Unsure));
                return self.stretch(next(1));
            }
            if is_number(next(1)) || verb_of(next(1)) == Some(Verb::Eggs) {
                return;
            }
            return self.push(place, token, vec![Fact::Retire], Some(Why::Unsure));
        }
        self.push(place, token, vec![Fact::Retire], None);
    }

    /// `weka`: stocking only with pupae or their kind beside it; with a bare number it may be eggs; with a care job it is that job.
    fn put<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        next: &impl Fn(usize) -> Option<&'t Token>,
    ) {
        if is_care(next(1)) || verb_of(next(1)).is_some() {
            return;
        }
        let says_pupae = |k: usize| is(next(k), Meaning::Pupae) || is(next(k), Meaning::Mixed);
        let number_then_pupae = is_number(next(1)) && says_pupae(2);
        if says_pupae(1) || number_then_pupae {
            return self.start_stock(place, token);
        }
        match next(1).map(|t| &t.kind) {
            // No cage gives so much in a day: it is what was put in.
            Some(Kind::Number(number)) if number.doubt.is_none() && is_stock_size(number) => {
                self.start_stock(place, token);
            }
            Some(Kind::Number(number)) => {
                self.skip = 1;
                let facts = either(number, |amount| Fact::Stock { amount, kind: None });
                self.push(place, token, facts, Some(Why::TwoNumbers));
                self.stretch(next(1));
            }
            _ => self.name(token, Expected::Amount),
        }
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
        let dead = self.drafts.iter().filter(|d| matches!(d.facts.first(), Some(Fact::Dead(Some(_)))));
        let dead_ends: Vec<usize> = dead.map(|d| d.end).collect();
        for weight in &mut self.weights {
            if dead_ends.iter().any(|end| (*end..=end + 2).contains(&weight.at)) {
                weight.why = weight.why.or(Some(Why::TwoNumbers));
            }
        }
        for draft in &mut self.drafts {
            let bare = matches!(draft.facts.first(), Some(Fact::Dead(None) | Fact::Stock { amount: None, .. }));
            if bare && numbers.iter().any(|at| *at > draft.at) {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
            // `dead 2 2g`
            let weighed = matches!(draft.facts.first(), Some(Fact::Dead(Some(_))));
            if weighed && self.weights.iter().any(|w| w.at >= draft.end && w.at <= draft.end + 2) {
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

    /// `stock 8000 mxyz`: the word may have been the stock's kind.
    fn doubt_stock_kind(&mut self) {
        let worded = |(token, _): &(Token, Expected)| matches!(token.kind, Kind::Unknown | Kind::Letters);
        if !self.unread.iter().any(worded) {
            return;
        }
        for draft in &mut self.drafts {
            if matches!(draft.facts.first(), Some(Fact::Stock { kind: None, .. })) {
                draft.why = draft.why.or(Some(Why::Unsure));
            }
        }
    }

    /// After the last item: weights become eggs, a correction changes what it stands with.
    fn finish(&mut self, named: bool) {
        self.doubt_near_unread();
        // `3 stocked 1.2kg`, `4 water`: a bare number before work may be a cage without its letter.
        let leads = |w: &&Weight| w.plain.is_some() && self.drafts.first().is_some_and(|d| w.place < d.place);
        if !named && self.weights.first().filter(leads).is_some() {
            self.blur(Blur::Unsure);
        }
        let second = self.weights.get(1).map(|w| w.place);
        self.settle_weights();
        // Work after a second weight may belong to a cage whose code was lost.
        for draft in &mut self.drafts {
            if second.is_some_and(|at| draft.place > at) && matches!(draft.facts.first(), Some(Fact::Care(_))) && self.days.is_empty() {
                draft.why = draft.why.or(Some(Why::TwoNumbers));
            }
        }
        self.doubt_stock_kind();
        if let Some(fix) = self.fix.clone() {
            let mut fixes = false;
            for draft in &mut self.drafts {
                for fact in &mut draft.facts {
                    if let Fact::Stock { amount, kind } = fact {
                        *fact = Fact::FixStock { amount: *amount, kind: *kind };
                    }
                    fixes |= matches!(fact, Fact::FixEggs(_) | Fact::FixStock { .. });
                }
            }
            if !fixes {
                self.unread.push((fix, Expected::Weight));
                // What stands with a correction that is not understood is not certain either.
                if !self.drafts.is_empty() {
                    self.blur(Blur::Unsure);
                }
            }
        }
        // A number that was not understood may have been the amount: then the stocking is not understood either.
        let numbers = self.unread.iter().any(|(t, _)| is_number(Some(t)) || t.kind == Kind::Junk);
        self.drafts.retain(|d| {
            let amountless = matches!(d.facts.first(), Some(Fact::Stock { amount: None, .. } | Fact::FixStock { amount: None, .. }));
            !(numbers && amountless)
        });
        self.drafts.sort_by_key(|draft| draft.place);
        let no_fact = self.drafts.is_empty() && self.unread.is_empty();
        if let Some(noun) = self.eggs_noun.clone()
            && no_fact
            && !self.asked
            && self.blur.is_none()
        {
            self.unread.push((noun, Expected::Weight));
        }
        if named && no_fact && self.blur.is_none() && self.eggs_noun.is_none() {
            for (place, _) in &self.days {
                self.lone_days.push(*place);
            }
        }
    }
}
