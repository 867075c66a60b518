//! Numbers inside a group: whose they are, and what they may be.
//!
//! A number goes to the word before it that takes one, else it is a weight of eggs. Where it could as well be the next word's it has both
//! readings. This room does not know days or units.

mod beside;

use crate::domain::said::{Expected, Fact, StockAmount, Verb, Weighed, Why};
use crate::grammar::facts::{Draft, Drafts, Owner, Weight, is, is_number, verb_of};
use crate::grammar::meanings::{Blur, MassUnit, Meaning};
use crate::grammar::numbers::Number;
use crate::grammar::spans::DASH_DAYS;
use crate::grammar::tokens::Token;
use crate::units::{Grams, Pupae};

impl Drafts<'_> {
    pub(crate) fn number<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        number: &Number,
        next: &impl Fn(usize) -> Option<&'t Token>,
    ) {
        if self.beside(place, token, number, next) {
            return;
        }
        if is(next(1), Meaning::Measure) || is(next(1), Meaning::Days) {
            if is(next(1), Meaning::Days) {
                self.blur(Blur::Unsure);
            }
            return self.name(token, Expected::NoNumber);
        }
        match self.owner {
            Owner::Unread => {
                if number.doubt.is_none() && (number.unit.is_some() || !number.integer) {
                    self.orphans.push((place, token.clone()));
                }
                self.unread.push((token.clone(), Expected::NoNumber));
            }
            Owner::Stock(index) => self.stock_amount(index, token, number),
            Owner::Dead(index) => self.dead_weight(index, token, number),
            Owner::Eggs => {
                let own = is_number(next(2));
                let pupae = is(next(1), Meaning::Pupae);
                match verb_of(next(1)) {
                    Some(Verb::Dead) if !own => {
                        self.skip = 1;
                        let facts = number
                            .values()
                            .into_iter()
                            .filter_map(|v| number.grams(v))
                            .flat_map(|g| {
                                let dead = Fact::Dead(Some(g));
                                let eggs = Fact::Eggs {
                                    weight: Weighed {
                                        grams: g,
                                        gross_tare: None,
                                        in_kilograms: number.in_kilograms(),
                                        unit_said: number.unit.is_some(),
                                    },
                                    add: false,
                                };
                                // A weight with a fraction and no unit is how eggs are written.
                                if number.integer || number.unit.is_some() {
                                    [dead, eggs]
                                } else {
                                    [eggs, dead]
                                }
                            })
                            .collect();
                        self.push(place, token, facts, Some(Why::TwoNumbers));
                        self.stretch(next(1));
                    }
                    stock if (stock == Some(Verb::Stock) && !own) || pupae => {
                        self.skip = 1;
                        let facts = either(number, |amount| Fact::Stock { amount, kind: None });
                        self.push(place, token, facts, Some(Why::TwoNumbers));
                        self.stretch(next(1));
                    }
                    _ => self.weigh(place, token, number),
                }
            }
        }
    }

    pub(crate) fn stock_amount(&mut self, index: usize, token: &Token, number: &Number) {
        let amounts = amounts_of(number);
        let Some(draft) = self.drafts.get_mut(index) else {
            return;
        };
        let Some(Fact::Stock { amount, kind }) = draft.facts.first().cloned() else {
            return;
        };
        draft.end = token.end;
        let why = match &number.doubt {
            Some((why, _)) => Some(*why),
            // `stock 1.2`: grams or kilograms?
            None if !number.integer && number.unit.is_none() => Some(Why::TooFine),
            None => None,
        };
        match amount {
            // `8 000`: a thousands space or two numbers?
            Some(StockAmount::Count(count)) if token.text.len() == 3 && number.integer => {
                let joined = count
                    .count()
                    .checked_mul(1000)
                    .and_then(|n| n.checked_add(u32::try_from(number.hundredths / 100).ok()?));
                let fact = joined.and_then(Pupae::new).map(|n| Fact::Stock {
                    amount: Some(StockAmount::Count(n)),
                    kind,
                });
                draft.facts.splice(0..0, fact);
                draft.why = Some(Why::SplitDecimal);
            }
            Some(_) => {
                draft.facts.extend(amounts.into_iter().map(|a| Fact::Stock {
                    amount: Some(a),
                    kind,
                }));
                draft.why = Some(Why::TwoNumbers);
            }
            None if amounts.is_empty() => self.spoil_stock(token),
            None => {
                draft.facts = amounts
                    .into_iter()
                    .map(|a| Fact::Stock {
                        amount: Some(a),
                        kind,
                    })
                    .collect();
                draft.why = why;
            }
        }
    }

    fn dead_weight(&mut self, index: usize, token: &Token, number: &Number) {
        self.bare_dead |= number.unit.is_none();
        let weights: Vec<Grams> = number
            .values()
            .into_iter()
            .filter_map(|v| number.grams(v))
            .collect();
        let Some(draft) = self.drafts.get_mut(index) else {
            return;
        };
        if weights.is_empty() {
            return self.name(token, Expected::Weight);
        }
        draft.end = token.end;
        draft.facts = weights.iter().map(|g| Fact::Dead(Some(*g))).collect();
        draft.why = number.doubt.as_ref().map(|(why, _)| *why);
        self.owner = Owner::Eggs;
    }

    /// The last draft reaches to the end of the word that it took.
    pub(crate) fn stretch(&mut self, token: Option<&Token>) {
        if let (Some(draft), Some(token)) = (self.drafts.last_mut(), token) {
            draft.end = token.end;
        }
    }

    pub(crate) fn weigh(&mut self, place: usize, token: &Token, number: &Number) {
        let readings = weighed(number);
        if readings.is_empty() {
            return self.name(token, Expected::Weight);
        }
        if number.plain.is_some() {
            self.bare_weights.push(place);
        }
        let listed_on = std::mem::take(&mut self.listed_on) && number.plain.is_some();
        self.weights.push(Weight {
            place,
            at: token.at,
            end: token.end,
            readings,
            why: number
                .doubt
                .as_ref()
                .map(|(why, _)| *why)
                .or(listed_on.then_some(Why::StuckNumber))
                .or(std::mem::take(&mut self.near_eggs).then_some(Why::Word)),
            back: None,
            plain: number.plain,
        });
    }

    /// `62.5-50`: gross less tare. A small whole number after the dash may be a day, and so may one after a space.
    pub(crate) fn pair(
        &mut self,
        place: usize,
        token: &Token,
        gross: &Number,
        tare: &Number,
        loose: bool,
    ) {
        let spare = || gross.doubt.is_none() && tare.doubt.is_none();
        let parts = gross
            .grams(gross.hundredths)
            .zip(tare.grams(tare.hundredths));
        let (Some((gross_grams, tare_grams)), true, Owner::Eggs) = (parts, spare(), self.owner)
        else {
            return self.name(token, Expected::Weight);
        };
        let days = tare
            .plain
            .filter(|days| *days <= DASH_DAYS || loose)
            .and_then(|days| u8::try_from(days).ok());
        let in_kilograms = gross.in_kilograms() || tare.in_kilograms();
        let unit_said = gross.unit.is_some() || tare.unit.is_some();
        let net = gross_grams
            .minus(tare_grams)
            .filter(|net| *net > Grams::ZERO)
            .map(|grams| Weighed {
                grams,
                gross_tare: Some((gross_grams, tare_grams)),
                in_kilograms,
                unit_said,
            });
        let whole = Weighed {
            grams: gross_grams,
            gross_tare: None,
            in_kilograms: gross.in_kilograms(),
            unit_said,
        };
        // Grams less kilograms, or the other way, is a slip somewhere.
        let mixed_units = gross.unit != tare.unit && (gross.in_kilograms() || tare.in_kilograms());
        if (net.is_none() && days.is_none()) || mixed_units {
            return self.name(token, Expected::Weight);
        }
        // `3-1g`: no trap weighs so little that it is told in one figure; the dash may be a point.
        let point = point_for_dash(gross, tare).map(|grams| Weighed {
            grams,
            gross_tare: None,
            in_kilograms,
            unit_said,
        });
        let why = days
            .map(|_| Why::TareOrDay)
            .or(point.map(|_| Why::SplitDecimal));
        self.weights.push(Weight {
            place,
            at: token.at,
            end: token.end,
            readings: point.into_iter().chain(net).collect(),
            why,
            back: days.map(|days| (whole, days)),
            plain: None,
        });
    }

    /// Turns the weights into eggs: one to a day is said, several to a day are a question.
    pub(crate) fn settle_weights(&mut self) {
        let weights = std::mem::take(&mut self.weights);
        let mut rest = weights.as_slice();
        while let Some(first) = rest.first() {
            let day_after = self
                .days
                .iter()
                .map(|(at, _)| *at)
                .find(|at| *at > first.place);
            let same_day = rest
                .iter()
                .take_while(|w| day_after.is_none_or(|day| w.place < day))
                .count()
                .max(1);
            let (now, later) = rest.split_at(same_day);
            self.drafts.push(self.eggs_of(now));
            rest = later;
        }
    }

    fn eggs_of(&self, weights: &[Weight]) -> Draft {
        let fact = |weight: Weighed| {
            if self.fix.is_some() {
                Fact::FixEggs(weight)
            } else {
                Fact::Eggs {
                    weight,
                    add: self.add,
                }
            }
        };
        let first = &weights[0];
        let mut readings: Vec<Weighed> = Vec::new();
        let mut why = first.why;
        if let [a, b, ..] = weights {
            why = Some(Why::TwoNumbers);
            if let Some(joined) = joined(a, b) {
                let split = a.plain.is_some_and(|n| n >= 10);
                why = Some(if split {
                    Why::SplitDecimal
                } else {
                    Why::TwoNumbers
                });
                readings.push(joined);
            }
        }
        readings.extend(weights.iter().flat_map(|w| w.readings.iter().copied()));
        readings.dedup();
        Draft {
            place: first.place,
            facts: readings.into_iter().map(fact).collect(),
            back: first
                .back
                .filter(|_| weights.len() == 1)
                .map(|(weight, days)| (fact(weight), days)),
            why,
            at: first.at,
            end: weights.last().map_or(first.end, |w| w.end),
        }
    }
}

