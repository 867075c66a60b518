//! How fast texts leave, how long a pause is after a network asked for less, and when a lost session is tried again.
//!
//! Time and chance are arguments.

use chrono::{DateTime, TimeDelta, Utc};

/// The first pause after the network asked for less.
const FIRST_PAUSE_MS: i64 = 1_000;
/// The longest: a network that has room again is noticed within a minute.
const LONGEST_PAUSE_MS: i64 = 60_000;
/// Slowest pace in texts a second: below it a queue would never be seen to move.
const SLOWEST: f64 = 0.2;
/// A text that was taken wins back this share of the full pace.
const REGAINED: f64 = 0.02;
/// After the account was refused: trying faster would look like guessing passwords.
const REFUSED_PAUSE_MS: i64 = 60_000;
/// A bind that held so long was a good one: the next pause begins small again.
const HELD_WELL: TimeDelta = TimeDelta::seconds(60);

/// A pause doubled `failures` times up to `longest`, spread over its upper half by `chance` (0.0 to 1.0).
fn spread(first: i64, longest: i64, failures: u32, chance: f64) -> TimeDelta {
    let doubled = first.saturating_mul(1_i64 << failures.min(16)).min(longest);
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    let ms = (doubled as f64 * 0.5 * (1.0 + chance.clamp(0.0, 1.0))) as i64;
    TimeDelta::milliseconds(ms)
}

/// Lets through so many a second, fewer after the network asked for less.
#[derive(Clone, Debug)]
pub struct Pace {
    full: f64,
    rate: f64,
    tokens: f64,
    filled: DateTime<Utc>,
    until: Option<DateTime<Utc>>,
    failures: u32,
}

impl Pace {
    /// Full speed from `now`; `full` is texts a second, above zero.
    #[must_use]
    pub fn new(full: f64, now: DateTime<Utc>) -> Self {
        Self {
            full,
            rate: full,
            tokens: full.max(1.0),
            filled: now,
            until: None,
            failures: 0,
        }
    }

    /// How many may leave at `now`.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn free(&mut self, now: DateTime<Utc>) -> usize {
        let passed = (now - self.filled).max(TimeDelta::zero());
        #[allow(clippy::cast_precision_loss)]
        let passed_s = passed.num_milliseconds() as f64 / 1_000.0;
        self.filled += TimeDelta::milliseconds(passed.num_milliseconds());
        self.tokens = (self.tokens + passed_s * self.rate).min(self.rate.max(1.0));
        if self.until.is_some_and(|until| now < until) {
            return 0;
        }
        self.tokens as usize
    }

    /// One leaves.
    pub fn spend(&mut self) {
        self.tokens -= 1.0;
    }

    /// The network asked for less: half the pace, and a pause. One that comes while a pause runs is of the same window and changes nothing.
    pub fn slow_down(&mut self, now: DateTime<Utc>, chance: f64) {
        if self.until.is_some_and(|until| now < until) {
            return;
        }
        self.rate = (self.rate / 2.0).max(SLOWEST.min(self.full));
        self.tokens = self.tokens.min(1.0);
        let pause = spread(FIRST_PAUSE_MS, LONGEST_PAUSE_MS, self.failures, chance);
        self.until = Some(now + pause);
        self.failures += 1;
    }

    /// The network took one.
    pub fn took(&mut self) {
        self.failures = 0;
        self.rate = (self.rate + self.full * REGAINED).min(self.full);
    }

    /// When one may leave next, as seen at `now`.
    #[must_use]
    pub fn next_free(&self, now: DateTime<Utc>) -> DateTime<Utc> {
        #[allow(clippy::cast_possible_truncation)]
        let missing_ms = ((1.0 - self.tokens).max(0.0) / self.rate * 1_000.0).ceil() as i64;
        let filled = self.filled + TimeDelta::milliseconds(missing_ms);
        self.until
            .map_or(filled, |until| until.max(filled))
            .max(now)
    }

    /// The end of a pause that runs at `now`.
    #[must_use]
    pub fn paused(&self, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        self.until.filter(|until| now < *until)
    }
}

/// How long to wait before the next bind.
#[derive(Clone, Debug, Default)]
pub struct Rebind {
    failures: u32,
}

impl Rebind {
    /// The session that was bound for `held` (none: never) is over. 1, 2, 4 up to 60 seconds; a minute where the account was refused.
    pub fn pause(&mut self, held: Option<TimeDelta>, refused: bool, chance: f64) -> TimeDelta {
        if held.is_some_and(|held| held >= HELD_WELL) {
            self.failures = 0;
        }
        let pause = spread(FIRST_PAUSE_MS, LONGEST_PAUSE_MS, self.failures, chance);
        self.failures = self.failures.saturating_add(1);
        if refused {
            pause.max(TimeDelta::milliseconds(REFUSED_PAUSE_MS))
        } else {
            pause
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ms: i64) -> DateTime<Utc> {
        DateTime::from_timestamp_millis(1_773_100_000_000 + ms).unwrap()
    }

    #[test]
    fn a_network_that_asks_for_less_gets_half_and_wins_trust_slowly() {
        let mut pace = Pace::new(10.0, at(0));
        assert_eq!(pace.free(at(0)), 10);
        pace.slow_down(at(0), 1.0);
        pace.slow_down(at(10), 1.0);
        assert_eq!(pace.free(at(999)), 0);
        assert_eq!(pace.paused(at(999)), Some(at(1_000)));
        assert!(pace.free(at(1_000)) > 0);
        assert_eq!(pace.free(at(60_000)), 5, "half, and halved once only");
        pace.slow_down(at(60_000), 1.0);
        assert_eq!(
            pace.paused(at(60_000)),
            Some(at(62_000)),
            "the second pause doubles"
        );
        for _ in 0..200 {
            pace.took();
        }
        assert_eq!(pace.free(at(600_000)), 10);
    }

    #[test]
    fn the_next_moment_is_when_a_token_is_whole() {
        let mut pace = Pace::new(2.0, at(0));
        (0..2).for_each(|_| pace.spend());
        assert_eq!(pace.free(at(0)), 0);
        assert_eq!(pace.next_free(at(0)), at(500));
        assert_eq!(pace.free(at(500)), 1);
    }

    #[test]
    fn binds_are_tried_later_and_later_and_slowly_after_a_refusal() {
        let mut rebind = Rebind::default();
        let mut pauses = Vec::new();
        for _ in 0..8 {
            pauses.push(rebind.pause(None, false, 1.0).num_seconds());
        }
        assert_eq!(pauses, [1, 2, 4, 8, 16, 32, 60, 60]);
        let short = rebind.pause(Some(TimeDelta::seconds(59)), false, 0.0);
        assert_eq!(short, TimeDelta::seconds(30), "spread over its upper half");
        let after_good = rebind.pause(Some(TimeDelta::seconds(60)), false, 1.0);
        assert_eq!(after_good, TimeDelta::seconds(1));
        let refused = Rebind::default().pause(None, true, 0.0);
        assert_eq!(refused, TimeDelta::seconds(60));
    }
}
