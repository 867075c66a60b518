//! What a collector received of a member: `got 2071 48.2`.
//!
//! Does not know who may collect.

use crate::domain::MemberNo;
use crate::domain::said::{DaySaid, Expected, Fact, Said, Units, Verb, Weighed};
use crate::grammar::meanings::MassUnit;
use crate::grammar::orders::{Orders, is_got, plain_number, verb};
use crate::grammar::tokens::{Kind, Token};

/// Members are numbered from four digits up; a smaller number after `got` is what was taken from a cage.
const LEAST_MEMBER: u32 = 1_000;

impl Orders<'_> {
    /// `got 2071 48.2`: a member's number and a weight, today or on a day that was. Before anything else `got` is a word of no weight.
    pub(crate) fn got(&mut self, tokens: &[Token]) -> bool {
        let mut words = tokens.iter().skip_while(|t| t.is_filler() && !is_got(t));
        let Some((Verb::Got, _)) = verb(words.next()) else {
            return false;
        };
        let words: Vec<&Token> = words.filter(|t| !t.is_filler()).collect();
        let member = plain_number(words.first().copied()).filter(|no| *no >= LEAST_MEMBER);
        let Some(member) = member else {
            return false;
        };
        let weight = match words.get(1).map(|t| &t.kind) {
            Some(Kind::Number(n)) if n.doubt.is_none() => {
                n.grams(n.hundredths).map(|grams| Weighed {
                    grams,
                    gross_tare: None,
                    in_kilograms: n.unit == Some(MassUnit::Kilo),
                    unit_said: n.unit.is_some(),
                })
            }
            _ => None,
        };
        let day = match words.get(2).map(|t| &t.kind) {
            None => Some(DaySaid::Unsaid),
            Some(Kind::Day(day)) => Some(*day),
            Some(_) => None,
        };
        self.reading.for_member = Some(MemberNo(member));
        match (weight, day, words.len()) {
            (Some(weight), Some(day), ..=3) => self.reading.said.push(Said {
                units: Units::Unsaid,
                day,
                fact: Fact::Delivered(weight),
            }),
            _ => self.name(tokens, Expected::Received),
        }
        true
    }
}
