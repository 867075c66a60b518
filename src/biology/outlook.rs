//! What comes: eggs of the next days as a middle and an 80 % range, for one cage.
//!
//! A forecast is a mixture of log-normals, one for each belief and each way that trouble may go.
//! This room does not know what a forecast is used for.

use crate::biology::belief::Belief;
use crate::biology::belief::CLUTCH_VARIANCE_G;
use crate::biology::belief::Stocking;
use crate::biology::belief::mode::{Mode, merge};
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

/// One way that the coming days may go, for one grid point.
struct Course {
    weight: f64,
    mode: Mode,
    /// Variance (ln) for what is not known of the shape of a life's end.
    doubt: f64,
    /// Where its days begin in [`Ahead::shares`].
    at: usize,
}

/// All the ways that the coming days of a cage may go.
pub struct Ahead<'a> {
    stocking: &'a Stocking,
    parameters: &'a Parameters,
    count: usize,
    courses: Vec<Course>,
    /// Shares of a life's eggs on each day, after trouble; course after course.
    shares: Vec<f64>,
}

/// Variance (ln) of what is left of a life: the less that is, the more hangs on the tail of a shape that nobody has measured.
fn doubt(left: f64, parameters: &Parameters) -> f64 {
    let sd = parameters.shape_doubt * -left.clamp(1e-4, 1.0).ln();
    sd * sd
}

impl<'a> Ahead<'a> {
    /// Of the `count` days after `today` (days since stocking), [`MOST_DAYS`] at the most. The curve must reach them; days beyond it count nothing.
    #[must_use]
    pub fn of(
        stocking: &'a Stocking,
        belief: &Belief,
        curve: &Curve<'_>,
        parameters: &'a Parameters,
        today: u16,
        count: usize,
    ) -> Self {
        let prior = &stocking.prior;
        let shift = kernel_shift(&prior.shape, parameters);
        let spread = table_spread(stocking.kind, parameters);
        let mut ahead = Self {
            stocking,
            parameters,
            count: count.min(MOST_DAYS),
            courses: Vec::new(),
            shares: Vec::new(),
        };
        let first = usize::from(today) + 1;
        let idle = f64::from(today) - belief.last_harvest().map_or(0.0, f64::from);
        // Trouble may have ended since the last harvest, which nobody has seen yet.
        let over = 1.0 - (1.0 - 1.0 / parameters.trouble_days).powf(idle.max(0.0));
        let ways = Ways::of(ahead.count, prior.trouble_start.into(), parameters);
        for (point, [good, bad]) in belief.modes(prior).into_iter().enumerate() {
            if good.weight + bad.weight < LEAVE_OUT {
                continue;
            }
            let (delay, width) = place(prior, point);
            let at = timing(shift, spread, parameters, delay, width);
            let mut daily = curve.daily(at, first..first + ahead.count);
            let doubt = doubt(1.0 - daily.laid(), parameters);
            let laid: [f64; MOST_DAYS] = std::array::from_fn(|_| daily.next().unwrap_or(0.0));
            for (mode, weight, ways) in [
                (good, good.weight, &ways.well),
                (bad, bad.weight * over, &ways.well),
                (bad, bad.weight * (1.0 - over), &ways.troubled),
            ] {
                if weight >= LEAVE_OUT {
                    ahead.branch(mode, weight, doubt, &laid, ways);
                }
            }
        }
        let sum: f64 = ahead.courses.iter().map(|it| it.weight).sum();
        for course in &mut ahead.courses {
            course.weight /= sum.max(1e-300);
        }
        ahead
    }

    /// One point's courses.
    fn branch(&mut self, mode: Mode, weight: f64, doubt: f64, laid: &[f64], ways: &[Way]) {
        for way in ways {
            self.courses.push(Course {
                weight: weight * way.chance,
                mode,
                doubt,
                at: self.shares.len(),
            });
            let days = laid.iter().take(self.count).enumerate();
            self.shares.extend(days.map(|(day, share)| {
                if way.trouble.contains(&day) {
                    share * self.parameters.trouble_yield
                } else {
                    *share
                }
            }));
        }
    }

    /// A course's shares of the days `from..to`.
    fn shares(&self, course: &Course, from: usize, to: usize) -> &[f64] {
        let days = self.shares.get(course.at + from..course.at + to);
        days.unwrap_or_default()
    }

    /// The log-normals of the days `from..to`.
    fn parts(&self, from: usize, to: usize) -> Vec<Part> {
        let days = Days::until(to, self.stocking, self.parameters);
        let part = |course| days.part(course, self.shares(course, from, to));
        self.courses.iter().map(part).collect()
    }

    /// The total of all days.
    #[must_use]
    pub fn total(&self) -> Range {
        quantiles(&self.parts(0, self.count))
    }

    /// Each day.
    #[must_use]
    pub fn days(&self) -> Vec<Range> {
        let day = |day| quantiles(&self.parts(day, day + 1));
        (0..self.count).map(day).collect()
    }

