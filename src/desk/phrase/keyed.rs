//! Which key says what: jobs, warnings, doubts, expectations.
//!
//! This room does not know any words.

use crate::desk::phrase::keys::Key;
use crate::desk::reply::{TaskJob, Warning};
use crate::domain::CareJob;
use crate::domain::said::{Expected, Why};

/// What was recorded when a care job was done.
pub(super) const fn care_fact(job: CareJob) -> Key {
    match job {
        CareJob::Bait => Key::FactBait,
        CareJob::Water => Key::FactWater,
        CareJob::Moat => Key::FactMoat,
        CareJob::Traps => Key::FactTraps,
        CareJob::Shade => Key::FactShade,
        CareJob::Swept => Key::FactSwept,
    }
}

/// What to do.
pub(super) const fn task(job: TaskJob) -> Key {
    match job {
        TaskJob::CollectEggs => Key::TaskCollect,
        TaskJob::Care(CareJob::Bait) => Key::TaskBait,
        TaskJob::Care(CareJob::Water) => Key::TaskWater,
        TaskJob::Care(CareJob::Moat) => Key::TaskMoat,
        TaskJob::Care(CareJob::Traps) => Key::TaskTraps,
        TaskJob::Care(CareJob::Shade) => Key::TaskShade,
        TaskJob::Care(CareJob::Swept) => Key::TaskSwept,
        TaskJob::FirstEggs => Key::TaskFirstEggs,
        TaskJob::Retire => Key::TaskRetire,
        TaskJob::Restock => Key::TaskRestock,
    }
}

/// A warning in full, and in brief for a crowded part.
pub(super) const fn warning(warning: &Warning) -> (Key, Key) {
    match warning {
        Warning::Ants(_) => (Key::WarnAnts, Key::WarnAntsBrief),
        Warning::Heat(_) => (Key::WarnHeat, Key::WarnHeatBrief),
        Warning::Cold(_) => (Key::WarnCold, Key::WarnColdBrief),
        Warning::NoEntry { .. } => (Key::WarnNoEntry, Key::WarnNoEntryBrief),
        Warning::NoEggs { .. } => (Key::WarnNoEggs, Key::WarnNoEggsBrief),
        Warning::HatchedInTrap { .. } => (Key::WarnHatched, Key::WarnHatchedBrief),
        Warning::HatchSoon(_) => (Key::WarnHatchSoon, Key::WarnHatchSoonBrief),
        Warning::LowYield {
            expected: Some(_), ..
        } => (Key::WarnLow, Key::WarnLowBrief),
        Warning::LowYield { expected: None, .. } => (Key::WarnPoor, Key::WarnPoorBrief),
        Warning::ManyDead(_) => (Key::WarnManyDead, Key::WarnManyDeadBrief),
        Warning::Crowded(_) => (Key::WarnCrowded, Key::WarnCrowdedBrief),
    }
}

/// Why a text is doubtful.
pub(super) const fn doubt(why: Why) -> Key {
    match why {
        Why::StuckLetter => Key::DoubtStuckLetter,
        Why::StuckNumber => Key::DoubtStuckNumber,
        Why::TwoNumbers => Key::DoubtTwoNumbers,
        Why::SplitDecimal => Key::DoubtSplitDecimal,
        Why::WeightForMany => Key::DoubtWeightForMany,
        Why::Comma => Key::DoubtComma,
        Why::TooFine => Key::DoubtTooFine,
        Why::TareOrDay => Key::DoubtTareOrDay,
        Why::SaidOrAsked => Key::DoubtSaidOrAsked,
        Why::CheckLetter => Key::DoubtCheckLetter,
        Why::Unsure => Key::DoubtUnsure,
        Why::SameAsYesterday => Key::DoubtSameAsYesterday,
        Why::ClockHour => Key::DoubtClockHour,
        Why::NewCage => Key::DoubtNewCage,
        Why::StillLays => Key::DoubtStillLays,
        Why::FarOff => Key::DoubtFarOff,
        Why::LetterMissing => Key::DoubtLetterMissing,
        Why::Twice => Key::DoubtTwice,
        Why::Word => Key::DoubtWord,
        Why::DayWord => Key::DoubtDayWord,
        Why::Nothing => Key::DoubtNothing,
    }
}

/// What could have stood where something was not understood.
pub(super) const fn expected(expected: Expected) -> Key {
    match expected {
        Expected::CageOrWord => Key::ExpectCageOrWord,
        Expected::WeightOrWord => Key::ExpectWeightOrWord,
        Expected::Weight => Key::ExpectWeight,
        Expected::Amount => Key::ExpectAmount,
        Expected::TwoTemperatures => Key::ExpectTwoTemperatures,
        Expected::Day => Key::ExpectDay,
        Expected::Days => Key::ExpectDays,
        Expected::Hour => Key::ExpectHour,
        Expected::Member => Key::ExpectMember,
        Expected::Received => Key::ExpectReceived,
        Expected::JoinCode => Key::ExpectJoinCode,
        Expected::Language => Key::ExpectLanguage,
        Expected::RangeEnd => Key::ExpectRangeEnd,
        Expected::NoNumber => Key::ExpectNoNumber,
        Expected::Shorter => Key::ExpectShorter,
    }
}
