//! What is believed of one running cage: a grid over delay and width, each point with a normal over ln scale, in good order and in trouble.
//!
//! Every harvest line updates it; it is kept in whole numbers, so that a replay gives the same bits. The likelihood is robust: a spell of trouble
//! moves weight to "in trouble" instead of dragging the curve, and a slip of the pen is shrugged off. This room does not know when it is called.

pub(crate) mod mode;

use crate::biology::belief::mode::{Kept, Mode, Modes, NOTHING, merge, normalise, scaled};
use crate::biology::curve::Curve;
use crate::biology::normal::{cdf_quick, density};
use crate::biology::prior::Prior;
use crate::biology::prior::kernel_shift;
use crate::biology::prior::table_spread;
use crate::biology::prior::timing;
use crate::biology::tables::Parameters;
use crate::domain::StockKind;
use serde::{Deserialize, Serialize};

/// Points along delay: steps of a quarter of the prior's standard deviation.
pub const DELAYS: usize = 25;
/// Points along width.
pub const WIDTHS: usize = 5;
const POINTS: usize = DELAYS * WIDTHS;
/// Reach of the grid in standard deviations.
const DELAY_REACH: f64 = 3.0;
const WIDTH_REACH: f64 = 1.8;
/// Added before taking logarithms, in grams: one step of a pocket scale, so that zeros have a place.
const LN_OFFSET_G: f64 = 0.1;
/// The extra variance (ln) that a line is given which is wrong in a way that nothing here explains.
const SLIP_VARIANCE: f64 = 1.0;
/// Grams of variance for each gram expected: eggs come in clutches of some 15 mg, laid by few flies on a day.
pub(crate) const CLUTCH_VARIANCE_G: f64 = 0.02;
/// Spread of what a spell of trouble leaves, ln.
const TROUBLE_SD: f64 = 0.6;

/// A cage as it was stocked, with what was expected of it then.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stocking {
    /// Pupae put in; none where no number was said.
    pub pupae: Option<u32>,
    /// One age or mixed.
    pub kind: StockKind,
    /// What was expected.
    pub prior: Prior,
}

impl Stocking {
    /// Grams of eggs over the cage's life at the table's yield.
    #[must_use]
    pub fn table_grams(&self, parameters: &Parameters) -> f64 {
        self.pupae.map_or(parameters.unknown_pupae, f64::from) * parameters.grams_per_pupa()
    }
}

/// What is believed of a cage. A new one believes its prior.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Belief {
    /// Day of the last harvest, counted from stocking.
    last: Option<u16>,
    /// In good order; empty until the first harvest.
    good: Vec<Kept>,
    /// In trouble.
    bad: Vec<Kept>,
}

/// What one harvest line looked like before it was learned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surprise {
    /// Grams expected of it, as a middle, in a cage in good order.
    pub expected: f64,
    /// Chance that the cage was in trouble, after the line.
    pub trouble: f64,
    /// Chance of so little or less in a cage in good order.
    pub tail: f64,
    /// ln of the line's likelihood: evidence for the prior.
    pub evidence: f64,
}

/// The grid's delay (degree-days) and width (ln) at a point.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn place(prior: &Prior, point: usize) -> (f64, f64) {
    let along = |index: usize, count: usize, reach: f64| {
        (index as f64 / (count - 1) as f64 * 2.0 - 1.0) * reach
    };
    let (d, w) = (point / WIDTHS, point % WIDTHS);
    (
        f64::from(prior.delay.mean) + f64::from(prior.delay.sd) * along(d, DELAYS, DELAY_REACH),
        f64::from(prior.width.mean) + f64::from(prior.width.sd) * along(w, WIDTHS, WIDTH_REACH),
    )
}

fn start(prior: &Prior) -> Modes {
    let mut modes: Modes = (0..POINTS)
        .map(|point| {
            let (delay, width) = place(prior, point);
            let z = |value: f64, mean: f32, sd: f32| (value - f64::from(mean)) / f64::from(sd);
            let (a, b) = (
                z(delay, prior.delay.mean, prior.delay.sd),
                z(width, prior.width.mean, prior.width.sd),
            );
            let weight = (-0.5 * (a * a + b * b)).exp();
            let good = Mode {
                weight,
                mean: f64::from(prior.scale.mean),
                variance: f64::from(prior.scale.sd).powi(2),
            };
            [good, NOTHING]
        })
        .collect();
    normalise(&mut modes);
    modes
}

/// What a harvest is compared with: the shares of a life's eggs laid since the last one.
#[derive(Clone, Copy)]
struct Share {
    /// Their sum, in grams at the table's yield.
    grams: f64,
    /// Sum of squares over the square of the sum: 1 for one day, 1/n for n even ones.
    evenness: f64,
}

impl Belief {
    /// Day of the last harvest, counted from stocking.
    #[must_use]
    pub fn last_harvest(&self) -> Option<u16> {
        self.last
    }

    /// The modes, as reals.
    pub(crate) fn modes(&self, prior: &Prior) -> Modes {
        if self.good.is_empty() && self.bad.is_empty() {
            return start(prior);
        }
        let mut modes = vec![[NOTHING; 2]; POINTS];
        for (kept, state) in [(&self.good, 0), (&self.bad, 1)] {
            for one in kept {
                if let Some(pair) = modes.get_mut(usize::from(one.point)) {
                    pair[state] = one.mode();
                }
            }
        }
        normalise(&mut modes);
        modes
    }

    fn keep(&mut self, modes: &Modes) {
        let best = modes
            .iter()
            .flatten()
            .map(|m| m.weight)
            .fold(1e-300, f64::max);
        let kept = |state: usize| {
            let points = (0_u8..).zip(modes);
            points
                .filter_map(|(point, pair)| Kept::of(point, pair[state], best))
                .collect()
        };
        (self.good, self.bad) = (kept(0), kept(1));
    }

