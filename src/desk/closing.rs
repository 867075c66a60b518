//! From a message's work to its decision: the outcome, the reply in its order, the notices.
//!
//! This room decides nothing about facts; it says what was decided.

use crate::desk::Decision;
use crate::desk::cautions::caution;
use crate::desk::example::teaches;
use crate::desk::quoting::{QUOTED_LETTERS, quotable};
use crate::desk::reply::{Answer, Fragment, Reply, Saved, SavedNote, SavedWhat, Warning};
use crate::desk::tasks;
use crate::desk::warnings;
use crate::desk::work::Work;
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::event::{Event, FarmEvent, MemberEvent};
use crate::domain::lang::Lang;
use crate::domain::message::Outcome;
use crate::domain::said::{Expected, Fact, Order, Reading, Unread, Verb};

/// Unread words that a reply quotes.
const QUOTED_WORDS: usize = 4;

impl Work<'_> {
    /// The decision about everything that the message said.
    pub(crate) fn finish(mut self, reading: &Reading, shared: bool) -> Decision {
        self.ask_held();
        self.learn();
        let outcome = self.outcome(reading);
        let covers_repeats = states_facts(reading) && (self.recorded || !self.asks.is_empty());
        let notices = self.notices();
        let fragments = self.fragments(reading, shared);
        let reply = self.wants_reply(&fragments, reading).then(|| Reply {
            lang: self.lang(),
            today: self.today,
            fragments,
        });
        Decision {
            by: Some(self.sender_no()),
            outcome,
            covers_repeats,
            changes: self.changes,
            reply,
            notices,
        }
    }

    /// The first that applies, in the order of the outside contract.
    fn outcome(&self, reading: &Reading) -> Outcome {
        let unread = !self.unread_of(reading).is_empty();
        let answered = !self.answers.is_empty() || !self.states.is_empty() || self.wants_tasks;
        let refused = !self.refused.is_empty();
        if !self.asks.is_empty() {
            Outcome::Asked
        } else if self.settled && (unread || refused) {
            Outcome::Partly
        } else if !refused && !self.settled && !answered {
            Outcome::Unreadable
        } else if refused {
            Outcome::Refused
        } else if self.settled {
            Outcome::Saved
        } else {
            Outcome::Answered
        }
    }

    /// The language of the answer: the sender's, after a `lang` line of their own the new one.
    fn lang(&self) -> Lang {
        let own = self.sender.number == self.owner.number;
        let set = self
            .changes
            .iter()
            .rev()
            .find_map(|(_, event)| match event {
                Event::Member(MemberEvent::LangSet(lang)) => Some(*lang),
                _ => None,
            });
        set.filter(|_| own).unwrap_or(self.sender.lang)
    }

    fn fragments(&mut self, reading: &Reading, shared: bool) -> Vec<Fragment> {
        let mut all = Vec::new();
        if shared || self.sender.number != self.owner.number {
            all.push(Fragment::For(self.owner.number, self.owner.name.clone()));
        }
        let saved = grouped(std::mem::take(&mut self.saved));
        let compared = self.comparisons();
        let recorded = self.recorded;
        all.extend(saved.into_iter().map(Fragment::Saved));
        all.extend(compared);
        all.extend(self.states.drain(..).map(Fragment::State));
        all.extend(self.answers.drain(..).map(Fragment::Answer));
        all.extend(self.asks.drain(..).map(Fragment::Ask));
        all.extend(self.refused.drain(..).map(Fragment::Refused));
        let unread = self.unread_of(reading);
        let told = all.len() > usize::from(shared || self.sender.number != self.owner.number);
        if asks_help(reading) {
            // The help is the answer; a word of the question that it does not know was nothing to save.
        } else if !told && self.unread_before && teaches(&unread) && !self.wants_tasks {
            all.push(self.lesson_line(self.lang()));
        } else {
            all.extend(self.unread(&unread));
        }
        if all.is_empty() && !self.wants_tasks {
            // Not a word that means anything here: what could have been said, with an example.
            all.push(self.unread_fragment(Vec::new(), Expected::CageOrWord));
        }
        for repair in &reading.repaired {
            all.push(Fragment::Repaired {
                typed: repair.typed.chars().take(QUOTED_LETTERS).collect(),
                read_as: repair.read_as.clone(),
            });
        }
        // Whoever receives eggs at a collection point has no use for the farm's tasks.
        let received =
            saved_of(&all).all(|saved| matches!(saved.what, SavedWhat::Delivered { .. }));
        if (recorded && !received) || self.wants_tasks {
            self.what_next(&mut all);
        }
        if recorded {
            all.extend(caution(&all, &self.farm));
            all.push(Fragment::UndoHint);
        }
        all
    }

    fn what_next(&self, all: &mut Vec<Fragment>) {
        let standing = warnings::standing(self.rules, &self.farm, self.today);
        let mut warnings = self.ants_told(all);
        for warning in standing {
            if !warnings.contains(&warning) && (self.wants_tasks || is_news(&warning, all)) {
                warnings.push(warning);
            }
        }
        all.extend(warnings.into_iter().map(Fragment::Warning));
        let mut due = tasks::due(self.rules, &self.farm, self.today);
        for task in &mut due {
            if task.units.iter().all(|unit| is_stocked(unit, all)) {
                task.overdue_days = 0;
            }
        }
        if !self.wants_tasks {
            due.truncate(tasks::REPLY_TASKS_MAX);
        }
        if !due.is_empty() {
            all.push(Fragment::Tasks(due));
        } else if self.wants_tasks {
            let nothing_yet = self.farm.units.is_empty();
            all.push(Fragment::Answer(if nothing_yet {
                Answer::Help(Some(Verb::Stock))
            } else {
                Answer::NoTasks
            }));
        }
    }

    /// Ants seen today are answered with what to do even where the moat was filled the same morning.
    fn ants_told(&self, all: &[Fragment]) -> Vec<Warning> {
        let seen = |saved: &&Saved| saved.what == SavedWhat::Ants && saved.day == self.today;
        let seen = saved_of(all).filter(seen).filter(|saved| stands(saved));
        seen.flat_map(units_of).map(Warning::Ants).collect()
    }

    /// What was not understood, one fragment for each thing that was expected.
    fn unread(&self, unread: &[Unread]) -> Vec<Fragment> {
        let mut by_expected: Vec<(Expected, Vec<String>)> = Vec::new();
        for piece in unread {
            let word = quotable(&piece.text);
            // Figures that were no cage are no mere greeting.
            let expected = match piece.expected {
                Expected::CageOrWord if word.is_none() && !piece.text.is_empty() => {
                    Expected::WeightOrWord
                }
                expected => expected,
            };
            let known = by_expected.iter().position(|(e, _)| *e == expected);
            let at = known.unwrap_or_else(|| {
                by_expected.push((expected, Vec::new()));
                by_expected.len() - 1
            });
            if let (Some(word), Some((_, words))) = (word, by_expected.get_mut(at))
                && words.len() < QUOTED_WORDS
                && !words.contains(&word)
            {
                words.push(word);
            }
        }
        by_expected
            .into_iter()
            .map(|(expected, words)| self.unread_fragment(words, expected))
            .collect()
    }

    fn unread_fragment(&self, words: Vec<String>, expected: Expected) -> Fragment {
        Fragment::Unread {
            words,
            expected,
            example: self.example(expected, self.lang()),
        }
    }

    /// Whether the sender gets an answer: not after `stop`, and plain confirmations not where they asked for questions and warnings only.
    fn wants_reply(&self, fragments: &[Fragment], reading: &Reading) -> bool {
        let starts = reading.orders.contains(&Order::Start);
        if self.sender.stopped && !starts {
            return false;
        }
        let plain = |fragment: &Fragment| {
            matches!(
                fragment,
                Fragment::Saved(_)
                    | Fragment::Compared(..)
                    | Fragment::For(..)
                    | Fragment::Tasks(_)
                    | Fragment::Dust
                    | Fragment::BaitCare
                    | Fragment::UndoHint
                    | Fragment::Repaired { .. }
            )
        };
        !self.sender.questions_only || self.wants_tasks || !fragments.iter().all(plain)
    }

    /// The member concerned is told what somebody else recorded for them.
    fn notices(&self) -> Vec<(MemberNo, Reply)> {
        let stranger = self.sender.number != self.owner.number;
        let took_back = |event: &Event| matches!(event, Event::Farm(FarmEvent::TakenBack { .. }));
        let changed = self.recorded || self.changes.iter().any(|(_, event)| took_back(event));
        if !stranger || !changed || self.owner.stopped {
            return Vec::new();
        }
        let saved = grouped(self.saved.clone()).into_iter().map(Fragment::Saved);
        let fragments = std::iter::once(Fragment::EnteredBy(self.sender.name.clone()))
            .chain(saved)
            .collect();
        let reply = Reply {
            lang: self.owner.lang,
            today: self.today,
            fragments,
        };
        vec![(self.owner.number, reply)]
    }
}

