//! Replies of every kind with any names, numbers and lists, for the properties that all of them have.
//!
//! Knows the types of a reply, and no words.

use crate::estimates::{compared, estimate, no_pin, no_plan, plan};
use chrono::{Duration, NaiveDate};
use clutchline::desk::estimate::Check;
use clutchline::desk::reply::{
    Answer, Ask, CageState, Fragment, Refusal, Saved, SavedNote, SavedWhat, Stage, Task, TaskJob,
    Warning,
};
use clutchline::domain::code::UnitCode;
use clutchline::domain::lang::Lang;
use clutchline::domain::pin::Behind;
use clutchline::domain::question::Unplaced;
use clutchline::domain::said::{Expected, Verb, Why};
use clutchline::domain::{CareJob, MemberNo, StockKind};
use clutchline::grammar::registry::VERBS;
use clutchline::units::day::FarmDay;
use clutchline::units::{Celsius, Grams, Pupae};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

pub(crate) fn today() -> FarmDay {
    NaiveDate::from_ymd_opt(2026, 3, 10).unwrap()
}

pub(crate) fn unit() -> impl Strategy<Value = UnitCode> {
    (select(vec!["C", "D", "AB", "ZZ"]), 1..=999_u16)
        .prop_map(|(l, n)| UnitCode::new(l, n).unwrap())
}

pub(crate) fn units() -> impl Strategy<Value = Vec<UnitCode>> {
    vec(unit(), 0..40)
}

pub(crate) fn grams() -> impl Strategy<Value = Grams> {
    prop_oneof![0..=2_000_u32, 0..=99_900_000_u32].prop_map(|h| Grams::from_hundredths(h).unwrap())
}

pub(crate) fn pupae() -> impl Strategy<Value = Pupae> {
    (0..=1_000_000_u32).prop_map(|n| Pupae::new(n).unwrap())
}

pub(crate) fn celsius() -> impl Strategy<Value = Celsius> {
    (-200..=600_i16).prop_map(|t| Celsius::from_tenths(t).unwrap())
}

pub(crate) fn day() -> impl Strategy<Value = FarmDay> {
    prop_oneof![Just(0), -20..=50_i64].prop_map(|back| today() - Duration::days(back))
}

pub(crate) fn member() -> impl Strategy<Value = MemberNo> {
    any::<u32>().prop_map(MemberNo)
}

pub(crate) fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-Z][a-z]{2,9}",
        ".{0,40}",
        Just("Zoë Müller-Ŝmiþ".to_owned()),
        Just("نعمة".to_owned()),
        Just("{ $name } { [".to_owned()),
    ]
}

pub(crate) fn care() -> impl Strategy<Value = CareJob> {
    select(CareJob::ALL.to_vec())
}

pub(crate) fn kind() -> impl Strategy<Value = StockKind> {
    select(vec![StockKind::OneAge, StockKind::Mixed])
}

pub(crate) fn verb() -> impl Strategy<Value = Verb> {
    select(VERBS.map(|row| row.verb).to_vec())
}

pub(crate) fn saved() -> impl Strategy<Value = Saved> {
    let what = prop_oneof![
        (grams(), option::of((grams(), grams())))
            .prop_map(|(grams, gross_tare)| SavedWhat::Eggs { grams, gross_tare }),
        vec(care(), 1..6).prop_map(SavedWhat::Care),
        (option::of(pupae()), option::of(grams()), kind()).prop_map(|(pupae, weight, kind)| {
            SavedWhat::Stock {
                pupae,
                weight,
                kind,
            }
        }),
        option::of(grams()).prop_map(SavedWhat::Dead),
        Just(SavedWhat::Ants),
        (celsius(), celsius()).prop_map(|(a, b)| SavedWhat::Temperature(a, b)),
        Just(SavedWhat::Retire),
        (grams(), option::of(grams())).prop_map(|(grams, own)| SavedWhat::Delivered { grams, own }),
    ];
    let note = prop_oneof![
        4 => Just(SavedNote::New),
        1 => Just(SavedNote::Already),
        1 => grams().prop_map(SavedNote::AddedTo),
        1 => grams().prop_map(SavedNote::Replaced),
        1 => Just(SavedNote::Corrected),
        1 => Just(SavedNote::TakenBack),
        1 => units().prop_map(SavedNote::With),
    ];
    (option::of(unit()), what, day(), note).prop_map(|(unit, what, day, note)| Saved {
        unit,
        what,
        day,
        note,
    })
}

fn unplaced() -> impl Strategy<Value = Unplaced> {
    select(vec![
        Unplaced::Care(CareJob::Bait),
        Unplaced::Care(CareJob::Traps),
        Unplaced::Care(CareJob::Swept),
        Unplaced::Ants,
        Unplaced::Dead,
        Unplaced::Stock,
        Unplaced::Retire,
    ])
}

