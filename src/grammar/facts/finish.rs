//! What a group's items come to after the last of them.
//!
//! This room reads no tokens that the rooms before it have understood; it knows neither days nor other groups.

use crate::domain::said::{Expected, Fact, Why};
use crate::grammar::facts::{Draft, Drafts, is_number};
use crate::grammar::meanings::{Blur, Meaning};
use crate::grammar::tokens::{Kind, Token};

/// Words not understood beside the only weight; more of them are a letter, and its number may be anything.
const WORDS_BEFORE: usize = 3;

impl Drafts<'_> {
    /// After the last item: weights become eggs, a correction changes what it stands with.
    pub(crate) fn finish(&mut self, named: bool) {
        self.adopt_orphan(named);
        let second = self.doubt_lost(named);
        self.settle_weights();
        self.doubt_after(second);
        if let Some(fix) = self.fix.clone() {
            let mut fixes = false;
            for draft in &mut self.drafts {
                for fact in &mut draft.facts {
                    if let Fact::Stock { amount, kind } = fact {
                        *fact = Fact::FixStock {
                            amount: *amount,
                            kind: *kind,
                        };
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
        let numbers = self
            .unread
            .iter()
            .any(|(t, _)| is_number(Some(t)) || t.kind == Kind::Junk);
        self.drafts.retain(|d| {
            let amountless = matches!(
                d.facts.first(),
                Some(Fact::Stock { amount: None, .. } | Fact::FixStock { amount: None, .. })
            );
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
        self.doubt_code_after_work(named);
        self.drop_strangers_dead(named);
    }

    /// `C1 imetoa 10.4`: the only weight stands after a word that was not understood. It is asked about, with its likely meaning.
    fn adopt_orphan(&mut self, named: bool) {
        let wordy = |t: &Token| {
            let long = t.text.chars().count() > 2;
            matches!(t.kind, Kind::Unknown | Kind::Word(Meaning::Plain)) && long || t.text == "am"
        };
        let [(place, token)] = self.orphans.as_slice() else {
            return;
        };
        let (place, token) = (*place, token.clone());
        let others = self.unread.iter().filter(|(t, _)| t.at != token.at);
        let amounts = self
            .drafts
            .iter()
            .any(|d| !matches!(d.facts[..], [Fact::Care(_) | Fact::Ants]));
        let sure = named
            && self.weights.is_empty()
            && !amounts
            && self.fix.is_none()
            && self.blur.is_none()
            && others.clone().all(|(t, _)| wordy(t))
            && (1..=WORDS_BEFORE).contains(&others.count());
        if let (true, Kind::Number(number)) = (sure, &token.kind) {
            self.unread.retain(|(t, _)| t.at != token.at);
            self.weigh(place, &token, number);
            if let Some(weight) = self.weights.last_mut() {
                weight.why = weight.why.or(Some(Why::Word));
            }
        }
    }

    /// `maji 3`, `maji 1, C2`: a whole number right after work and before any cage may be a cage without its letter.
    fn doubt_code_after_work(&mut self, named: bool) {
        if self.eggs_noun.is_some() {
            return;
        }
        let works: Vec<usize> = self
            .drafts
            .iter()
            .filter(|d| matches!(d.facts[..], [Fact::Care(_) | Fact::Ants]))
            .map(|d| d.place)
            .collect();
        let unit = self.unit_place;
        for draft in &mut self.drafts {
            let before_unit = !named || unit.is_some_and(|unit| draft.place < unit);
            let after_work = draft
                .place
                .checked_sub(1)
                .is_some_and(|at| works.contains(&at));
            if before_unit
                && after_work
                && self.bare_weights.contains(&draft.place)
                && matches!(draft.facts[..], [Fact::Eggs { .. }])
            {
                draft.why = draft.why.or(Some(Why::LetterMissing));
            }
        }
    }

    /// `my mother died`: no cage, and words that are not ours. It is not about flies.
    fn drop_strangers_dead(&mut self, named: bool) {
        let strange = self
            .unread
            .iter()
            .any(|(t, _)| matches!(t.kind, Kind::Unknown | Kind::Word(Meaning::Plain)));
        let bare = |d: &Draft| matches!(d.facts[..], [Fact::Dead(None)]);
        if named || !strange || !self.drafts.iter().all(bare) {
            return;
        }
        for draft in std::mem::take(&mut self.drafts) {
            let token = Token {
                kind: Kind::Unknown,
                text: String::new(),
                at: draft.at,
                end: draft.end,
                glued: false,
            };
            self.unread.push((token, Expected::CageOrWord));
        }
    }
}
