//! What a message is told of the sums: how a weight compares, a low yield with what to check first, the coming week, a plan.
//!
//! Words are the phrasebook's, sums the forecast's. This room records nothing.

use crate::biology::mixture::Range;
use crate::biology::plan::{Limit, PlanError, Wanted, plan};
use crate::desk::estimate::{Check, Compared, NoPlan, PlanTold};
use crate::desk::farm::{Farm, UNITS_MAX};
use crate::desk::forecast::{Awaited, Sums};
use crate::desk::learning::next_priors;
use crate::desk::reply::{Answer, Fragment, Refusal, Warning};
use crate::desk::unit::{Run, Unit};
use crate::desk::work::Work;
use crate::domain::CareJob;
use crate::domain::code::UnitCode;
use crate::domain::rules::Rules;
use crate::units::Grams;
use crate::units::day::FarmDay;
use chrono::Duration;

/// Weeks of its record that a farm's own supply is the mean of.
const SUPPLY_WEEKS: i64 = 4;
/// How many times the high end of what was expected a weight may reach without a question.
const BEYOND_TIMES: f64 = 5.0;
/// Weights below this are never a question for being more than expected.
const BEYOND_FROM_G: f64 = 5.0;
/// Harvests with eggs from which a cage's own forecast may ask.
const BEYOND_HARVESTS: usize = 5;
/// Days that ants or heat stay a likely cause of poor laying.
const CAUSE_DAYS: i64 = 3;

impl Work<'_> {
    /// Tells how a weight that has just been saved compares, and warns where the run of weights is poor.
    pub(crate) fn compare(
        &mut self,
        unit: UnitCode,
        total: Grams,
        awaited: Option<Awaited>,
        sums: &Sums,
    ) {
        let Some(mut awaited) = awaited else {
            return;
        };
        let learned = awaited.learn(total, &sums.parameters);
        if learned {
            self.fresh.extend(awaited.fresh(unit, total));
        }
        let Some(compared) = awaited.compared(total) else {
            return;
        };
        let expected = match compared {
            Compared::Low(range) => Some(range),
            Compared::AsExpected | Compared::High(_) => None,
        };
        let poor = learned && awaited.counts_poor(&sums.parameters);
        let told = match self.farm.unit(unit) {
            Some(known) if poor => Fragment::Warning(Warning::LowYield {
                unit,
                expected,
                first: checks(self.rules, &self.farm, known, self.today),
            }),
            _ => Fragment::Compared(unit, compared),
        };
        self.compared.push(told);
    }

    /// How the weights of this message compare. Where there are several, only those are told that are not as expected.
    pub(crate) fn comparisons(&mut self) -> Vec<Fragment> {
        let mut told = std::mem::take(&mut self.compared);
        if told.len() > 1 {
            told.retain(|one| !matches!(one, Fragment::Compared(_, Compared::AsExpected)));
        }
        told
    }

    /// `eggs`: the farm's last and next seven days.
    pub(crate) fn eggs_sum(&mut self) {
        let next = Sums::of(self.rules, &self.farm).farm_week(&self.farm, self.today);
        let last = self.eggs_since(6);
        self.answers.push(Answer::EggsWeek { last, next });
    }

    /// Eggs of today and `back` days before it, of all runs whose days are kept.
    fn eggs_since(&self, back: i64) -> Grams {
        let since = self.today - Duration::days(back);
        let runs = self
            .farm
            .units
            .iter()
            .flat_map(|u| u.running.iter().chain(&u.last));
        runs.flat_map(|run| run.harvests.iter().map(|h| (run.day_of(h), h.grams)))
            .filter(|(day, _)| (since..=self.today).contains(day))
            .fold(Grams::ZERO, |sum, (_, grams)| sum.plus(grams))
    }

    /// The farm's own supply a week: the mean of the last weeks, from its first eggs on.
    fn supply(&self) -> Grams {
        let first = self
            .farm
            .units
            .iter()
            .flat_map(|u| u.running.iter().chain(&u.last))
            .flat_map(|run| run.harvests.first().map(|h| run.day_of(h)))
            .min();
        let days = first.map_or(0, |first| {
            self.today.signed_duration_since(first).num_days() + 1
        });
        let days = days.clamp(7, 7 * SUPPLY_WEEKS);
        let grams = self.eggs_since(days - 1).as_f64() * 7.0 / days as f64;
        Grams::from_f64(grams).unwrap_or(Grams::MAX)
    }

    /// `plan 50`, or `plan` for the farm's own supply.
    pub(crate) fn plan(&mut self, wanted: Option<Grams>) {
        let weekly = wanted.unwrap_or_else(|| self.supply());
        match plan_for(self.rules, &self.farm, self.today, weekly) {
            Ok(told) => self.answers.push(Answer::Plan(told)),
            Err(why) => self.refuse(Refusal::NoPlan(why)),
        }
    }
}

/// Degrees of freedom of the tails that a forecast is given here: its own are those of its model, and cages differ from it (a modelling choice).
const TAIL: f64 = 4.0;
/// Natural logarithm of how much likelier the weight with its point moved must be, for a number that may have lost its point: about one number
/// in thirty of 10 g and more without decimals has, and most such questions may be needless, for they are few (both judged).
const POINT_LOST: f64 = 0.8;
/// The same for a number that may have lost a figure, which is rarer.
const FIGURE_LOST: f64 = 3.0;
/// The forecast is not surer than this, as a standard deviation of the logarithm.
const SUREST: f64 = 0.3;
/// Added to weights before logarithms are taken: what a scale shows at the least.
const STEP_G: f64 = 0.1;
/// The ends of a range lie so many standard deviations from its middle: one chance in ten.
const RANGE_SDS: f64 = 1.2816;

