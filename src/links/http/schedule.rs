//! When a text that did not go out is tried again, and how many may leave in a second.
//!
//! Time and chance are arguments, so that both can be tested to the second. This room does not send anything.

use chrono::{DateTime, Duration, Utc};

/// The first pause; doubled after each failure.
pub const FIRST_PAUSE_S: i64 = 15;
/// The longest pause: a network that comes back is noticed within the quarter hour.
pub const LONGEST_PAUSE_S: i64 = 900;
/// After so many failures a text is dead: with the pauses above this is most of a day.
pub const ATTEMPTS_MAX: u16 = 100;

/// What is to become of a text that the network did not take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Next {
    /// Try again at this moment.
    Retry(DateTime<Utc>),
    /// It would be too late by then.
    Expired,
    /// Tried often enough.
    GiveUp,
}

/// After the failure number `attempts + 1` at `now`. `wish` is what the network asked for (`Retry-After`), `chance` is even over 0.0 to 1.0 and
/// spreads the pause over its upper half, so that a network that comes back is not met by everything at once.
#[must_use]
pub fn after_failure(
    now: DateTime<Utc>,
    expires: DateTime<Utc>,
    attempts: u16,
    wish: Option<Duration>,
    chance: f64,
) -> Next {
    if attempts + 1 >= ATTEMPTS_MAX {
        return Next::GiveUp;
    }
    let doubled = FIRST_PAUSE_S.saturating_mul(1_i64 << attempts.min(16));
    let pause_ms = doubled.min(LONGEST_PAUSE_S) * 1_000;
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    let spread_ms = (pause_ms as f64 * 0.5 * (1.0 + chance.clamp(0.0, 1.0))) as i64;
    let wish = wish.map_or(Duration::zero(), |wish| {
        wish.clamp(Duration::zero(), Duration::hours(24))
    });
    let at = now + Duration::milliseconds(spread_ms).max(wish);
    if at < expires {
        Next::Retry(at)
    } else {
        Next::Expired
    }
}

/// Lets through so many a second, evenly: a bucket that holds one second's worth.
#[derive(Clone, Debug)]
pub struct Pace {
    per_second: f64,
    tokens: f64,
    filled: DateTime<Utc>,
}

impl Pace {
    /// A full bucket at `now`. `per_second` is above zero.
    #[must_use]
    pub fn new(per_second: f64, now: DateTime<Utc>) -> Self {
        Self {
            per_second,
            tokens: per_second.max(1.0),
            filled: now,
        }
    }

    /// How many may leave at `now`.
    #[must_use]
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn free(&mut self, now: DateTime<Utc>) -> usize {
        let passed = (now - self.filled).max(Duration::zero());
        #[allow(clippy::cast_precision_loss)]
        let passed_s = passed.num_milliseconds() as f64 / 1_000.0;
        // Only whole milliseconds are counted as passed: the rest stays for the next call.
        self.filled += Duration::milliseconds(passed.num_milliseconds());
        let full = self.per_second.max(1.0);
        self.tokens = (self.tokens + passed_s * self.per_second).min(full);
        self.tokens as usize
    }

    /// One has left.
    pub fn spend(&mut self) {
        self.tokens -= 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(s: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_773_100_000 + s, 0).unwrap()
    }

    fn pause(attempts: u16, chance: f64) -> i64 {
        match after_failure(at(0), at(1_000_000), attempts, None, chance) {
            Next::Retry(when) => (when - at(0)).num_milliseconds(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn pauses_double_up_to_a_ceiling_and_are_spread() {
        assert_eq!(pause(0, 1.0), 15_000);
        assert_eq!(pause(0, 0.0), 7_500);
        assert_eq!(pause(1, 1.0), 30_000);
        assert_eq!(pause(5, 1.0), 480_000);
        assert_eq!(pause(6, 1.0), 900_000);
        assert_eq!(pause(60, 1.0), 900_000);
    }

    #[test]
    fn nothing_is_tried_after_it_is_worthless_or_for_ever() {
        let wish = Some(Duration::seconds(120));
        let next = after_failure(at(0), at(3_600), 0, wish, 0.5);
        assert_eq!(next, Next::Retry(at(120)));
        assert_eq!(after_failure(at(0), at(100), 0, wish, 0.5), Next::Expired);
        assert_eq!(after_failure(at(0), at(10), 0, None, 1.0), Next::Expired);
        let last = after_failure(at(0), at(1_000_000), ATTEMPTS_MAX - 1, None, 0.5);
        assert_eq!(last, Next::GiveUp);
    }

    #[test]
    fn no_more_leave_in_a_second_than_allowed() {
        let mut pace = Pace::new(10.0, at(0));
        let mut sent = 0;
        for tenth in 0..100 {
            let now = at(0) + Duration::milliseconds(tenth * 100);
            for _ in 0..pace.free(now) {
                pace.spend();
                sent += 1;
            }
        }
        // The first second's bucket, then ten a second for 9.9 s.
        assert_eq!(sent, 10 + 99);
        let mut slow = Pace::new(0.5, at(0));
        assert_eq!(slow.free(at(0)), 1);
        slow.spend();
        assert_eq!((slow.free(at(1)), slow.free(at(2))), (0, 1));
        assert_eq!(
            slow.free(at(1)),
            1,
            "a clock that steps back gives nothing and takes nothing"
        );
    }
}
