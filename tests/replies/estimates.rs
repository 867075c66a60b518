//! Estimates and plans of every size, for the properties of replies.

use crate::generated::grams;
use clutchline::biology::plan::Limit;
use clutchline::desk::estimate::{Compared, Estimate, NoPlan, PlanTold};
use clutchline::domain::pin::NoPin;
use proptest::prelude::*;
use proptest::sample::select;

pub(crate) fn estimate() -> BoxedStrategy<Estimate> {
    (grams(), grams())
        .prop_map(|(a, b)| Estimate {
            low: a.min(b),
            high: a.max(b),
        })
        .boxed()
}

pub(crate) fn compared() -> BoxedStrategy<Compared> {
    prop_oneof![
        Just(Compared::AsExpected),
        estimate().prop_map(Compared::Low),
        estimate().prop_map(Compared::High),
    ]
    .boxed()
}

/// Every number as large as a plan can hold: at most 160 cages, so under three million pupae a week.
pub(crate) fn plan() -> BoxedStrategy<PlanTold> {
    let binds = select(vec![
        Limit::Cages,
        Limit::Crowding,
        Limit::Pupae,
        Limit::HoldBack,
    ]);
    let sizes = (
        1..200_000_u32,
        1..=160_u32,
        1..=14_u32,
        1..=160_u32,
        0..=160_u32,
    );
    (grams(), sizes, 0..3_000_000_u32, binds)
        .prop_map(
            |(
                weekly,
                (pupae_each, cages_at_once, days_between, cages, have),
                keep_pupae,
                binds,
            )| PlanTold {
                weekly,
                pupae_each,
                cages_at_once,
                days_between,
                cages,
                have,
                keep_pupae,
                binds,
            },
        )
        .boxed()
}

pub(crate) fn no_plan() -> BoxedStrategy<NoPlan> {
    prop_oneof![
        Just(NoPlan::Amount),
        Just(NoPlan::Cold),
        Just(NoPlan::Pupae),
        any::<u32>().prop_map(|needed| NoPlan::Cages { needed, most: 160 }),
        (any::<u32>(), 0..=100_u32).prop_map(|(share, most)| NoPlan::HoldBack { share, most }),
    ]
    .boxed()
}

pub(crate) fn no_pin() -> BoxedStrategy<NoPin> {
    prop_oneof![
        any::<u8>().prop_map(NoPin::Wrong),
        any::<u16>().prop_map(NoPin::Locked),
        select(vec![NoPin::Plain, NoPin::Kept, NoPin::None, NoPin::Unclear]),
    ]
    .boxed()
}
