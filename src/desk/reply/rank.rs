//! What stays where a reply is too long.
//!
//! This room does not know how long anything is.

use crate::desk::reply::{Compared, Fragment};

impl Fragment {
    /// Importance, lowest first to stay: what was saved, a question or warning, what to do next, how to take it back.
    #[must_use]
    pub fn rank(&self) -> u8 {
        match self {
            Self::Answer(_)
            | Self::State(_)
            | Self::Saved(_)
            | Self::For(..)
            | Self::EnteredBy(_)
            | Self::Lesson { .. } => 0,
            Self::Ask(_) | Self::Refused(_) | Self::Unread { .. } | Self::Teach { .. } => 1,
            Self::Repaired { .. } => 2,
            Self::Warning(_) | Self::Compared(_, Compared::Low(_) | Compared::High(_)) => 3,
            Self::Tasks(_) => 4,
            Self::Dust
            | Self::BaitCare
            | Self::UndoHint
            | Self::Compared(_, Compared::AsExpected) => 5,
        }
    }
}
