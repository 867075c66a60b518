//! What comes: eggs of the next days as a middle and an 80 % range, for one cage.
//!
//! A forecast is a mixture of log-normals, one for each belief and each way that trouble may go.
//! This room does not know what a forecast is used for.

use crate::biology::belief::Belief;
use crate::biology::belief::CLUTCH_VARIANCE_G;
use crate::biology::belief::Mode;
use crate::biology::belief::Stocking;
use crate::biology::belief::merge;
use crate::biology::belief::place;
use crate::biology::curve::Curve;
use crate::biology::mixture::Part;
use crate::biology::mixture::Range;
use crate::biology::mixture::quantiles;
use crate::biology::prior::kernel_shift;
use crate::biology::prior::table_spread;
use crate::biology::prior::timing;
use crate::biology::sums::Moments;
use crate::biology::tables::Parameters;

/// The longest forecast: beyond a month nothing that is known today still counts.
pub const MOST_DAYS: usize = 31;
/// Weight below which a part of a mixture is left out: it could not move a tenth of probability.
const LEAVE_OUT: f64 = 2e-4;

/// The forecast of one cage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Forecast {
    /// Each day.
    pub days: Vec<Range>,
    /// All of them together.
    pub total: Range,
    /// For sums over cages.
    pub moments: Moments,
}

impl Forecast {
    /// No eggs on any of `count` days.
    #[must_use]
    pub fn nothing(count: usize) -> Self {
        let moments = Moments {
            days: vec![0.0; count],
            ..Moments::default()
        };
        Self {
            days: vec![Range::default(); count],
            total: Range::default(),
            moments,
        }
    }
}

/// One way that the coming days may go, for one grid point: factors of each day.
struct Course {
    weight: f64,
    mode: Mode,
    /// Variance (ln) for what is not known of the shape of a life's end.
    doubt: f64,
    /// Shares of a life's eggs, by day, after trouble.
    shares: Vec<f64>,
}

/// Variance (ln) of what is left of a life: the less that is, the more hangs on the tail of a shape that nobody has measured.
fn doubt(left: f64, parameters: &Parameters) -> f64 {
    let sd = parameters.shape_doubt * -left.clamp(1e-4, 1.0).ln();
    sd * sd
}

/// Forecast of the `count` days after `today` (days since stocking). The curve must reach them; days beyond it count nothing.
#[must_use]
pub fn forecast(
    stocking: &Stocking,
    belief: &Belief,
    curve: &Curve<'_>,
    parameters: &Parameters,
    today: u16,
    count: usize,
) -> Forecast {
    let count = count.min(MOST_DAYS);
    let courses = courses(stocking, belief, curve, parameters, today, count);
    let total = stocking.table_grams(parameters);
    let sum = |course: &Course, from: usize, to: usize| -> Part {
        part(course, from, to, total, stocking, parameters)
    };
    let days = (0..count)
        .map(|day| {
            quantiles(
                &courses
                    .iter()
                    .map(|it| sum(it, day, day + 1))
                    .collect::<Vec<_>>(),
            )
        })
        .collect();
    let parts: Vec<Part> = courses.iter().map(|it| sum(it, 0, count)).collect();
    Forecast {
        days,
        total: quantiles(&parts),
        moments: moments(&courses, &parts, total, stocking, parameters),
    }
}

/// The total alone: for roll-ups, which need no days.
#[must_use]
pub fn total(
    stocking: &Stocking,
    belief: &Belief,
    curve: &Curve<'_>,
    parameters: &Parameters,
    today: u16,
    count: usize,
) -> (Range, Moments) {
    let count = count.min(MOST_DAYS);
    let courses = courses(stocking, belief, curve, parameters, today, count);
    let grams = stocking.table_grams(parameters);
    let parts: Vec<Part> = courses
        .iter()
        .map(|it| part(it, 0, count, grams, stocking, parameters))
        .collect();
    (
        quantiles(&parts),
        moments(&courses, &parts, grams, stocking, parameters),
    )
}

