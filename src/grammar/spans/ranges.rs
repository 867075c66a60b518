//! Ranges of units, counted out.
//!
//! This room does not know which units a farm has; those inside a range are marked, so that missing ones are passed over.

use crate::domain::code::UnitCode;
use crate::domain::said::UnitSaid;
use crate::grammar::MAX_RANGE;
use crate::grammar::codes::CodeReading;
use crate::grammar::numbers::Number;

/// Counts a range out; a reversed one is its forward form. `None` for other letters or too many units.
pub(crate) fn range(first: UnitSaid, last: UnitSaid) -> Option<Vec<UnitSaid>> {
    let letters = first.code.letters();
    let (low, high) = if first.code <= last.code {
        (first, last)
    } else {
        (last, first)
    };
    if letters != last.code.letters() || high.code.number() - low.code.number() >= MAX_RANGE {
        return None;
    }
    (low.code.number()..=high.code.number())
        .map(|number| {
            let unit = [low, high].into_iter().find(|u| u.code.number() == number);
            let inside = UnitCode::new(&letters, number).map(|code| UnitSaid {
                code,
                checked: false,
                inside_range: true,
            });
            unit.or(inside)
        })
        .collect()
}

/// `C1-6`: a range with its second letter left out, or a number after the code.
pub(crate) fn short_range(first: UnitSaid, number: &Number, to: bool) -> Vec<CodeReading> {
    let mut readings = Vec::new();
    let last = number
        .plain
        .and_then(|n| u16::try_from(n).ok())
        .filter(|n| *n > first.code.number())
        .and_then(|n| UnitCode::new(&first.code.letters(), n));
    if let Some(code) = last
        && let Some(units) = range(
            first,
            UnitSaid {
                code,
                checked: false,
                inside_range: false,
            },
        )
    {
        readings.push(CodeReading {
            units,
            number: None,
        });
    }
    if !to {
        readings.push(CodeReading {
            units: vec![first],
            number: Some(number.clone()),
        });
    }
    readings
}
