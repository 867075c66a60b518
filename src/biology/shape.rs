//! The shapes that emergence and laying can take, and mixtures of them.
//!
//! No published spread of emergence was found and published laying ages disagree, so a farm's own finished cages choose among a small
//! library of shapes; what is carried is the weight of each. This room does not know about days, cages or weights of eggs.

use crate::biology::normal;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Number of emergence shapes in the library.
pub const EMERGENCES: usize = 4;
/// Number of laying-age kernels in the library.
pub const KERNELS: usize = 6;
/// Ages in days that a kernel covers, 0 to 15: beyond it published females are dead on water alone.
pub const AGES: usize = 16;
/// Bins of the share laid so far, for the correction that a farm's finished cages ask for.
pub const BINS: usize = 11;

/// Upper edges of all bins but the last: finer at the ends, where a rising and a dying cage differ most from the library.
const BIN_EDGES: [f64; BINS - 1] = [0.02, 0.06, 0.14, 0.28, 0.46, 0.64, 0.80, 0.91, 0.97, 0.99];

/// Knots of a standardised emergence curve: from -6 to 7 standard deviations.
const KNOTS: usize = 209;
const KNOT_FROM: f64 = -6.0;
const KNOTS_PER_SD: f64 = 16.0;

/// Laying by day of a fly's age, default of the table: compromise between Tomberlin & Sheppard 2002 (70 % on day 4)
/// and Julita et al. 2020 (days 4 to 10); a choice. Sums to 1, mean 5.10 d, mode day 4.
pub const DEFAULT_KERNEL: [f64; AGES] = [
    0.0, 0.0, 0.0, 0.05, 0.45, 0.20, 0.12, 0.08, 0.05, 0.03, 0.02, 0.0, 0.0, 0.0, 0.0, 0.0,
];

/// Which mixture of the library's shapes a cage is expected to follow.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShapeWeights {
    /// Weights of normal, flat, early-tailed and late-tailed emergence; sum 1.
    pub emergence: [f32; EMERGENCES],
    /// Weights of the laying-age kernels; sum 1.
    pub kernel: [f32; KERNELS],
    /// Factors on the laying of each part of a cage's life, by share laid so far.
    pub correction: [f32; BINS],
}

impl ShapeWeights {
    /// Nothing but the given shapes.
    #[must_use]
    pub fn only(emergence: usize, kernel: usize) -> Self {
        let mut weights = Self {
            emergence: [0.0; EMERGENCES],
            kernel: [0.0; KERNELS],
            correction: [1.0; BINS],
        };
        if let Some(weight) = weights.emergence.get_mut(emergence) {
            *weight = 1.0;
        }
        if let Some(weight) = weights.kernel.get_mut(kernel) {
            *weight = 1.0;
        }
        weights
    }
}

/// A mixture worked out: ready for the sums over days.
#[derive(Clone, Debug)]
pub struct Shape {
    emergence: Vec<f64>,
    /// Share laid up to the end of each age.
    laid_by_age: [f64; AGES],
    correction: Corrected,
}

/// Share laid so far, corrected: piecewise linear through the bin edges.
#[derive(Clone, Debug)]
struct Corrected {
    /// Share at each edge, after the correction; 0 and 1 at the ends.
    at_edge: [f64; BINS + 1],
    plain: bool,
}

struct Library {
    emergence: [Vec<f64>; EMERGENCES],
    kernel: [[f64; AGES]; KERNELS],
}

static LIBRARY: LazyLock<Library> = LazyLock::new(|| Library {
    emergence: std::array::from_fn(|which| {
        (0..KNOTS)
            .map(|knot| {
                let z = KNOT_FROM + f64::from(u32::try_from(knot).unwrap_or(0)) / KNOTS_PER_SD;
                emergence_cdf(which, z)
            })
            .collect()
    }),
    kernel: std::array::from_fn(kernel),
});

/// Distribution function, at `z`, of the library's emergence shape `which`, standardised to mean 0 and standard deviation 1.
#[must_use]
pub fn emergence_cdf(which: usize, z: f64) -> f64 {
    match which {
        0 => normal::cdf(z),
        1 => flat_cdf(z),
        2 => erlang_cdf(z),
        _ => 1.0 - erlang_cdf(-z),
    }
}

/// Uniform on -1.5 to 1.5 blurred by a normal of standard deviation 0.5: variance 0.75 + 0.25.
fn flat_cdf(z: f64) -> f64 {
    let (half, blur) = (1.5, 0.5);
    let integral = |x: f64| x * normal::cdf(x) + (-0.5 * x * x - normal::LN_SQRT_2PI).exp();
    blur / (2.0 * half) * (integral((z + half) / blur) - integral((z - half) / blur))
}

/// Gamma of shape 4 (mean 4, standard deviation 2), standardised: many early, a tail of late ones.
fn erlang_cdf(z: f64) -> f64 {
    let y = 4.0 + 2.0 * z;
    if y <= 0.0 {
        return 0.0;
    }
    1.0 - (-y).exp() * (1.0 + y * (1.0 + y / 2.0 * (1.0 + y / 3.0)))
}