fn saved_of(fragments: &[Fragment]) -> impl Iterator<Item = &Saved> {
    fragments.iter().filter_map(|fragment| match fragment {
        Fragment::Saved(saved) => Some(saved),
        _ => None,
    })
}

fn stands(saved: &Saved) -> bool {
    saved.note != SavedNote::TakenBack
}

fn units_of(saved: &Saved) -> Vec<UnitCode> {
    let others = match &saved.note {
        SavedNote::With(others) => others.as_slice(),
        _ => &[],
    };
    saved.unit.iter().chain(others).copied().collect()
}

fn is_told(unit: &UnitCode, all: &[Fragment], is: fn(&SavedWhat) -> bool) -> bool {
    saved_of(all)
        .filter(|saved| stands(saved) && is(&saved.what))
        .any(|saved| units_of(saved).contains(unit))
}

/// Whether this message stocked the cage: what was due there before could not be reported.
fn is_stocked(unit: &UnitCode, all: &[Fragment]) -> bool {
    is_told(unit, all, |what| matches!(what, SavedWhat::Stock { .. }))
}

/// Whether a standing warning belongs below this answer: who writes is not silent, and what a line about one cage says is not repeated below
/// every other line of the day. A cage entered late is not scolded for what nobody could report before.
fn is_news(warning: &Warning, all: &[Fragment]) -> bool {
    match warning {
        // The list of tasks below calls for the same trap.
        Warning::NoEntry { .. } | Warning::HatchSoon(_) => false,
        Warning::Crowded(unit) => is_stocked(unit, all),
        Warning::ManyDead(unit) => is_told(unit, all, |what| matches!(what, SavedWhat::Dead(_))),
        Warning::NoEggs { unit, .. } | Warning::HatchedInTrap { unit, .. } => {
            !is_stocked(unit, all)
        }
        Warning::Heat(_) | Warning::Cold(_) | Warning::Ants(_) | Warning::LowYield { .. } => true,
    }
}