pub(crate) fn ask() -> BoxedStrategy<Ask> {
    let likely = || option::of(grams());
    prop_oneof![
        (unit(), day(), grams(), grams()).prop_map(|(unit, day, old, new)| Ask::OtherWeight {
            unit,
            day,
            old,
            new
        }),
        (unit(), day(), grams(), grams()).prop_map(|(unit, day, grams, total)| Ask::AddAgain {
            unit,
            day,
            grams,
            total
        }),
        (grams(), day(), likely(), grams()).prop_map(|(grams, day, own, already)| {
            Ask::Delivery {
                grams,
                day,
                own,
                already,
            }
        }),
        (unit(), grams(), grams(), likely()).prop_map(|(unit, said, most, likely)| {
            Ask::Implausible {
                unit,
                said,
                most,
                likely,
            }
        }),
        (unit(), grams(), any::<u16>()).prop_map(|(unit, grams, days)| Ask::TooEarly {
            unit,
            grams,
            days
        }),
        (unit(), grams()).prop_map(|(unit, grams)| Ask::NotStocked { unit, grams }),
        (unit(), option::of(pupae()), day()).prop_map(|(unit, pupae, since)| Ask::Restock {
            unit,
            pupae,
            since
        }),
        (unit(), pupae(), option::of(pupae())).prop_map(|(unit, pupae, likely)| Ask::StockSize {
            unit,
            pupae,
            likely
        }),
        (likely(), option::of(unplaced()), units()).prop_map(|(grams, of, units)| Ask::WhichUnit {
            grams,
            of,
            units
        }),
        vec((member(), name()), 0..8).prop_map(Ask::Whose),
        Just(Ask::Forget),
        select(vec![Behind::Choose, Behind::Data]).prop_map(Ask::Pin),
        (
            select(vec![
                Why::StuckLetter,
                Why::StuckNumber,
                Why::TwoNumbers,
                Why::SplitDecimal,
                Why::WeightForMany,
                Why::Comma,
                Why::TooFine,
                Why::TareOrDay,
                Why::SaidOrAsked,
                Why::CheckLetter,
                Why::Unsure,
                Why::ClockHour,
                Why::NewCage,
                Why::StillLays,
                Why::FarOff,
                Why::LetterMissing,
                Why::Twice,
                Why::Word,
                Why::DayWord,
                Why::Nothing,
            ]),
            option::of(unit()),
            name(),
            vec("[0-9.]{1,9}g", 0..9),
            option::of(saved()),
        )
            .prop_map(|(why, unit, text, options, likely)| Ask::Doubt {
                why,
                unit,
                text,
                options,
                likely
            }),
    ]
    .boxed()
}

pub(crate) fn refusal() -> BoxedStrategy<Refusal> {
    prop_oneof![
        (unit(), units()).prop_map(|(unit, have)| Refusal::UnknownUnit { unit, have }),
        unit().prop_map(Refusal::FutureDay),
        any::<u16>().prop_map(|days| Refusal::TooFarBack { days }),
        (unit(), day()).prop_map(|(unit, stocked)| Refusal::BeforeStocking { unit, stocked }),
        Just(Refusal::DayMonth),
        unit().prop_map(Refusal::NotRunning),
        Just(Refusal::NotMember),
        Just(Refusal::WrongJoinCode),
        member().prop_map(Refusal::AlreadyMember),
        Just(Refusal::NotAllowed),
        member().prop_map(Refusal::NoSuchMember),
        verb().prop_map(Refusal::NothingOpen),
        Just(Refusal::NoSuchLang(vec![
            Lang::EN,
            Lang::new("sw").unwrap()
        ])),
        unit().prop_map(Refusal::CheckLetterNeeded),
        verb().prop_map(Refusal::OutOfBounds),
        Just(Refusal::TooManyUnits),
        no_plan().prop_map(Refusal::NoPlan),
        no_pin().prop_map(Refusal::Pin),
    ]
    .boxed()
}

pub(crate) fn warning() -> BoxedStrategy<Warning> {
    prop_oneof![
        unit().prop_map(Warning::Ants),
        celsius().prop_map(Warning::Heat),
        celsius().prop_map(Warning::Cold),
        (any::<u16>(), units()).prop_map(|(days, units)| Warning::NoEntry { days, units }),
        (unit(), any::<u16>()).prop_map(|(unit, days)| Warning::NoEggs { unit, days }),
        (unit(), any::<u16>()).prop_map(|(unit, days)| Warning::HatchedInTrap { unit, days }),
        unit().prop_map(Warning::HatchSoon),
        (unit(), option::of(estimate())).prop_map(|(unit, expected)| Warning::LowYield {
            unit,
            expected,
            first: Check::ALL.to_vec(),
        }),
        unit().prop_map(Warning::ManyDead),
        unit().prop_map(Warning::Crowded),
    ]
    .boxed()
}