fn courses(
    stocking: &Stocking,
    belief: &Belief,
    curve: &Curve<'_>,
    parameters: &Parameters,
    today: u16,
    count: usize,
) -> Vec<Course> {
    let prior = &stocking.prior;
    let shift = kernel_shift(&prior.shape, parameters);
    let spread = table_spread(stocking.kind, parameters);
    let first = usize::from(today) + 1;
    let idle = f64::from(today) - belief.last_harvest().map_or(0.0, f64::from);
    let start = f64::from(prior.trouble_start);
    let mut courses = Vec::new();
    for (point, pair) in belief.modes(prior).into_iter().enumerate() {
        if pair[0].weight + pair[1].weight < LEAVE_OUT {
            continue;
        }
        let (delay, width) = place(prior, point);
        let at = timing(shift, spread, parameters, delay, width);
        let end = (first + count).min(curve.len());
        let doubt = doubt(1.0 - curve.laid_by(at, first.saturating_sub(1)), parameters);
        let mut shares: Vec<f64> = curve.daily(at, first.min(end), end).collect();
        shares.resize(count, 0.0);
        // Trouble may have ended since the last harvest, which nobody has seen yet.
        let over = 1.0 - (1.0 - 1.0 / parameters.trouble_days).powf(idle.max(0.0));
        let [good, bad] = pair;
        for (mode, weight, troubled) in [
            (good, good.weight, false),
            (bad, bad.weight * over, false),
            (bad, bad.weight * (1.0 - over), true),
        ] {
            if weight < LEAVE_OUT {
                continue;
            }
            let course = Course {
                weight,
                mode,
                doubt,
                shares: shares.clone(),
            };
            branch(&mut courses, &course, troubled, start, parameters);
        }
    }
    let sum: f64 = courses.iter().map(|it| it.weight).sum();
    for course in &mut courses {
        course.weight /= sum.max(1e-300);
    }
    courses
}