    /// Mean and own variance of the total; the shared part of the day noise is left to the sum over cages.
    #[must_use]
    pub fn moments(&self) -> Moments {
        let (mut mean, mut second) = (0.0, 0.0);
        let mut days = vec![0.0; self.count];
        let total = self.stocking.table_grams(self.parameters);
        for (course, part) in self.courses.iter().zip(self.parts(0, self.count)) {
            let own = (part.ln + part.sd * part.sd / 2.0).exp();
            mean += course.weight * own;
            second += course.weight * own * own * (part.sd * part.sd).exp();
            let grams = total * (course.mode.mean + course.mode.variance / 2.0).exp();
            for (day, share) in days.iter_mut().zip(self.shares(course, 0, self.count)) {
                *day += course.weight * grams * share;
            }
        }
        let noise = f64::from(self.stocking.prior.day_noise).powi(2) * self.parameters.shared_noise;
        let shared: f64 = days.iter().map(|grams| noise * grams * grams).sum();
        Moments {
            mean,
            own: (second - mean * mean - shared).max(0.0),
            days,
        }
    }

    /// Days, total and moments.
    #[must_use]
    pub fn forecast(&self) -> Forecast {
        Forecast {
            days: self.days(),
            total: self.total(),
            moments: self.moments(),
        }
    }
}

/// One way that trouble may go: how likely, and the days on which there is some.
struct Way {
    chance: f64,
    trouble: std::ops::Range<usize>,
}

/// The ways that trouble may go on, end or begin in the days ahead, for cages in good order and in trouble today.
struct Ways {
    well: Vec<Way>,
    troubled: Vec<Way>,
}

impl Ways {
    fn of(count: usize, start: f64, parameters: &Parameters) -> Self {
        // A spell that may end on any day: its rest is short, middling or long, one third each.
        let stay = (1.0 - 1.0 / parameters.trouble_days).ln();
        let rests = [5.0 / 6.0, 0.5, 1.0 / 6.0_f64].map(|chance| whole_days(chance.ln() / stay));
        let days = f64::from(u32::try_from(count).unwrap_or(1));
        let begins = 1.0 - (1.0 - start).powf(days);
        let length = whole_days(parameters.trouble_days);
        let (mut well, mut troubled) = (Vec::new(), Vec::new());
        for rest in rests {
            add(&mut troubled, 1.0 / 3.0, 0..rest, count);
        }
        for from in [count / 6, count / 2] {
            add(&mut well, begins / 2.0, from..from + length, count);
        }
        add(&mut well, 1.0 - begins, 0..0, count);
        Self { well, troubled }
    }
}

/// Adds a way; what comes to the same within the days ahead is one.
fn add(ways: &mut Vec<Way>, chance: f64, trouble: std::ops::Range<usize>, count: usize) {
    let trouble = trouble.start.min(count)..trouble.end.min(count);
    match ways.iter_mut().find(|way| way.trouble == trouble) {
        Some(way) => way.chance += chance,
        None => ways.push(Way { chance, trouble }),
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole_days(days: f64) -> usize {
    days.round().clamp(0.0, 90.0) as usize
}

/// What all courses have in common for a log-normal of some days.
struct Days {
    noise: f64,
    /// Squared coefficient of variation of one day.
    day_cv: f64,
    memory: f64,
    drift: f64,
    grain: f64,
    grams: f64,
}

impl Days {
    /// Of days up to `to` days ahead.
    fn until(to: usize, stocking: &Stocking, parameters: &Parameters) -> Self {
        let noise = f64::from(stocking.prior.day_noise).powi(2);
        let ahead = f64::from(u32::try_from(to).unwrap_or(1));
        Self {
            noise,
            day_cv: noise.exp() - 1.0,
            memory: stocking.prior.noise_memory.into(),
            drift: parameters.scale_drift.powi(2) * ahead,
            grain: parameters.scale_grain_g.powi(2) / 12.0,
            grams: stocking.table_grams(parameters),
        }
    }

    /// The log-normal of a course's days.
    fn part(&self, course: &Course, shares: &[f64]) -> Part {
        let (mut sum, mut square, mut carried) = (0.0, 0.0, 0.0);
        for share in shares {
            square += share * share + 2.0 * share * carried;
            carried = self.memory * (carried + share);
            sum += share;
        }
        let scale = course.mode.variance + course.doubt + self.drift;
        let grams = (self.grams * sum * course.mode.mean.exp()).max(1e-6);
        let cv = if sum > 0.0 {
            self.day_cv * square / (sum * sum)
        } else {
            0.0
        };
        let cv = cv + CLUTCH_VARIANCE_G / grams + self.grain / (grams * grams).max(1e-4);
        let spread = (1.0 + cv).ln();
        // The sum's mean is that of its days; its middle lies below the mean by half its own variance.
        Part {
            weight: course.weight,
            ln: grams.ln() + (self.noise - spread) / 2.0,
            sd: (spread + scale).sqrt(),
        }
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
        for (sum, share) in mean.iter_mut().zip(curve.daily(at, 0..curve.len())) {
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
    let mut band = Ahead {
        stocking,
        parameters,
        count: count.min(curve.len()),
        courses: Vec::new(),
        shares: Vec::new(),
    };
    for (point, pair) in belief.modes(prior).into_iter().enumerate() {
        let mode = merge(pair[0], pair[1]);
        if mode.weight < LEAVE_OUT {
            continue;
        }
        let (delay, width) = place(prior, point);
        let at = timing(shift, spread, parameters, delay, width);
        band.courses.push(Course {
            weight: mode.weight,
            mode,
            doubt: 0.0,
            at: band.shares.len(),
        });
        band.shares.extend(curve.daily(at, 0..band.count));
    }
    band.days()
}