pub(crate) fn task() -> impl Strategy<Value = Task> {
    let job = prop_oneof![
        Just(TaskJob::CollectEggs),
        care().prop_map(TaskJob::Care),
        Just(TaskJob::FirstEggs),
        Just(TaskJob::Retire),
        Just(TaskJob::Restock),
    ];
    (job, units(), prop_oneof![0..5_u16, any::<u16>()]).prop_map(|(job, units, overdue_days)| {
        Task {
            job,
            units,
            overdue_days,
        }
    })
}

pub(crate) fn state() -> impl Strategy<Value = CageState> {
    let stage = prop_oneof![
        option::of(day()).prop_map(|since| Stage::Empty { since }),
        (any::<u16>(), day()).prop_map(|(days, first_eggs)| Stage::Waiting { days, first_eggs }),
        any::<u16>().prop_map(|days| Stage::Laying { days }),
        any::<u16>().prop_map(|days| Stage::Spent { days }),
    ];
    (
        unit(),
        stage,
        grams(),
        option::of((day(), grams())),
        option::of(estimate()),
        option::of(day()),
    )
        .prop_map(
            |(unit, stage, last_week, last, next_week, retire_by)| CageState {
                unit,
                stage,
                last_week,
                last,
                next_week,
                retire_by,
            },
        )
}

pub(crate) fn answer() -> BoxedStrategy<Answer> {
    prop_oneof![
        (member(), name(), name()).prop_map(|(member, name, coop)| Answer::Joined {
            member,
            name,
            coop
        }),
        select(vec![
            Answer::LangSet,
            Answer::Stopped,
            Answer::Started,
            Answer::BackAgain,
            Answer::NoTasks,
            Answer::NextQuestion,
            Answer::Forgotten,
            Answer::PinSet,
            Answer::PinEnded,
        ]),
        option::of(verb()).prop_map(Answer::Help),
        day().prop_map(Answer::AwayUntil),
        (0..24_u8).prop_map(Answer::HourSet),
        (option::of(unit()), option::of(grams()))
            .prop_map(|(unit, grams)| Answer::Kept { unit, grams }),
        (grams(), option::of(estimate())).prop_map(|(last, next)| Answer::EggsWeek { last, next }),
        plan().prop_map(Answer::Plan),
        (member(), name(), name(), 0..=8_usize, 0..=160_usize).prop_map(
            |(member, name, ward, phones, cages)| Answer::MyData {
                member,
                name,
                ward,
                phones,
                cages
            }
        ),
    ]
    .boxed()
}

pub(crate) fn fragment() -> impl Strategy<Value = Fragment> {
    prop_oneof![
        6 => saved().prop_map(Fragment::Saved),
        1 => (name(), "[a-z]{2,12}")
            .prop_map(|(typed, read_as)| Fragment::Repaired { typed, read_as }),
        2 => ask().prop_map(Fragment::Ask),
        2 => refusal().prop_map(Fragment::Refused),
        1 => (vec(name(), 0..6), select(EXPECTED.to_vec())).prop_map(|(words, expected)| {
            Fragment::Unread { words, expected, example: "AB999 12.5 bait".to_owned() }
        }),
        1 => select(vec![true, false]).prop_map(|has_number| Fragment::Teach {
            line: "pokea 999999 AB999 1012.5".to_owned(),
            has_number,
        }),
        2 => warning().prop_map(Fragment::Warning),
        2 => (unit(), compared()).prop_map(|(unit, how)| Fragment::Compared(unit, how)),
        2 => vec(task(), 0..12).prop_map(Fragment::Tasks),
        1 => Just(Fragment::UndoHint),
        1 => (member(), name()).prop_map(|(member, name)| Fragment::For(member, name)),
        1 => name().prop_map(Fragment::EnteredBy),
        2 => state().prop_map(Fragment::State),
        2 => answer().prop_map(Fragment::Answer),
    ]
}

const EXPECTED: [Expected; 15] = [
    Expected::CageOrWord,
    Expected::WeightOrWord,
    Expected::Weight,
    Expected::Amount,
    Expected::TwoTemperatures,
    Expected::Day,
    Expected::Days,
    Expected::Hour,
    Expected::Received,
    Expected::Member,
    Expected::JoinCode,
    Expected::Language,
    Expected::RangeEnd,
    Expected::NoNumber,
    Expected::Shorter,
];
