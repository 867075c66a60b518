//! What became of every value that was meant: the outcomes, and how they are told apart.
//!
//! Strict on purpose: a value that is neither recorded nor mentioned in the reply as it is shown counts as silently wrong, and so does every
//! recorded fact that nobody meant.

use crate::accuracy::engine::{Heard, World};
use crate::accuracy::meaning::{Meaning, Value, What, is_fact, unit_of};
use crate::accuracy::phone::Sent;
use crate::accuracy::slips::Slip;
use clutchline::desk::reply::{Ask, Fragment, Refusal};
use clutchline::domain::code::UnitCode;
use clutchline::domain::event::FarmEvent;
use clutchline::domain::said::Why;
use clutchline::units::Grams;

/// What became of one value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Recorded as meant.
    Right,
    /// Held, and the question holds the right answer.
    AskedRight,
    /// Held, but the right answer is not in the question.
    AskedOtherwise,
    /// Not recorded, and the reply says that it was not understood or not possible.
    Named,
    /// Cut off before it was sent: nothing to record, nothing recorded.
    NotSent,
    /// Recorded wrong, or dropped, and the reply does not say so.
    Silent,
}

/// The judgement of one line.
pub struct Verdict {
    pub outcomes: Vec<Outcome>,
    /// What was recorded that nobody meant, and what was dropped without a word.
    pub silent: Vec<String>,
    /// The reply (of the last text) asks something.
    pub asked: bool,
    /// Every reply as shown.
    pub replies: Vec<String>,
}

/// Sends the texts to a copy of the world and judges every value meant.
pub fn judge(world: &World<'_>, sent: &[Sent], meaning: &Meaning, slip: Option<Slip>) -> Verdict {
    let mut world = world.clone();
    let heard: Vec<Heard> = sent
        .iter()
        .map(|s| world.send(&s.text, meaning.today, s.minutes))
        .collect();
    let facts = heard.iter().flat_map(|h| h.events.clone());
    let mut facts: Vec<FarmEvent> = facts.filter(is_fact).collect();
    let mut missing: Vec<&Value> = Vec::new();
    let mut outcomes = Vec::new();
    for value in &meaning.values {
        match facts.iter().position(|f| value.is_recorded_by(f)) {
            Some(at) => {
                if !(matches!(value.what, What::Care(_)) && is_dead(&facts[at])) {
                    facts.remove(at);
                }
                outcomes.push(Outcome::Right);
            }
            None => missing.push(value),
        }
    }
    facts.retain(|fact| !is_covered(fact, meaning));
    let mut wrong = facts.len();
    let mut silent: Vec<String> = facts.iter().map(|f| format!("recorded {f:?}")).collect();
    for fact in &facts {
        let same_unit = |v: &&Value| v.is_same_kind(fact) && v.unit == unit_of(fact);
        let at = missing
            .iter()
            .position(same_unit)
            .or_else(|| missing.iter().position(|v| v.is_same_kind(fact)));
        if let Some(at) = at {
            missing.remove(at);
        }
    }
    let last = sent.iter().map(|s| s.minutes).max().unwrap_or(0);
    let answered = answers(&world, meaning, last);
    for value in missing {
        let outcome = of_missing(&world, value, &heard, &answered);
        if outcome == Outcome::Silent && slip == Some(Slip::CutInHalf) {
            outcomes.push(Outcome::NotSent);
        } else if outcome == Outcome::Silent {
            wrong += 1;
            silent.push(format!("dropped {:?}:{:?}", value.unit, value.what));
        } else {
            outcomes.push(outcome);
        }
    }
    if slip == Some(Slip::NotDone) && wrong == 0 {
        // The value that was said not to be: rightly not recorded.
        outcomes.push(Outcome::Right);
    }
    outcomes.extend(std::iter::repeat_n(Outcome::Silent, wrong));
    let is_ask = |f: &Fragment| matches!(f, Fragment::Ask(_));
    Verdict {
        outcomes,
        silent,
        asked: heard.iter().any(|h| {
            h.reply
                .as_ref()
                .is_some_and(|r| r.fragments.iter().any(is_ask))
        }),
        replies: heard.into_iter().map(|h| h.text).collect(),
    }
}

fn is_dead(fact: &FarmEvent) -> bool {
    matches!(fact, FarmEvent::DeadFlies { .. })
}

/// Care said of all cages may be recorded at the farm's other cages too, and the same weight again is no other weight.
fn is_covered(fact: &FarmEvent, meaning: &Meaning) -> bool {
    let all_care = meaning.shared.as_ref().filter(|s| s.is_all);
    let covers = |v: &Value| v.is_recorded_by(fact);
    matches!((fact, all_care), (FarmEvent::Cared { job, day, .. }, Some(all))
        if *job == all.job && *day == meaning.day)
        || (matches!(
            fact,
            FarmEvent::Cared { .. } | FarmEvent::AntsSeen { .. } | FarmEvent::DeadFlies { .. }
        ) && meaning.values.iter().any(covers))
}

