//! How long a gateway goes on whose store fails.
//!
//! A full or read-only disk makes the database refuse every write until it is opened anew, also when the disk has room again. Nothing is lost
//! meanwhile, since nothing is acknowledged; but nobody is answered either, and at a small office nobody looks. So the gateway ends by itself, and
//! whatever keeps it running opens the store anew. This room does not know why the store fails.

use crate::counter::Counter;
use std::time::{Duration, Instant};

/// Longer than a slow disk or a snapshot of it takes, shorter than a network's first pause between two tries.
const MOST: Duration = Duration::from_secs(60);
const LOOK_EVERY: Duration = Duration::from_secs(5);

/// Since when the store has failed without a break.
#[derive(Debug, Default)]
struct Patience {
    failing_since: Option<Instant>,
}

impl Patience {
    /// Whether it has failed for too long, as seen at `now`.
    fn is_over(&mut self, failing: bool, now: Instant) -> bool {
        if !failing {
            self.failing_since = None;
            return false;
        }
        let since = *self.failing_since.get_or_insert(now);
        now.duration_since(since) >= MOST
    }
}

/// Returns when the store has failed for too long.
pub(super) async fn runs_out(counter: &Counter) {
    let mut patience = Patience::default();
    while !patience.is_over(counter.counts().failing, Instant::now()) {
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_minute_of_failures_without_a_break_is_too_long() {
        let start = Instant::now();
        let mut patience = Patience::default();
        let mut at =
            |seconds, failing| patience.is_over(failing, start + Duration::from_secs(seconds));
        assert!(!at(0, false));
        assert!(!at(10, true));
        assert!(!at(65, true));
        assert!(!at(66, false), "a commit went through");
        assert!(!at(70, true));
        assert!(!at(129, true));
        assert!(at(130, true));
    }
}
