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
    /// Runs like the machine's clock, so much ahead of it; moved by hand.
    Ahead(Arc<Mutex<Duration>>),
}

impl Clock {
    /// A clock that stands at `now`.
    #[must_use]
    pub fn standing(now: DateTime<Utc>) -> Self {
        Self::Standing(Arc::new(Mutex::new(now)))
    }

    /// A clock that shows the machine's time and can be moved ahead.
    #[must_use]
    pub fn movable() -> Self {
        Self::Ahead(Arc::new(Mutex::new(Duration::zero())))
    }

    /// The moment it is.
    #[must_use]
    pub fn now(&self) -> DateTime<Utc> {
        match self {
            Self::System => SystemTime::now().into(),
            Self::Standing(at) => *at.lock().unwrap_or_else(PoisonError::into_inner),
            Self::Ahead(by) => {
                let now: DateTime<Utc> = SystemTime::now().into();
                now + *by.lock().unwrap_or_else(PoisonError::into_inner)
            }
        }
    }

    /// Moves the clock forward; the machine's own is left alone.
    pub fn advance(&self, by: Duration) {
        match self {
            Self::System => {}
            Self::Standing(at) => *at.lock().unwrap_or_else(PoisonError::into_inner) += by,
            Self::Ahead(ahead) => *ahead.lock().unwrap_or_else(PoisonError::into_inner) += by,
        }
    }
}