/// What is recorded where the keeper answers `yes` to every question, and what where they answer `add` to the first.
fn answers(world: &World<'_>, meaning: &Meaning, minutes: i64) -> Vec<FarmEvent> {
    let mut recorded = Vec::new();
    for first in ["yes", "add"] {
        let mut world = world.clone();
        for i in 0..world.open_questions() {
            let answer = if i == 0 { first } else { "yes" };
            let at = minutes + 2 + i64::try_from(i).unwrap_or(0);
            recorded.extend(world.send(answer, meaning.today, at).events);
        }
    }
    recorded
}

fn of_missing(
    world: &World<'_>,
    value: &Value,
    heard: &[Heard],
    answered: &[FarmEvent],
) -> Outcome {
    let asks_it = |f: &Fragment| matches!(f, Fragment::Ask(ask) if concerns(ask, value));
    let asked = heard.iter().any(|h| world.shows(h, asks_it));
    let asks = |f: &Fragment| matches!(f, Fragment::Ask(_));
    // Several questions are asked one after the other; the reply shows as many as fit.
    let held = answered.iter().any(|e| value.is_recorded_by(e))
        && heard.iter().any(|h| world.shows(h, asks));
    if asked || held {
        let offered = |h: &Heard| {
            h.reply.as_ref().is_some_and(|reply| {
                reply
                    .fragments
                    .iter()
                    .any(|f| matches!(f, Fragment::Ask(ask) if offers(ask, value)))
            })
        };
        let right = answered.iter().any(|e| value.is_recorded_by(e)) || heard.iter().any(offered);
        return if right {
            Outcome::AskedRight
        } else {
            Outcome::AskedOtherwise
        };
    }
    // Where nothing at all is recorded, whatever the reply asks or refuses says so.
    let nothing = !heard.iter().any(|h| h.events.iter().any(is_fact));
    let names_it = |f: &Fragment| match f {
        Fragment::Ask(_) | Fragment::Refused(_) if nothing => true,
        Fragment::Unread { .. } | Fragment::Teach { .. } => true,
        Fragment::Ask(Ask::Doubt { unit: None, .. }) => true,
        Fragment::Refused(Refusal::NotRunning(unit)) => value.unit == Some(*unit),
        Fragment::Refused(_) => true,
        _ => false,
    };
    if heard.iter().any(|h| world.shows(h, names_it)) {
        Outcome::Named
    } else {
        Outcome::Silent
    }
}

/// The question may be about this value: it names its unit, or none.
fn concerns(ask: &Ask, value: &Value) -> bool {
    match ask {
        // A weight that is held is shown, whatever cage it was sent for.
        Ask::OtherWeight {
            unit, new: said, ..
        }
        | Ask::AddAgain {
            unit, grams: said, ..
        }
        | Ask::Implausible { unit, said, .. }
        | Ask::TooEarly {
            unit, grams: said, ..
        }
        | Ask::NotStocked { unit, grams: said } => match &value.what {
            What::Eggs(meant) => value.unit == Some(*unit) || meant == said,
            _ => false,
        },
        Ask::Delivery { .. } | Ask::Forget | Ask::Pin(_) => false,
        Ask::Restock { unit, .. } | Ask::StockSize { unit, .. } => value.unit == Some(*unit),
        Ask::WhichUnit { units, .. } => value.unit.is_some_and(|unit| units.contains(&unit)),
        // A question shows the piece of text, whatever cage it was read for.
        Ask::Doubt {
            unit,
            why,
            text,
            options,
            ..
        } => {
            let shown = value.number_shown();
            let digits = shown.as_deref().map(|n| n.trim_end_matches(['g', 'k']));
            let in_text = digits.is_some_and(|n| text.replace(',', ".").contains(n));
            let in_options = shown.is_some_and(|n| options.iter().any(|o| o.contains(&n)));
            unit.is_none()
                || *unit == value.unit
                || *why == Why::CheckLetter
                || in_text
                || in_options
        }
        Ask::Whose(_) => true,
    }
}

/// The question shows the right unit and number among its choices.
fn offers(ask: &Ask, value: &Value) -> bool {
    let eggs = |unit: UnitCode, grams: &[Grams]| {
        value.unit == Some(unit)
            && matches!(&value.what, What::Eggs(meant) if grams.contains(meant))
    };
    match ask {
        Ask::OtherWeight { unit, old, new, .. } => eggs(*unit, &[*old, *new]),
        Ask::Implausible {
            unit, said, likely, ..
        } => eggs(*unit, &[*said]) || likely.is_some_and(|likely| eggs(*unit, &[likely])),
        Ask::WhichUnit { grams, units, .. } => {
            let meant = match &value.what {
                What::Eggs(meant) => Some(*meant),
                _ => None,
            };
            *grams == meant && value.unit.is_some_and(|unit| units.contains(&unit))
        }
        Ask::Doubt { unit, options, .. } => {
            (unit.is_none() || *unit == value.unit)
                && value
                    .number_shown()
                    .is_some_and(|number| options.iter().any(|o| o.split(' ').any(|w| w == number)))
        }
        _ => false,
    }
}