/// Whether a message is nothing but a call for help, whatever its other words are.
fn asks_help(reading: &Reading) -> bool {
    let help = |order: &Order| matches!(order, Order::Help(_));
    reading.said.is_empty()
        && reading.doubts.is_empty()
        && !reading.orders.is_empty()
        && reading.orders.iter().all(help)
}

/// Whether a text states facts, so that the same text again is a redelivery: an answer, `undo` or a question may be meant again.
fn states_facts(reading: &Reading) -> bool {
    let facts = reading.said.iter().any(|said| said.fact != Fact::State);
    (facts || !reading.doubts.is_empty()) && !reading.orders.iter().any(Order::is_answer)
}

/// Care jobs of one unit in one fragment, then units that share the same care in one.
fn grouped(saved: Vec<Saved>) -> Vec<Saved> {
    let mut by_unit: Vec<Saved> = Vec::new();
    for fact in saved {
        let same = |known: &&mut Saved| {
            known.unit == fact.unit && known.day == fact.day && known.note == fact.note
        };
        if let SavedWhat::Care(jobs) = &fact.what
            && let Some(known) = by_unit
                .iter_mut()
                .filter(same)
                .find(|k| matches!(k.what, SavedWhat::Care(_)))
            && let SavedWhat::Care(known) = &mut known.what
        {
            known.extend(
                jobs.iter()
                    .filter(|j| !known.contains(j))
                    .copied()
                    .collect::<Vec<_>>(),
            );
        } else {
            by_unit.push(fact);
        }
    }
    let mut grouped: Vec<Saved> = Vec::new();
    for fact in by_unit {
        let unit = fact.unit.filter(|_| fact.note == SavedNote::New);
        let like = |known: &&mut Saved| {
            let groups = matches!(
                fact.what,
                SavedWhat::Care(_) | SavedWhat::Ants | SavedWhat::Retire
            );
            let open = matches!(known.note, SavedNote::New | SavedNote::With(_));
            groups && open && known.what == fact.what && known.day == fact.day
        };
        match (unit, grouped.iter_mut().find(like)) {
            (Some(unit), Some(known)) => match &mut known.note {
                SavedNote::With(others) => others.push(unit),
                note => *note = SavedNote::With(vec![unit]),
            },
            _ => grouped.push(fact),
        }
    }
    grouped
}