/// `3-1` as 3.1: two whole numbers, the second of one figure.
fn point_for_dash(gross: &Number, tare: &Number) -> Option<Grams> {
    let tenths = tare.hundredths / 100;
    let small = gross.integer && tare.integer && tenths < 10;
    let hundredths = gross.hundredths.checked_add(tenths * 10)?;
    small.then(|| gross.grams(hundredths)).flatten()
}

/// `12 5` as 12.5, where the two stand side by side.
fn joined(a: &Weight, b: &Weight) -> Option<Weighed> {
    const FINEST: u32 = 99;
    let (whole, part) = (a.plain?, b.plain?);
    if b.place != a.place + 1 || part > FINEST {
        return None;
    }
    let tenths = b.end - b.at == 1;
    let hundredths = whole
        .checked_mul(100)?
        .checked_add(if tenths { part * 10 } else { part })?;
    Some(Weighed {
        grams: Grams::from_hundredths(hundredths)?,
        gross_tare: None,
        in_kilograms: false,
        unit_said: false,
    })
}

/// The weights that a number may be.
fn weighed(number: &Number) -> Vec<Weighed> {
    number
        .values()
        .into_iter()
        .filter_map(|value| number.grams(value))
        .map(|grams| Weighed {
            grams,
            gross_tare: None,
            in_kilograms: number.in_kilograms(),
            unit_said: number.unit.is_some(),
        })
        .collect()
}

