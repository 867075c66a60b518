//! How many eggs an invented cage gives on a day: a bell-shaped laying curve, the ward's weather, the farm's trouble, and chance.
//!
//! Only for the demo. The figures are chosen to look like a real bank of cages; nothing is learned or judged from them.

use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// Grams of eggs that 1,000 pupae give over the cage's life: 0.80 emerge, half are females, 0.60 of them lay, 15 mg each (from handbook figures).
const GRAMS_PER_1000: f64 = 3.6;

/// One filling of a cage.
#[derive(Clone, Copy, Debug)]
pub struct Run {
    /// Days since the demo's first day on which it was stocked.
    pub stocked: i64,
    /// How many.
    pub pupae: u32,
    /// Mixed ages lay longer and lower.
    pub mixed: bool,
    /// How good this filling is: 1 is as the handbook has it.
    pub vigour: f64,
}

impl Run {
    /// Day after stocking on which most is laid, and the spread in days.
    fn shape(self) -> (f64, f64) {
        if self.mixed { (19.0, 6.5) } else { (14.5, 3.0) }
    }

    /// First day after stocking with any eggs.
    #[must_use]
    pub fn first_day(self) -> i64 {
        if self.mixed { 9 } else { 10 }
    }

    /// Day after stocking on which the keeper empties it.
    #[must_use]
    pub fn last_day(self) -> i64 {
        if self.mixed { 38 } else { 25 }
    }

    /// Grams expected on `day` without weather, trouble or chance.
    #[must_use]
    pub fn expected(self, day: i64) -> f64 {
        let age = day - self.stocked;
        if age < self.first_day() || age > self.last_day() {
            return 0.0;
        }
        #[allow(clippy::cast_precision_loss)]
        let age = age as f64;
        let (middle, spread) = self.shape();
        let bell = (-0.5 * ((age - middle) / spread).powi(2)).exp();
        let share = bell / (spread * (2.0 * std::f64::consts::PI).sqrt());
        f64::from(self.pupae) / 1_000.0 * GRAMS_PER_1000 * self.vigour * share
    }
}

/// A factor near 1: sums of even chances are close to a normal one (central limit), and never wild.
#[must_use]
pub fn chance_factor(rng: &mut ChaCha8Rng, spread: f64) -> f64 {
    let sum: f64 = (0..12).map(|_| rng.random_range(0.0..1.0)).sum();
    (1.0 + spread * (sum - 6.0)).clamp(0.3, 1.7)
}

/// A ward's good and bad days: each day remembers a good part of the one before.
#[must_use]
pub fn weather(rng: &mut ChaCha8Rng, days: usize) -> Vec<f64> {
    let mut mood = 0.0;
    (0..days)
        .map(|_| {
            mood = 0.6 * mood + 0.4 * (chance_factor(rng, 0.25) - 1.0);
            (1.0_f64 + mood).clamp(0.5, 1.4)
        })
        .collect()
}

/// Grams as a pocket scale shows them, in tenths.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub fn on_the_scale(grams: f64) -> u32 {
    (grams.max(0.0) * 10.0).round() as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;

    #[test]
    fn a_cage_gives_about_what_the_handbook_says() {
        for mixed in [false, true] {
            let run = Run {
                stocked: 0,
                pupae: 8_000,
                mixed,
                vigour: 1.0,
            };
            let life: f64 = (0..60).map(|day| run.expected(day)).sum();
            // 3.6 g for each 1,000: 28.8 g, less the tails that the keeper does not wait for.
            assert!((25.0..28.8).contains(&life), "{life}");
            assert!(run.expected(8) == 0.0 && run.expected(10) > 0.0);
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_weather() {
        let days = |seed| weather(&mut ChaCha8Rng::seed_from_u64(seed), 90);
        assert_eq!(days(1), days(1));
        assert_ne!(days(1), days(2));
        assert!(days(1).iter().all(|day| (0.5..=1.4).contains(day)));
        assert_eq!((on_the_scale(12.54), on_the_scale(-1.0)), (125, 0));
    }
}
