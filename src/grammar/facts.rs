//! One group of a line: a unit (or none) and the facts that stand with it, as drafts.
//!
//! A draft is a fact that has still to get its day. This room does not know days or other groups.

pub(crate) mod doubts;
mod finish;
mod verbs;

use crate::domain::StockKind;
use crate::domain::said::{Expected, Fact, UnitSaid, Verb, Weighed, Why};
use crate::grammar::binding::Placed;
use crate::grammar::codes::CodeReading;
use crate::grammar::facts::doubts::{
    drop_flies, is_padded_date, is_stock_size, is_weight_in_letters,
};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{Blur, Meaning};
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
#[derive(Clone, Debug)]
pub(crate) struct Drafts<'l> {
    pub(crate) lexicon: &'l Lexicon,
    pub(crate) drafts: Vec<Draft>,
    pub(crate) days: Vec<Placed>,
    /// Tokens not understood, and what was expected.
    pub(crate) unread: Vec<(Token, Expected)>,
    pub(crate) blur: Option<Blur>,
    /// Where the first word stands that blurs what follows it.
    pub(crate) blur_at: Option<usize>,
    pub(crate) asked: bool,
    /// Days that stand with no fact.
    pub(crate) lone_days: Vec<usize>,
    /// The noun of eggs was said.
    pub(crate) eggs_noun: Option<Token>,
    pub(crate) weights: Vec<Weight>,
    pub(crate) fix: Option<Token>,
    pub(crate) add: bool,
    /// The next weight follows a word that is probably the noun of eggs.
    pub(crate) near_eggs: bool,
    /// A weight of dead flies has no unit, so the number after it may be a part of it.
    pub(crate) bare_dead: bool,
    pub(crate) owner: Owner,
    /// Places of whole numbers without a unit.
    pub(crate) bare_weights: Vec<usize>,
    /// Place of the group's first unit.
    pub(crate) unit_place: Option<usize>,
    /// Items taken by one before them.
    pub(crate) skip: usize,
    /// Weights, by a unit or a fraction, after a word that was not understood.
    pub(crate) orphans: Vec<(usize, Token)>,
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
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Owner {
    Eggs,
    Stock(usize),
    Dead(usize),
    /// Something not understood: its number is not understood either.
    Unread,
}

/// Reads the items of one group.
pub(crate) fn draft<'l>(group: &Group, lexicon: &'l Lexicon) -> Drafts<'l> {
    let named = !matches!(group.units, GroupUnits::Unsaid);
    let mut read = Drafts::new(group.unit_place, lexicon);
    let mut items: Vec<&(usize, Token)> =
        group.items.iter().filter(|(_, t)| !t.is_filler()).collect();
    drop_flies(&mut items, lexicon);
    read.cut_short(group);
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
    read.doubt_cut_stock(group);
    read.doubt_between_same();
    read.doubt_leading(group);
    read
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

pub(crate) fn is_care(token: Option<&Token>) -> bool {
    verb_of(token).is_some_and(|v| registry::of(v).care.is_some())
}

/// A number of pupae that no weight of eggs is.
fn is_stocking(token: &Token) -> bool {
    matches!(&token.kind, Kind::Number(n) if n.doubt.is_none() && is_stock_size(n))
}

pub(crate) fn is(token: Option<&Token>, meaning: Meaning) -> bool {
    token.is_some_and(|t| t.kind == Kind::Word(meaning))
}

impl<'l> Drafts<'l> {
    const fn new(unit_place: Option<usize>, lexicon: &'l Lexicon) -> Self {
        Self {
            lexicon,
            drafts: Vec::new(),
            days: Vec::new(),
            unread: Vec::new(),
            blur: None,
            blur_at: None,
            asked: false,
            lone_days: Vec::new(),
            eggs_noun: None,
            weights: Vec::new(),
            fix: None,
            add: false,
            near_eggs: false,
            bare_dead: false,
            owner: Owner::Eggs,
            bare_weights: Vec::new(),
            unit_place,
            skip: 0,
            orphans: Vec::new(),
            crossed: false,
            listed_on: false,
        }
    }
}