/// Laying by day of age of the library's kernel `which`; sums to 1.
#[must_use]
pub fn kernel(which: usize) -> [f64; AGES] {
    let age = |index: usize| f64::from(u32::try_from(index).unwrap_or(0));
    let raw: [f64; AGES] = match which {
        0 => DEFAULT_KERNEL,
        // The default with a shorter, a much shorter and a longer tail.
        1..=3 => {
            let tilt = [0.4, 1.0, -0.25].get(which - 1).copied().unwrap_or(0.0);
            std::array::from_fn(|a| DEFAULT_KERNEL[a] * (-tilt * (age(a) - 4.0)).exp())
        }
        // A broad bell around day 6, between the two schools of published ages.
        4 => std::array::from_fn(|a| {
            if a < 2 {
                0.0
            } else {
                (-0.5 * ((age(a) - 6.0) / 1.8).powi(2)).exp()
            }
        }),
        // Laying that goes on as long as the flies do.
        _ => std::array::from_fn(|a| {
            if a < 3 {
                0.0
            } else {
                (-(age(a) - 3.0) / 4.0).exp()
            }
        }),
    };
    let sum: f64 = raw.iter().sum();
    raw.map(|mass| mass / sum)
}

impl Shape {
    /// Mixes the library.
    #[must_use]
    pub fn new(weights: &ShapeWeights) -> Self {
        let library = &*LIBRARY;
        let mut emergence = vec![0.0; KNOTS];
        for (part, weight) in library.emergence.iter().zip(weights.emergence) {
            if weight > 0.0 {
                for (sum, value) in emergence.iter_mut().zip(part) {
                    *sum += f64::from(weight) * value;
                }
            }
        }
        let mut mass = [0.0; AGES];
        for (part, weight) in library.kernel.iter().zip(weights.kernel) {
            for (sum, value) in mass.iter_mut().zip(part) {
                *sum += f64::from(weight) * value;
            }
        }
        let mut laid = 0.0;
        let laid_by_age = mass.map(|share| {
            laid += share;
            laid
        });
        Self {
            emergence,
            laid_by_age,
            correction: Corrected::new(&weights.correction),
        }
    }

    /// Share emerged by `z` standard deviations after the middle.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn emerged(&self, z: f64) -> f64 {
        let at = (z - KNOT_FROM) * KNOTS_PER_SD;
        if at <= 0.0 {
            return 0.0;
        }
        // Not `floor`, which is a call into the C library on the oldest processors that are built for.
        let whole = at as u32;
        let knot = whole as usize;
        match (self.emergence.get(knot), self.emergence.get(knot + 1)) {
            (Some(before), Some(after)) => before + (after - before) * (at - f64::from(whole)),
            _ => 1.0,
        }
    }

    /// Share of her eggs that a fly has laid by `age` days; linear inside each day of age.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn laid_by(&self, age: f64) -> f64 {
        if age <= 0.0 {
            return 0.0;
        }
        let whole = age as usize;
        let before = if whole == 0 {
            Some(&0.0)
        } else {
            self.laid_by_age.get(whole - 1)
        };
        match (before, self.laid_by_age.get(whole)) {
            (Some(before), Some(after)) => before + (after - before) * (age - age.floor()),
            _ => 1.0,
        }
    }

    /// The share laid so far after the farm's correction.
    #[must_use]
    pub fn corrected(&self, share: f64) -> f64 {
        if self.correction.plain {
            share
        } else {
            self.correction.at(share)
        }
    }
}

/// The bin that a share laid so far falls in.
#[must_use]
pub fn bin_of(share: f64) -> usize {
    BIN_EDGES.iter().take_while(|edge| share > **edge).count()
}

fn edge(index: usize) -> f64 {
    if index == 0 {
        0.0
    } else {
        BIN_EDGES.get(index - 1).copied().unwrap_or(1.0)
    }
}

impl Corrected {
    fn new(factors: &[f32; BINS]) -> Self {
        let mut at_edge = [0.0; BINS + 1];
        let mut total = 0.0;
        for (index, factor) in factors.iter().enumerate() {
            total += f64::from(*factor) * (edge(index + 1) - edge(index));
            at_edge[index + 1] = total;
        }
        // Dividing by the total keeps a life's eggs what they were: the correction moves them in time only.
        let at_edge = at_edge.map(|share| share / total.max(1e-9));
        Self {
            at_edge,
            plain: factors.iter().all(|factor| *factor == 1.0),
        }
    }

    fn at(&self, share: f64) -> f64 {
        let bin = bin_of(share);
        let (low, high) = (edge(bin), edge(bin + 1));
        let (from, to) = (self.at_edge[bin], self.at_edge[(bin + 1).min(BINS)]);
        from + (to - from) * ((share - low) / (high - low)).clamp(0.0, 1.0)
    }
}
