//! The plan for a wanted supply: pupae per stocking, days between stockings, cages, crowding, when it is steady, what to hold back.
//!
//! A steady supply is the yield of one stocking over the days between two; cages in use are how long each is worth its space over the
//! same days. What cannot be is refused with the limit that binds. This room does not know prices or what a farm has today.

use crate::biology::chain::HoldBack;
use crate::biology::curve::Curve;
use crate::biology::curve::LIFE_DAYS;
use crate::biology::prior::Prior;
use crate::biology::prior::kernel_shift;
use crate::biology::prior::table_spread;
use crate::biology::prior::timing;
use crate::biology::shape::Shape;
use crate::biology::tables::Parameters;
use crate::domain::StockKind;
use thiserror::Error;

/// The most that is planned for, in grams a week: a cooperative of 100,000 keepers, not a farm.
const MOST_WEEKLY_G: f64 = 1e6;

/// The longest interval: beyond two weeks the supply of one-age stock falls to nothing in between.
const LONGEST_INTERVAL_D: u32 = 14;

/// What is wanted and what there is.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Grams of eggs a week.
    pub weekly_g: f64,
    /// Cages that the farm has or can have; none where there is no limit.
    pub cages: Option<u32>,
    /// Cubic metres of one cage.
    pub cage_m3: f64,
    /// Pupae that can be had a week; none where there is no limit.
    pub weekly_pupae: Option<f64>,
    /// One age or mixed.
    pub kind: StockKind,
    /// A usual day's warmth, in pupal degree-days.
    pub warmth: f64,
}

/// A plan that works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Pupae put into each cage.
    pub pupae_each: u32,
    /// Cages stocked on the same day.
    pub cages_at_once: u32,
    /// Days from one stocking to the next.
    pub days_between: u32,
    /// Cages in use once it is steady.
    pub cages: u32,
    /// Days that a cage is in use, with its cleaning.
    pub days_each: u32,
    /// Flies alive at the same time in one cage, per cubic metre, at the fullest.
    pub adults_per_m3: f64,
    /// Weeks from the first stocking until the supply is steady.
    pub weeks_until_steady: u32,
    /// Grams a week that the plan gives as a middle.
    pub weekly_g: f64,
    /// What must go back into cages.
    pub hold_back: HoldBack,
    /// What would bind first if more were wanted.
    pub binds: Limit,
}

/// What a plan runs into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Too few cages.
    Cages,
    /// Too many flies in a cubic metre.
    Crowding,
    /// Too few pupae to stock.
    Pupae,
    /// The colony cannot renew itself and give this share away.
    HoldBack,
}

/// A want that cannot be met.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum PlanError {
    /// Not an amount.
    #[error("expected grams of eggs a week above 0 and up to 1000000, such as 50")]
    Amount,
    /// It is too cold, or a cage's size is no size.
    #[error("expected a cage of more than 0 m3 and days warm enough for flies to emerge")]
    Place,
    /// More cages are needed than there are.
    #[error(
        "{needed} cages are needed and {there} are there; at most about {most_g:.0} g a week can be had (cages bind)"
    )]
    Cages {
        /// Cages needed.
        needed: u32,
        /// Cages there.
        there: u32,
        /// Grams a week that the cages can give.
        most_g: f64,
    },
    /// More pupae are needed than can be had.
    #[error(
        "{needed:.0} pupae a week are needed and {there:.0} can be had; at most about {most_g:.0} g a week (pupae bind)"
    )]
    Pupae {
        /// Pupae needed a week.
        needed: f64,
        /// Pupae that can be had a week.
        there: f64,
        /// Grams a week that they can give.
        most_g: f64,
    },
    /// More larvae would have to be held back than a colony can spare.
    #[error(
        "{share:.0} % of all larvae would have to be held back and a colony can spare {most:.0} % (hold-back binds); hatch, survival or yield must rise first"
    )]
    HoldBack {
        /// Per cent needed.
        share: f64,
        /// Per cent that can be spared.
        most: f64,
    },
}

/// How one stocking goes on a usual farm: eggs a pupa, and when.
struct Course {
    grams_each: f64,
    /// Day from which the cage is not worth its space.
    ends: u32,
    /// Most of the emerged flies alive on one day, as a share of pupae.
    alive: f64,
}

fn course(wanted: &Wanted, prior: &Prior, parameters: &Parameters) -> Option<Course> {
    if wanted.warmth.is_nan() || wanted.warmth <= 0.5 {
        return None;
    }
    let shape = Shape::new(&prior.shape);
    let days = vec![wanted.warmth; LIFE_DAYS];
    let curve = Curve::new(&shape, &days, parameters);
    let at = timing(
        kernel_shift(&prior.shape, parameters),
        table_spread(wanted.kind, parameters),
        parameters,
        prior.delay.mean.into(),
        prior.width.mean.into(),
    );
    let laid: Vec<f64> = curve.daily(at, 0..LIFE_DAYS).collect();
    let retire = retire_day(&laid, parameters);
    let grams: f64 = laid.iter().take(retire + 1).sum();
    let emerged = |day: f64| shape.emerged((day * wanted.warmth - at.middle) / at.spread);
    let alive = (0..u32::try_from(LIFE_DAYS).unwrap_or(0))
        .map(|day| emerged(f64::from(day)) - emerged(f64::from(day) - parameters.adult_life_d))
        .fold(0.0, f64::max);
    Some(Course {
        grams_each: parameters.grams_per_pupa() * f64::from(prior.scale.mean).exp() * grams,
        ends: u32::try_from(retire).ok()?,
        alive: alive * parameters.emergence_share,
    })
}