impl Drafts<'_> {
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
        let mut between = group
            .items
            .iter()
            .filter(|(at, _)| (unit..place).contains(at));
        self.listed_on = between
            .next_back()
            .is_some_and(|(_, t)| t.kind == Kind::Word(Meaning::And));
    }

    pub(crate) fn push(&mut self, place: usize, token: &Token, facts: Vec<Fact>, why: Option<Why>) {
        self.drafts.push(Draft {
            place,
            facts,
            why,
            back: None,
            at: token.at,
            end: token.end,
        });
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
        let expected = if named {
            Expected::WeightOrWord
        } else {
            Expected::CageOrWord
        };
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
            Kind::Temperature(first, second) => {
                let fact = Fact::Temperature {
                    min: *first.min(second),
                    max: *first.max(second),
                };
                // The highest first may be a figure lost: `18-2`.
                let why = (first > second).then_some(Why::FarOff);
                self.push(place, token, vec![fact], why);
            }
            Kind::BadTemperature => self.name(token, Expected::TwoTemperatures),
            Kind::Ask => self.asked = true,
            Kind::Dash => (),
            Kind::Word(meaning) => self.word(place, token, *meaning, before, &next, expected),
            // `C4 1.1 03.03`: a date with a point, which would otherwise leave the weight to today.
            Kind::Junk if !self.weights.is_empty() && is_padded_date(token) => {
                self.days.push((place, None));
                self.unread.push((token.clone(), Expected::Day));
            }
            Kind::Junk if matches!(self.owner, Owner::Stock(_)) => {
                self.spoil_stock(token);
            }
            // `stock ikg`
            Kind::Unknown | Kind::Letters | Kind::Near(_)
                if matches!(self.owner, Owner::Stock(_)) && is_weight_in_letters(token) =>
            {
                self.spoil_stock(token);
            }
            // `dead jg`: its weight is not understood, so it is not either.
            Kind::Junk | Kind::Letters | Kind::BadUnit | Kind::Near(_)
                if matches!(self.owner, Owner::Dead(_))
                    && (!matches!(token.kind, Kind::Near(_)) || is_weight_in_letters(token)) =>
            {
                if let Owner::Dead(index) = self.owner
                    && index + 1 == self.drafts.len()
                {
                    self.drafts.pop();
                }
                self.name(token, Expected::Weight);
            }
            // `moat cleaned`, `sprayed water`
            Kind::Near(Verb::Swept) if is_care(before) && token.text.starts_with("clean") => (),
            Kind::Near(verb) if is_care(next(1)) && verb_of(next(1)) == Some(*verb) => (),
            Kind::Near(verb) => self.near(place, token, *verb, &next, expected),
            Kind::NearTemperature(min, max) => {
                let (min, max) = (*min, *max);
                self.push(
                    place,
                    token,
                    vec![Fact::Temperature { min, max }],
                    Some(Why::Word),
                );
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
            Meaning::Verb(verb, manner) => {
                self.verb(place, token, (verb, manner), before, next, expected);
            }
            Meaning::Mixed | Meaning::OneAge => {
                let said = if meaning == Meaning::Mixed {
                    StockKind::Mixed
                } else {
                    StockKind::OneAge
                };
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
            // `maji yamewekwa`, `8000 pupae put into C6`
            Meaning::Put
                if next(1).is_none()
                    && (is_care(before)
                        || is(before, Meaning::Pupae)
                        || self.stock().is_some()) => {}
            Meaning::Put => self.put(place, token, next),
            Meaning::Pupae if self.stock().is_some() => (),
            // `pupae 8000`
            Meaning::Pupae if next(1).is_some_and(is_stocking) => self.start_stock(place, token),
            Meaning::To if is_number(before) && is_number(next(1)) => self.blur(Blur::Unsure),
            Meaning::To => self.owner = Owner::Eggs,
            Meaning::Ago => self.blur(Blur::Unsure),
            Meaning::Blur(blur) => {
                self.blur_at = self.blur_at.or(Some(place));
                self.blur(blur);
            }
            _ => self.name(token, expected),
        }
    }

    fn stock(&mut self) -> Option<&mut Draft> {
        self.drafts
            .iter_mut()
            .find(|d| matches!(d.facts.first(), Some(Fact::Stock { .. })))
    }
}
