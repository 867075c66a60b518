//! How much one number may send, by the gateway's clock.
//!
//! This room counts; it does not know what was said.

use crate::counter::settings::Flood;
use crate::domain::phone::PhoneNumber;
use chrono::{DateTime, Utc};
use std::collections::HashMap;

/// Numbers counted at once, about 10 MB; beyond it those whose window is over are forgotten, then all: a limit that forgets is better than a gateway
/// that runs out of memory under attack.
const NUMBERS_MOST: usize = 100_000;

/// Counts messages by number in windows that start with a number's first message.
#[derive(Debug, Default)]
pub(crate) struct FloodGate {
    windows: HashMap<PhoneNumber, (DateTime<Utc>, u32)>,
}

impl FloodGate {
    /// Counts a message.
    ///
    /// # Errors
    /// When the number has sent enough: the seconds after which it may send again, at least one.
    pub(crate) fn pass(
        &mut self,
        from: &PhoneNumber,
        limit: Flood,
        now: DateTime<Utc>,
    ) -> Result<(), u32> {
        if self.windows.len() >= NUMBERS_MOST {
            self.windows
                .retain(|_, (start, _)| *start + limit.window > now);
            if self.windows.len() >= NUMBERS_MOST {
                self.windows.clear();
            }
        }
        let (start, count) = self.windows.entry(from.clone()).or_insert((now, 0));
        if *start + limit.window <= now || *start > now {
            (*start, *count) = (now, 0);
        }
        if *count >= limit.messages {
            let left = (*start + limit.window - now).num_seconds().max(1);
            return Err(u32::try_from(left).unwrap_or(u32::MAX));
        }
        *count += 1;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::Duration;

    #[test]
    fn a_number_waits_for_its_own_window_only() {
        let mut gate = FloodGate::default();
        let limit = Flood {
            messages: 2,
            window: Duration::seconds(60),
        };
        let now: DateTime<Utc> = "2026-03-10T05:00:00Z".parse().unwrap();
        let one = PhoneNumber::new("+255700000101").unwrap();
        let other = PhoneNumber::new("+255700000102").unwrap();
        assert_eq!(gate.pass(&one, limit, now), Ok(()));
        assert_eq!(gate.pass(&one, limit, now + Duration::seconds(10)), Ok(()));
        assert_eq!(gate.pass(&one, limit, now + Duration::seconds(20)), Err(40));
        assert_eq!(
            gate.pass(&other, limit, now + Duration::seconds(20)),
            Ok(())
        );
        assert_eq!(gate.pass(&one, limit, now + Duration::seconds(60)), Ok(()));
    }
}