    /// Learns one harvest: `grams` taken on `day` (days since stocking), laid since the harvest before it. The curve must reach `day`.
    ///
    /// Days up to the last harvest are passed over: a line for an earlier day asks for the run to be learned anew.
    pub fn harvest(
        &mut self,
        stocking: &Stocking,
        curve: &Curve<'_>,
        parameters: &Parameters,
        day: u16,
        grams: f64,
    ) -> Option<Surprise> {
        let from = self.last.map_or(0, |last| last + 1);
        if day < from || usize::from(day) >= curve.len() {
            return None;
        }
        let modes = self.modes(&stocking.prior);
        let (modes, surprise) = filter(
            stocking,
            curve,
            parameters,
            modes,
            (from.into(), day.into()),
            grams,
        );
        self.keep(&modes);
        self.last = Some(day);
        Some(surprise)
    }
}

/// Good order to trouble and back over some days, with the drift of scale.
struct Change {
    begun: f64,
    over: f64,
    drift: f64,
}

impl Change {
    fn over(days: f64, start: f64, parameters: &Parameters) -> Self {
        Self {
            begun: 1.0 - (1.0 - start).powf(days),
            over: 1.0 - (1.0 - 1.0 / parameters.trouble_days).powf(days),
            drift: parameters.scale_drift.powi(2) * days,
        }
    }

    fn of(&self, [good, bad]: [Mode; 2]) -> [Mode; 2] {
        let mut next = [
            merge(scaled(good, 1.0 - self.begun), scaled(bad, self.over)),
            merge(scaled(bad, 1.0 - self.over), scaled(good, self.begun)),
        ];
        for mode in &mut next {
            mode.variance += self.drift;
        }
        next
    }
}

/// The state's effect on one day's laying: the factor and the variance of its ln, none in good order.
const fn effects(parameters: &Parameters) -> [(f64, f64); 2] {
    [
        (1.0, 0.0),
        (parameters.trouble_yield, TROUBLE_SD * TROUBLE_SD),
    ]
}

/// ln(y + offset) of a harvest of `grams`, linearised there: where it is expected, its slope in ln scale, its noise variance.
fn outlook(grams: f64, own: f64, share: Share, noise: f64, grain: f64) -> (f64, f64, f64) {
    let offset = grams + LN_OFFSET_G;
    let slope = grams / offset;
    let variance = (noise * noise * share.evenness + own) * slope * slope
        + (CLUTCH_VARIANCE_G * grams + grain * grain / 12.0 + 1e-4) / (offset * offset);
    (offset.ln(), slope, variance)
}

fn filter(
    stocking: &Stocking,
    curve: &Curve<'_>,
    parameters: &Parameters,
    modes: Modes,
    (from, to): (usize, usize),
    grams: f64,
) -> (Modes, Surprise) {
    let prior = &stocking.prior;
    let total = stocking.table_grams(parameters);
    let shift = kernel_shift(&prior.shape, parameters);
    let spread = table_spread(stocking.kind, parameters);
    let days = f64::from(u32::try_from(to - from + 1).unwrap_or(1));
    let (noise, grain) = (f64::from(prior.day_noise), parameters.scale_grain_g);
    let seen = (grams + LN_OFFSET_G).ln();
    let change = Change::over(days, f64::from(prior.trouble_start), parameters);
    let effects = effects(parameters);
    let (mut expected, mut good_weight, mut tail) = (0.0, 0.0, 0.0);
    let mut next: Modes = modes
        .into_iter()
        .enumerate()
        .map(|(point, pair)| {
            if pair[0].weight + pair[1].weight <= 0.0 {
                return pair;
            }
            let (delay, width) = place(prior, point);
            let at = timing(shift, spread, parameters, delay, width);
            let (mut sum, mut squares) = (0.0, 0.0);
            for laid in curve.daily(at, from..to + 1) {
                sum += laid;
                squares += laid * laid;
            }
            let share = Share {
                grams: total * sum,
                evenness: if sum > 0.0 {
                    squares / (sum * sum)
                } else {
                    1.0
                },
            };
            let mut pair = change.of(pair);
            for (mode, (factor, own)) in pair.iter_mut().zip(effects) {
                let grams = share.grams * mode.mean.exp() * factor;
                let (middle, slope, variance) = outlook(grams, own, share, noise, grain);
                let spread = slope * slope * mode.variance + variance;
                let miss = seen - middle;
                if own == 0.0 {
                    expected += mode.weight * grams;
                    good_weight += mode.weight;
                    tail += mode.weight * cdf_quick(miss / spread.sqrt());
                }
                *mode = weigh(*mode, slope, spread, miss, parameters.slip_chance);
            }
            pair
        })
        .collect();
    let evidence = normalise(&mut next);
    let trouble = next.iter().map(|pair| pair[1].weight).sum();
    let good_weight = good_weight.max(1e-12);
    let surprise = Surprise {
        expected: expected / good_weight,
        trouble,
        tail: tail / good_weight,
        evidence,
    };
    (next, surprise)
}

/// The mode after seeing a miss of `miss` where variance `spread` was expected: a Kalman step, or a slip that teaches nothing.
fn weigh(mode: Mode, slope: f64, spread: f64, miss: f64, slips: f64) -> Mode {
    let fit = (1.0 - slips) * density(miss, spread);
    let slip = slips * density(miss, spread + SLIP_VARIANCE);
    let gain = mode.variance * slope / spread;
    let learned = Mode {
        weight: mode.weight * fit,
        mean: mode.mean + gain * miss,
        variance: (mode.variance * (1.0 - gain * slope)).max(1e-6),
    };
    merge(learned, scaled(mode, slip))
}