/// How likely a weight is under a forecast, as a logarithm without its constant.
fn likelihood(range: &Range, grams: f64) -> f64 {
    let ln = |g: f64| (g.max(0.0) + STEP_G).ln();
    let middle = ln(range.middle);
    let end = if grams > range.middle {
        range.high
    } else {
        range.low
    };
    let sd = ((ln(end) - middle).abs() / RANGE_SDS).max(SUREST);
    let z = (ln(grams) - middle) / sd;
    -(TAIL + 1.0) / 2.0 * (z * z / TAIL).ln_1p()
}

/// What a weight above its forecast probably was before its point was lost.
pub(crate) fn point_lost(range: &Range, grams: Grams) -> Option<Grams> {
    let whole = grams >= Grams::from_hundredths(1000)? && grams.hundredths().is_multiple_of(100);
    let tenth = Grams::from_hundredths(grams.hundredths() / 10)?;
    let gain = likelihood(range, tenth.as_f64()) - likelihood(range, grams.as_f64());
    (whole && grams.as_f64() > range.middle && gain > POINT_LOST).then_some(tenth)
}

/// Whether the forecast leaves room for a weight ten times as high rather than for this one.
pub(crate) fn is_figure_lost(range: &Range, grams: Grams) -> bool {
    let (said, ten) = (grams.as_f64(), grams.as_f64() * 10.0);
    likelihood(range, ten) - likelihood(range, said) > FIGURE_LOST
}

/// The most that the cage's own forecast leaves without a question, where the weight is beyond it.
pub(crate) fn beyond(awaited: Option<&Awaited>, run: &Run, total: Grams) -> Option<Grams> {
    let with_eggs = run
        .harvests
        .iter()
        .filter(|h| h.grams > Grams::ZERO)
        .count();
    let most = (awaited?.range.high * BEYOND_TIMES).max(BEYOND_FROM_G);
    let asked = with_eggs >= BEYOND_HARVESTS && total.as_f64() > most;
    asked.then(|| Grams::from_f64(most.ceil()).unwrap_or(Grams::MAX))
}

/// What to look at first: what the farm's own record shows (ants, heat, overdue care), the longest overdue first; then the rest.
pub(crate) fn checks(rules: &Rules, farm: &Farm, unit: &Unit, today: FarmDay) -> Vec<Check> {
    let since = |day: FarmDay| today.signed_duration_since(day).num_days();
    let overdue = |job: CareJob| {
        let every = i64::from(*rules.care_days.get(&job)?);
        let run = unit.running.as_ref()?;
        let done = unit.last_care(job).unwrap_or(run.stocked);
        Some(since(done) - every).filter(|late| *late > 0)
    };
    let hot = farm
        .temperatures
        .iter()
        .rev()
        .take_while(|t| since(t.day) <= CAUSE_DAYS);
    let shown = |check: Check| match check {
        Check::Water => overdue(CareJob::Water),
        Check::Bait => overdue(CareJob::Bait),
        // What was seen comes before what was not reported.
        Check::Heat => hot.clone().any(|t| t.max >= rules.heat).then_some(i64::MAX),
        Check::Ants => unit
            .ants
            .filter(|day| since(*day) <= CAUSE_DAYS)
            .map(|_| i64::MAX),
    };
    let mut all = Check::ALL.to_vec();
    all.sort_by_key(|check| std::cmp::Reverse(shown(*check).unwrap_or(0)));
    all
}

/// The plan of a farm for so many grams a week.
pub(crate) fn plan_for(
    rules: &Rules,
    farm: &Farm,
    today: FarmDay,
    weekly: Grams,
) -> Result<PlanTold, NoPlan> {
    let sums = Sums::of(rules, farm);
    let kind = rules.stock_kind;
    let priors = next_priors(rules, farm, &sums.parameters);
    let prior = priors.of(kind);
    let most = u32::try_from(UNITS_MAX).unwrap_or(u32::MAX);
    let wanted = Wanted {
        weekly_g: weekly.as_f64(),
        cages: Some(most),
        cage_m3: sums.parameters.cage_m3,
        weekly_pupae: None,
        kind,
        warmth: sums.warmth_now(today),
    };
    let plan = plan(&wanted, prior, &sums.parameters).map_err(|why| match why {
        PlanError::Amount => NoPlan::Amount,
        PlanError::Place => NoPlan::Cold,
        PlanError::Cages { needed, .. } => NoPlan::Cages { needed, most },
        PlanError::Pupae { .. } => NoPlan::Pupae,
        PlanError::HoldBack { share, most } => NoPlan::HoldBack {
            share: whole(share),
            most: whole(most),
        },
    })?;
    let have = u32::try_from(farm.units.len()).unwrap_or(u32::MAX);
    Ok(PlanTold {
        weekly,
        pupae_each: plan.pupae_each,
        cages_at_once: plan.cages_at_once,
        days_between: plan.days_between,
        cages: plan.cages,
        have,
        keep_pupae: whole(plan.hold_back.pupae),
        // A farm short of cages meets that before anything else.
        binds: if plan.cages > have {
            Limit::Cages
        } else {
            plan.binds
        },
    })
}

/// Rounded up to a whole number.
fn whole(value: f64) -> u32 {
    value.ceil().clamp(0.0, 4e9) as u32
}
