//! Estimates in words: how a weight compares, the coming week, a plan and why there is none.
//!
//! Every text here says that it is an estimate; none promises anything. This room computes nothing.

use crate::biology::plan::Limit;
use crate::desk::estimate::{Check, Compared, Estimate, NoPlan, PlanTold};
use crate::desk::phrase::keys::Key;
use crate::desk::phrase::voice::Voice;
use crate::desk::phrase::words::Value;
use crate::domain::code::UnitCode;
use crate::units::Grams;

fn shown(value: impl ToString) -> Value {
    value.to_string().into()
}

/// How a cage's weight compares.
pub(super) fn compared(voice: &Voice<'_>, unit: UnitCode, compared: Compared) -> String {
    let unit = ("unit", shown(unit));
    match compared {
        Compared::AsExpected => voice.plain(Key::ComparedSame),
        Compared::Low(range) => voice.say(Key::ComparedLow, &[unit, ("range", shown(range))]),
        Compared::High(range) => voice.say(Key::ComparedHigh, &[unit, ("range", shown(range))]),
    }
}

/// What to look at, in its order; the first two where room is short.
pub(super) fn checks(voice: &Voice<'_>, first: &[Check]) -> String {
    let count = if voice.brief { 2 } else { first.len() };
    let words: Vec<String> = first
        .iter()
        .take(count)
        .map(|one| voice.plain(check(*one)))
        .collect();
    words.join(", ")
}

/// Eggs of the last seven days, and the range of the next.
pub(super) fn weeks(voice: &Voice<'_>, last: Grams, next: Option<Estimate>) -> String {
    let grams = ("grams", shown(last));
    match next {
        Some(next) => voice.say(Key::EggsWeeks, &[grams, ("range", shown(next))]),
        None => voice.say(Key::EggsWeek, &[grams]),
    }
}

/// A plan.
pub(super) fn plan(voice: &Voice<'_>, told: &PlanTold) -> String {
    let values = [
        ("grams", shown(told.weekly)),
        ("pupae", shown(told.pupae_each)),
        ("at_once", shown(told.cages_at_once)),
        ("days", shown(told.days_between)),
        ("cages", shown(told.cages)),
        ("have", shown(told.have)),
        ("keep", shown(told.keep_pupae)),
        ("limit", voice.plain(limit(told.binds)).into()),
    ];
    voice.say(Key::Plan, &values)
}

/// Why there is no plan.
pub(super) fn no_plan(voice: &Voice<'_>, why: NoPlan) -> String {
    match why {
        NoPlan::Amount => voice.plain(Key::NoPlanAmount),
        NoPlan::Cold => voice.plain(Key::NoPlanCold),
        NoPlan::Cages { needed, most } => {
            let values = [("needed", shown(needed)), ("most", shown(most))];
            voice.say(Key::NoPlanCages, &values)
        }
        NoPlan::Pupae => voice.plain(Key::NoPlanPupae),
        NoPlan::HoldBack { share, most } => {
            let values = [("share", shown(share)), ("most", shown(most))];
            voice.say(Key::NoPlanHoldBack, &values)
        }
    }
}

/// What to look at.
const fn check(check: Check) -> Key {
    match check {
        Check::Water => Key::CheckWater,
        Check::Bait => Key::CheckBait,
        Check::Heat => Key::CheckHeat,
        Check::Ants => Key::CheckAnts,
    }
}

/// What binds a plan.
const fn limit(limit: Limit) -> Key {
    match limit {
        Limit::Cages => Key::LimitCages,
        Limit::Crowding => Key::LimitCrowding,
        Limit::Pupae => Key::LimitPupae,
        Limit::HoldBack => Key::LimitHoldBack,
    }
}
