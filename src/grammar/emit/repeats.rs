//! The same unit twice in one message.
//!
//! This room compares what was said; what is on record is the desk's business.

use crate::domain::said::{Doubt, Fact, Reading, Said, Units, Why};

/// A longer message cannot be quoted whole.
const QUOTED: usize = 20;

/// The same said twice is said once; two weights for one unit and day are a question.
pub(crate) fn settle_repeats(original: &[char], reading: &mut Reading) {
    let mut kept: Vec<Said> = Vec::new();
    for said in std::mem::take(&mut reading.said) {
        let clash = kept.iter().position(|k| clashes(k, &said));
        if let Some(i) = clash {
            let first = kept.remove(i);
            let text = Some(original.len())
                .filter(|length| *length > QUOTED)
                .and_then(|_| both_weights(&first, &said))
                .unwrap_or_else(|| whole_text(original));
            let readings = vec![first, said];
            reading.doubts.push(Doubt {
                why: Why::TwoNumbers,
                text,
                readings,
            });
        } else if !kept.contains(&said) {
            kept.push(said);
        } else if is_work_at_one(&said) {
            // `C3 water C5 water C3 water`: one of them was probably another cage.
            reading.doubts.push(Doubt {
                why: Why::Twice,
                text: whole_text(original),
                readings: Vec::new(),
            });
        }
    }
    reading.said = kept;
}

fn is_work_at_one(said: &Said) -> bool {
    matches!(said.fact, Fact::Care(_))
        && matches!(&said.units, Units::Named(units) if units.len() == 1)
}

fn clashes(a: &Said, b: &Said) -> bool {
    let weight = |said: &Said| match &said.fact {
        Fact::Eggs { weight, add: false } => Some(weight.grams),
        Fact::FixEggs(weight) => Some(weight.grams),
        _ => None,
    };
    let code = |said: &Said| match &said.units {
        Units::Named(units) => units.first().map(|u| u.code),
        _ => None,
    };
    match (weight(a), weight(b)) {
        (Some(x), Some(y)) => x != y && a.day == b.day && code(a) == code(b),
        _ => false,
    }
}

/// `A4 0.4g 7g`: the unit with the two weights.
fn both_weights(first: &Said, second: &Said) -> Option<String> {
    let Units::Named(units) = &first.units else {
        return None;
    };
    let weight = |said: &Said| match &said.fact {
        Fact::Eggs { weight, .. } | Fact::FixEggs(weight) => Some(weight.grams),
        _ => None,
    };
    let (code, one, other) = (units.first()?.code, weight(first)?, weight(second)?);
    Some(format!("{code} {one} {other}"))
}

/// The message, short enough for a question.
fn whole_text(original: &[char]) -> String {
    const LONGEST: usize = 40;
    original.iter().take(LONGEST).collect()
}