/// The amounts of pupae that a number may be; none for nothing at all.
fn amounts_of(number: &Number) -> Vec<StockAmount> {
    let count = |value: u64| {
        let whole = value.is_multiple_of(100).then_some(value / 100)?;
        Pupae::new(u32::try_from(whole).ok()?).map(StockAmount::Count)
    };
    let mass = |value: u64| number.grams(value).map(StockAmount::Weight);
    let values: Vec<u64> = number.values().into_iter().filter(|v| *v > 0).collect();
    if number.unit.is_some() {
        return values.into_iter().filter_map(mass).collect();
    }
    if number.integer {
        return values.into_iter().filter_map(count).collect();
    }
    // No unit and a fraction: kilograms or grams, and a count where a comma marks thousands.
    let kilos = Number {
        unit: Some(MassUnit::Kilo),
        ..number.clone()
    };
    let mut amounts: Vec<StockAmount> = values
        .iter()
        .rev()
        .filter_map(|v| count(*v).filter(|_| number.doubt.is_some()))
        .collect();
    let first = values.first().copied();
    amounts.extend(first.and_then(|v| kilos.grams(v)).map(StockAmount::Weight));
    amounts.extend(first.and_then(mass));
    amounts
}

/// A number that may be stock or eggs.
pub(crate) fn either(number: &Number, stock: impl Fn(Option<StockAmount>) -> Fact) -> Vec<Fact> {
    let mut facts: Vec<Fact> = amounts_of(number)
        .into_iter()
        .map(|a| stock(Some(a)))
        .collect();
    facts.extend(
        weighed(number)
            .into_iter()
            .map(|weight| Fact::Eggs { weight, add: false }),
    );
    facts
}
