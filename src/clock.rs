//! The only room that reads the wall clock.
//!
//! Everything below takes the time as an argument. The demo's clock stands still until it is moved.

use chrono::{DateTime, Duration, Utc};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

/// A source of *now*.
#[derive(Clone, Debug)]
pub enum Clock {
    /// The machine's clock.
    System,
    /// Stands at a moment; moved by hand.
    Standing(Arc<Mutex<DateTime<Utc>>>),
}

impl Clock {
    /// A clock that stands at `now`.
    #[must_use]
    pub fn standing(now: DateTime<Utc>) -> Self {
        Self::Standing(Arc::new(Mutex::new(now)))
    }

    /// The moment it is.
    #[must_use]
    pub fn now(&self) -> DateTime<Utc> {
        match self {
            Self::System => SystemTime::now().into(),
            Self::Standing(at) => *at.lock().unwrap_or_else(PoisonError::into_inner),
        }
    }

    /// Moves a standing clock forward; the machine's clock is left alone.
    pub fn advance(&self, by: Duration) {
        if let Self::Standing(at) = self {
            let mut at = at.lock().unwrap_or_else(PoisonError::into_inner);
            *at += by;
        }
    }
}
