//! What each verb does inside a group.
//!
//! This room does not read amounts; it says whose the next number is.

use crate::domain::CareJob;
use crate::domain::said::{Expected, Fact, Verb, Why};
use crate::grammar::amounts::either;
use crate::grammar::facts::doubts::is_stock_size;
use crate::grammar::facts::{Drafts, Group, Owner, is, is_care, is_number, verb_of};
use crate::grammar::meanings::{Blur, Manner, Meaning};
use crate::grammar::registry;
use crate::grammar::tokens::{Kind, Token};

impl Drafts<'_> {
    pub(crate) fn verb<'t>(
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
            // `sold eggs 20g`, and no cage: not what was taken from one.
            Verb::Eggs if self.owner == Owner::Unread && expected == Expected::CageOrWord => {
                self.eggs_noun = Some(token.clone());
            }
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
            // `bait change`, `eau changee`
            Verb::Fix if token.text == "change" && is_care(before) && !is_number(next(1)) => (),
            Verb::Fix => {
                self.owner = Owner::Eggs;
                self.fix = Some(token.clone());
            }
            Verb::Add => {
                let noun = usize::from(verb_of(next(1)) == Some(Verb::Eggs));
                if is_care(next(1)) || is_care(before) {
                    // `ongeza maji`, `water added`: water topped up.
                } else if is_number(before)
                    || is_number(next(1 + noun))
                    || before
                        .is_some_and(|t| matches!(t.kind, Kind::Word(Meaning::Verb(Verb::Eggs, _))))
                {
                    self.add = true;
                } else {
                    self.name(token, Expected::Weight);
                }
            }
            // `forget C4 12.5` is a line taken back.
            Verb::No | Verb::Forget => {
                self.blur_at = self.blur_at.or(Some(place));
                self.blur(Blur::Unsure);
            }
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

    /// A word that is probably a verb: what it says is a question.
    pub(crate) fn near<'t>(
        &mut self,
        place: usize,
        token: &'t Token,
        verb: Verb,
        next: &impl Fn(usize) -> Option<&'t Token>,
        expected: Expected,
    ) {
        let why = Some(Why::Word);
        if let Some(job) = registry::of(verb).care {
            self.owner = Owner::Eggs;
            return self.push(place, token, vec![Fact::Care(job)], why);
        }
        let goes_on = is_number(next(1)) || verb_of(next(1)).is_some();
        match verb {
            Verb::Eggs if is_number(next(1)) => {
                self.owner = Owner::Eggs;
                self.near_eggs = true;
            }
            Verb::Stock if is_number(next(1)) => {
                self.start_stock(place, token);
                if let Some(draft) = self.drafts.last_mut() {
                    draft.why = why;
                }
            }
            Verb::Dead => {
                self.push(place, token, vec![Fact::Dead(None)], why);
                self.owner = Owner::Dead(self.drafts.len() - 1);
            }
            Verb::Ants => {
                self.owner = Owner::Eggs;
                self.push(place, token, vec![Fact::Ants], why);
            }
            Verb::Retire if !goes_on => self.push(place, token, vec![Fact::Retire], why),
            _ => self.name(token, expected),
        }
    }

    /// `added wa`, `nimebadilisha cha C2`: a small word that joins two words, with none before it, is a keyword cut short. It is named.
    pub(crate) fn cut_short(&mut self, group: &Group) {
        const JOINS: [&str; 2] = ["cha", "wa"];
        let joined = |t: &Token| {
            matches!(
                t.kind,
                Kind::Word(Meaning::Verb(..) | Meaning::Measure | Meaning::Plain) | Kind::Unknown
            ) && !matches!(t.kind, Kind::Word(Meaning::Verb(Verb::Add | Verb::Eggs, _)))
        };
        let mut before: Option<&Token> = None;
        for (i, (place, token)) in group.items.iter().enumerate() {
            let next = group.items.get(i + 1).map(|(_, t)| t);
            let of_unit = place.checked_sub(1) == group.unit_place && group.unit_place.is_some();
            let cut = match token.text.as_str() {
                text if JOINS.contains(&text) => !before.is_some_and(joined),
                // `maji mapya ni`: nothing is said of it.
                "ni" => {
                    next.is_none_or(|t| matches!(t.kind, Kind::Temperature(..))) && before.is_some()
                }
                // `an seen`: an article stands before a noun.
                "an" => {
                    before.is_some()
                        && next.is_none_or(|t| matches!(t.text.as_str(), "seen" | "saw" | "at"))
                }
                // `C1 i eggs`: the figure one in letters.
                "i" => {
                    of_unit
                        && next.is_some_and(|t| {
                            verb_of(Some(t)) == Some(Verb::Eggs)
                                || matches!(t.kind, Kind::Word(Meaning::Unit(_)))
                        })
                }
                // `C1 de 16g`: `dead`, or French.
                "de" if of_unit && is_number(next) => {
                    self.blur(Blur::Unsure);
                    false
                }
                _ => false,
            };
            if cut && token.kind == Kind::Word(Meaning::Filler) {
                self.unread.push((token.clone(), Expected::WeightOrWord));
            }
            before = Some(token);
        }
    }

    pub(crate) fn start_stock(&mut self, place: usize, token: &Token) {
        let fact = Fact::Stock {
            amount: None,
            kind: None,
        };
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
            || matches!(
                next(1).map(|t| &t.kind),
                Some(
                    Kind::Word(Meaning::Verb(..) | Meaning::Pupae) | Kind::Unknown | Kind::Near(_)
                )
            );
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
    pub(crate) fn put<'t>(
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
}
