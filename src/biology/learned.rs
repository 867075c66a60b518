//! What is kept of a run between its harvests, so that the next one is learned without the ones before it.
//!
//! The belief, the grid that it lies on, and how the last harvests compared; all in whole numbers but the grid, which is copied and never computed
//! with. This room does not know where it is kept.

use crate::biology::belief::{Belief, Surprise};
use crate::biology::prior::{MODEL_VERSION, Prior, Spread};
use crate::biology::warning::{RUN_LENGTH, Seen};
use crate::units::day::FarmDay;
use serde::{Deserialize, Serialize};

/// Steps of ln in which an improbable tail is kept, and of a chance.
const TAIL_STEPS: f64 = 1000.0;
const CHANCE_STEPS: f64 = 10_000.0;

/// What one run has taught so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    version: u16,
    /// The prior's delay and width when the first harvest was learned: the belief's grid lies on them.
    delay: Spread,
    width: Spread,
    belief: Belief,
    /// The last harvests, oldest first: as many as a warning looks at.
    recent: Vec<Glance>,
}

/// How one harvest compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Glance {
    /// Day since stocking.
    day: u16,
    /// Grams in hundredths, taken and expected.
    taken: u32,
    expected: u32,
    tail: u16,
    trouble: u16,
}

impl Learned {
    /// Of a belief on the grid of `prior`.
    #[must_use]
    pub fn new(prior: &Prior, belief: &Belief, stocked_on: FarmDay, seen: &[Seen]) -> Self {
        let recent = seen.get(seen.len().saturating_sub(RUN_LENGTH)..);
        Self {
            version: MODEL_VERSION,
            delay: prior.delay,
            width: prior.width,
            belief: belief.clone(),
            recent: recent
                .unwrap_or_default()
                .iter()
                .filter_map(|seen| Glance::of(stocked_on, seen))
                .collect(),
        }
    }

    /// Whether this version of the model made it; what another one made is learned anew.
    #[must_use]
    pub const fn is_current(&self) -> bool {
        self.version == MODEL_VERSION
    }

    /// The belief.
    #[must_use]
    pub const fn belief(&self) -> &Belief {
        &self.belief
    }

    /// `prior` on the belief's own grid.
    #[must_use]
    pub fn on_grid(&self, prior: &Prior) -> Prior {
        Prior {
            delay: self.delay,
            width: self.width,
            ..prior.clone()
        }
    }

    /// How the last harvests compared.
    #[must_use]
    pub fn recent(&self, stocked_on: FarmDay) -> Vec<Seen> {
        self.recent.iter().map(|one| one.seen(stocked_on)).collect()
    }
}

impl Glance {
    fn of(stocked_on: FarmDay, (day, grams, it): &Seen) -> Option<Self> {
        Some(Self {
            day: u16::try_from((*day - stocked_on).num_days()).ok()?,
            taken: whole(grams * 100.0),
            expected: whole(it.expected * 100.0),
            tail: step(-it.tail.clamp(1e-12, 1.0).ln() * TAIL_STEPS),
            trouble: step(it.trouble * CHANCE_STEPS),
        })
    }

    fn seen(self, stocked_on: FarmDay) -> Seen {
        let day = stocked_on + chrono::Days::new(u64::from(self.day));
        let surprise = Surprise {
            expected: f64::from(self.expected) / 100.0,
            trouble: f64::from(self.trouble) / CHANCE_STEPS,
            tail: (-f64::from(self.tail) / TAIL_STEPS).exp(),
            evidence: 0.0,
        };
        (day, f64::from(self.taken) / 100.0, surprise)
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(value: f64) -> u32 {
    value.round().clamp(0.0, 4e9) as u32
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn step(value: f64) -> u16 {
    value.round().clamp(0.0, 65_000.0) as u16
}