/// The day after which seven days' yield stays under the table's share of the best week, by the table's last day at the latest.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub fn retire_day(laid: &[f64], parameters: &Parameters) -> usize {
    let last = parameters.retire_days as usize;
    let week = |day: usize| -> f64 { laid.iter().skip(day).take(7).sum() };
    let weeks: Vec<f64> = (0..=last).map(week).collect();
    let best = weeks.iter().copied().fold(0.0, f64::max);
    let peak = weeks.iter().position(|it| *it >= best).unwrap_or(0);
    (peak..=last)
        .find(|day| {
            weeks
                .get(*day)
                .is_some_and(|it| *it < parameters.retire_share * best)
        })
        .unwrap_or(last)
}

/// A plan for what is wanted, at the yield and timing of `prior`.
///
/// # Errors
/// When it cannot be, with the limit that binds.
pub fn plan(wanted: &Wanted, prior: &Prior, parameters: &Parameters) -> Result<Plan, PlanError> {
    if !(wanted.weekly_g > 0.0 && wanted.weekly_g <= MOST_WEEKLY_G) {
        return Err(PlanError::Amount);
    }
    if wanted.cage_m3.is_nan() || wanted.cage_m3 <= 0.0 {
        return Err(PlanError::Place);
    }
    let course = course(wanted, prior, parameters).ok_or(PlanError::Place)?;
    let scale = f64::from(prior.scale.mean).exp();
    let hold_back = HoldBack::of(wanted.weekly_g, scale, parameters);
    if hold_back.share > parameters.hold_back_most {
        return Err(PlanError::HoldBack {
            share: 100.0 * hold_back.share,
            most: 100.0 * parameters.hold_back_most,
        });
    }
    let weekly_pupae = wanted.weekly_g / course.grams_each;
    if let Some(there) = wanted.weekly_pupae.filter(|there| *there < weekly_pupae) {
        return Err(PlanError::Pupae {
            needed: weekly_pupae,
            there,
            most_g: there * course.grams_each,
        });
    }
    let most_each = parameters.adults_per_m3 * wanted.cage_m3 / course.alive.max(1e-9);
    let days_each = f64::from(course.ends) + parameters.turnaround_d;
    let Spacing {
        between,
        cages_at_once,
        cages,
    } = spacing(weekly_pupae, most_each, days_each, wanted.cages, parameters);
    if let Some(there) = wanted.cages.filter(|there| *there < cages) {
        let rounds = f64::from(there) / days_each;
        return Err(PlanError::Cages {
            needed: cages,
            there,
            most_g: 7.0 * rounds * most_each * course.grams_each,
        });
    }
    let at_once = f64::from(cages_at_once);
    let pupae_each = whole((weekly_pupae / 7.0 * f64::from(between) / at_once).ceil());
    Ok(Plan {
        pupae_each,
        cages_at_once,
        days_between: between,
        cages,
        days_each: whole(days_each),
        adults_per_m3: f64::from(pupae_each) * course.alive / wanted.cage_m3,
        weeks_until_steady: (course.ends + between).div_ceil(7),
        weekly_g: f64::from(pupae_each) * at_once * course.grams_each * 7.0 / f64::from(between),
        hold_back,
        binds: first_limit(
            wanted,
            &hold_back,
            pupae_each,
            most_each,
            f64::from(cages),
            parameters,
        ),
    })
}

/// How stockings are spread over time and cages.
#[derive(Clone, Copy)]
struct Spacing {
    between: u32,
    cages_at_once: u32,
    cages: u32,
}

/// Fewest cages among the intervals that keep the supply smooth, the longer interval where two need as many;
/// where there are too few cages for that, the shortest longer interval that fits into them.
fn spacing(
    weekly_pupae: f64,
    most_each: f64,
    days_each: f64,
    there: Option<u32>,
    parameters: &Parameters,
) -> Spacing {
    let at = |between: u32| {
        let cages_at_once = whole(
            (weekly_pupae / 7.0 * f64::from(between) / most_each)
                .ceil()
                .max(1.0),
        );
        let rounds = whole((days_each / f64::from(between)).ceil().max(1.0));
        Spacing {
            between,
            cages_at_once,
            cages: cages_at_once.saturating_mul(rounds),
        }
    };
    // A want that one cage carries for a week is not worth stocking more often than weekly.
    let smooth = if weekly_pupae <= most_each / 2.0 {
        7
    } else {
        whole(parameters.smooth_interval_d).max(1)
    };
    let best = (1..=smooth)
        .rev()
        .map(at)
        .min_by_key(|it| it.cages)
        .unwrap_or_else(|| at(1));
    let fits = |it: &Spacing| there.is_none_or(|there| it.cages <= there);
    if fits(&best) {
        return best;
    }
    (smooth + 1..=LONGEST_INTERVAL_D)
        .map(at)
        .find(fits)
        .unwrap_or(best)
}

fn first_limit(
    wanted: &Wanted,
    hold_back: &HoldBack,
    pupae_each: u32,
    most_each: f64,
    cages: f64,
    parameters: &Parameters,
) -> Limit {
    let use_of = [
        (Limit::HoldBack, hold_back.share / parameters.hold_back_most),
        (Limit::Crowding, f64::from(pupae_each) / most_each),
        (
            Limit::Cages,
            wanted
                .cages
                .map_or(0.0, |there| cages / f64::from(there.max(1))),
        ),
        (
            Limit::Pupae,
            wanted
                .weekly_pupae
                .map_or(0.0, |there| hold_back.pupae / there),
        ),
    ];
    use_of
        .into_iter()
        .fold(
            (Limit::HoldBack, f64::MIN),
            |a, b| if b.1 > a.1 { b } else { a },
        )
        .0
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(value: f64) -> u32 {
    value.clamp(0.0, 4e9) as u32
}
