//! How long a gateway goes on whose store fails.
//!
//! A full or read-only disk makes the database refuse every write until it is opened anew, also when the disk has room again. Nothing is lost
//! meanwhile, since nothing is acknowledged; but nobody is answered either, and at a small office nobody looks. So the gateway ends by itself, and
//! whatever keeps it running opens the store anew. This room does not know why the store fails.

use crate::counter::Counter;
use std::time::Duration;

const LOOK_EVERY: Duration = Duration::from_secs(5);
/// Looks in a row at a store that fails, a minute: longer than a slow disk or a snapshot of it takes, shorter than a network's first pause
/// between two tries.
const LOOKS_MOST: u32 = 12;

/// How often in a row the store was seen failing.
#[derive(Debug, Default)]
struct Patience {
    looks: u32,
}

impl Patience {
    /// Whether this look at it was one too many.
    const fn is_over(&mut self, failing: bool) -> bool {
        self.looks = if failing { self.looks + 1 } else { 0 };
        self.looks > LOOKS_MOST
    }
}

/// Returns when the store has failed for too long.
pub(super) async fn runs_out(counter: &Counter) {
    let mut patience = Patience::default();
    while !patience.is_over(counter.counts().failing) {
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_minute_of_failures_without_a_break_is_too_long() {
        let mut patience = Patience::default();
        for failing in [false, true, true, false] {
            assert!(!patience.is_over(failing));
        }
        for _ in 0..LOOKS_MOST {
            assert!(!patience.is_over(true));
        }
        assert!(patience.is_over(true));
    }
}