/// The ways that trouble may go on, end or begin in the days ahead.
fn branch(
    courses: &mut Vec<Course>,
    course: &Course,
    troubled: bool,
    start: f64,
    parameters: &Parameters,
) {
    let count = course.shares.len();
    let way = |weight: f64, shares: Vec<f64>| Course {
        weight: course.weight * weight,
        shares,
        ..*course
    };
    let less = |from: usize, to: usize| -> Vec<f64> {
        course
            .shares
            .iter()
            .enumerate()
            .map(|(day, share)| {
                if (from..to).contains(&day) {
                    share * parameters.trouble_yield
                } else {
                    *share
                }
            })
            .collect()
    };
    if troubled {
        // A spell that may end on any day: its rest is short, middling or long, one third each.
        let stay = (1.0 - 1.0 / parameters.trouble_days).ln();
        for chance in [5.0 / 6.0, 0.5, 1.0 / 6.0_f64] {
            let rest = whole_days(chance.ln() / stay);
            courses.push(way(1.0 / 3.0, less(0, rest)));
        }
        return;
    }
    let days = f64::from(u32::try_from(count).unwrap_or(1));
    let begins = 1.0 - (1.0 - start).powf(days);
    let length = whole_days(parameters.trouble_days);
    for from in [count / 6, count / 2] {
        courses.push(way(begins / 2.0, less(from, from + length)));
    }
    courses.push(way(1.0 - begins, course.shares.clone()));
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole_days(days: f64) -> usize {
    days.round().clamp(0.0, 90.0) as usize
}

/// The log-normal of a course's days `from..to`.
fn part(
    course: &Course,
    from: usize,
    to: usize,
    total: f64,
    stocking: &Stocking,
    parameters: &Parameters,
) -> Part {
    let shares = course.shares.get(from..to).unwrap_or_default();
    let (noise, memory) = (
        f64::from(stocking.prior.day_noise),
        f64::from(stocking.prior.noise_memory),
    );
    let (mut sum, mut square, mut carried) = (0.0, 0.0, 0.0);
    for share in shares {
        square += share * share + 2.0 * share * carried;
        carried = memory * (carried + share);
        sum += share;
    }
    let ahead = f64::from(u32::try_from(to).unwrap_or(1));
    let scale = course.mode.variance + course.doubt + parameters.scale_drift.powi(2) * ahead;
    let grams = (total * sum * course.mode.mean.exp()).max(1e-6);
    let cv = if sum > 0.0 {
        ((noise * noise).exp() - 1.0) * square / (sum * sum)
    } else {
        0.0
    };
    let cv = cv
        + CLUTCH_VARIANCE_G / grams
        + parameters.scale_grain_g.powi(2) / 12.0 / (grams * grams).max(1e-4);
    let spread = (1.0 + cv).ln();
    // The sum's mean is that of its days; its middle lies below the mean by half its own variance.
    Part {
        weight: course.weight,
        ln: grams.ln() + (noise * noise - spread) / 2.0,
        sd: (spread + scale).sqrt(),
    }
}

/// Mean and own variance of a mixture; the shared part of the day noise is left to the sum.
fn moments(
    courses: &[Course],
    parts: &[Part],
    total: f64,
    stocking: &Stocking,
    parameters: &Parameters,
) -> Moments {
    let (mut mean, mut second) = (0.0, 0.0);
    let mut days = vec![0.0; courses.first().map_or(0, |it| it.shares.len())];
    for (course, part) in courses.iter().zip(parts) {
        let own = (part.ln + part.sd * part.sd / 2.0).exp();
        mean += course.weight * own;
        second += course.weight * own * own * (part.sd * part.sd).exp();
        let grams = total * (course.mode.mean + course.mode.variance / 2.0).exp();
        for (day, share) in days.iter_mut().zip(&course.shares) {
            *day += course.weight * grams * share;
        }
    }
    let noise = f64::from(stocking.prior.day_noise).powi(2) * parameters.shared_noise;
    let shared: f64 = days.iter().map(|grams| noise * grams * grams).sum();
    Moments {
        mean,
        own: (second - mean * mean - shared).max(0.0),
        days,
    }
}

/// Shares of a life's eggs on each day of the curve, averaged over what is believed of delay and width.
#[must_use]
pub fn mean_course(
    stocking: &Stocking,
    belief: &Belief,
    curve: &Curve<'_>,
    parameters: &Parameters,
) -> Vec<f64> {
    let prior = &stocking.prior;
    let (shift, spread) = (
        kernel_shift(&prior.shape, parameters),
        table_spread(stocking.kind, parameters),
    );
    let mut mean = vec![0.0; curve.len()];
    for (point, pair) in belief.modes(prior).into_iter().enumerate() {
        let weight = pair[0].weight + pair[1].weight;
        if weight < LEAVE_OUT {
            continue;
        }
        let (delay, width) = place(prior, point);
        let at = timing(shift, spread, parameters, delay, width);
        for (sum, share) in mean.iter_mut().zip(curve.daily(at, 0, curve.len())) {
            *sum += weight * share;
        }
    }
    mean
}

/// Range of each day from stocking on, past days included, for a cage in good order: what a drawing shows behind the harvests.
#[must_use]
pub fn band(
    stocking: &Stocking,
    belief: &Belief,
    curve: &Curve<'_>,
    parameters: &Parameters,
    count: usize,
) -> Vec<Range> {
    let prior = &stocking.prior;
    let (shift, spread) = (
        kernel_shift(&prior.shape, parameters),
        table_spread(stocking.kind, parameters),
    );
    let count = count.min(curve.len());
    let mut courses = Vec::new();
    for (point, pair) in belief.modes(prior).into_iter().enumerate() {
        let mode = merge(pair[0], pair[1]);
        if mode.weight < LEAVE_OUT {
            continue;
        }
        let (delay, width) = place(prior, point);
        let at = timing(shift, spread, parameters, delay, width);
        let shares = curve.daily(at, 0, count).collect();
        courses.push(Course {
            weight: mode.weight,
            mode,
            doubt: 0.0,
            shares,
        });
    }
    let total = stocking.table_grams(parameters);
    (0..count)
        .map(|day| {
            let parts: Vec<Part> = courses
                .iter()
                .map(|it| part(it, day, day + 1, total, stocking, parameters))
                .collect();
            quantiles(&parts)
        })
        .collect()
}
