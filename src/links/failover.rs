//! Another link takes over what one cannot send: which texts may go, and when.
//!
//! Only texts that no network can have; the outbox knows which. Time is an argument. This room does not know how either link sends.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::domain::message::LinkName;
use crate::links::board::{Board, LinkKind, LinkState, Standing};
use chrono::{DateTime, Duration, Utc};

/// A link that is down for so long moves everything: shorter gaps are a network's restart.
const DOWN_FOR_S: i64 = 60;

/// An http link has no session: it stands down from a text that failed to the next that passes. As long as a text of its own waits, one is tried more
/// often than this; after it, nobody knows.
const UNTRIED_AFTER_S: i64 = 20 * 60;

/// An http link whose last failure is old: it is no worse than one that was never tried.
fn untried(state: &LinkState, now: DateTime<Utc>) -> bool {
    let failed = state.last_error.as_ref().map(|(at, _)| *at);
    state.kind == LinkKind::Http
        && state.standing == Standing::Down
        && failed.is_none_or(|at| now - at >= Duration::seconds(UNTRIED_AFTER_S))
}

/// From one link to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failover {
    /// The link that cannot.
    pub from: LinkName,
    /// The link that takes over.
    pub to: LinkName,
    /// Failures of a text after which it moves though the link stands.
    pub after: u16,
}

impl Failover {
    /// How often a text must have failed to move at `now`; none: nothing moves, for the other link is no better.
    fn needed(&self, states: &[(LinkName, LinkState)], now: DateTime<Utc>) -> Option<u16> {
        let state = |link: &LinkName| {
            let found = states.iter().find(|(name, _)| name == link);
            found.map(|(_, state)| state)
        };
        let lost = |state: &LinkState| matches!(state.standing, Standing::Down | Standing::Stuck);
        let to = state(&self.to)?;
        if !to.sends || (lost(to) && !untried(to, now)) {
            return None;
        }
        let long = Duration::seconds(DOWN_FOR_S);
        match state(&self.from) {
            Some(from) if lost(from) && now - from.since >= long => Some(0),
            _ => Some(self.after.max(1)),
        }
    }

    /// Moves what is to move at `now`. How many.
    ///
    /// # Errors
    /// When the store fails.
    pub fn overflow(
        &self,
        board: &Board,
        counter: &Counter,
        now: DateTime<Utc>,
    ) -> Result<usize, CounterError> {
        match self.needed(&board.seen(), now) {
            Some(attempts) => counter.divert(&self.from, &self.to, attempts),
            None => Ok(0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_moves_after_its_failures_and_all_move_from_a_link_that_stays_down() {
        let at = |second: i64| DateTime::from_timestamp(1_773_000_000 + second, 0).unwrap();
        let [from, to] = ["north", "south"].map(|name| LinkName(name.to_owned()));
        let board = Board::default();
        let rule = Failover {
            from: from.clone(),
            to: to.clone(),
            after: 3,
        };
        let needed = |second| rule.needed(&board.seen(), at(second));
        let first = board.seat(&from, LinkKind::Smpp, at(0));
        assert_eq!(needed(0), None, "there is no other link");
        let second = board.seat(&to, LinkKind::Http, at(0));
        assert_eq!(needed(0), Some(3));
        first.stand(Standing::Down, "", at(10));
        assert_eq!((needed(69), needed(70)), (Some(3), Some(0)));
        second.stand(Standing::Stuck, "", at(80));
        assert_eq!(needed(90), None);
        second.stand(Standing::Down, "", at(100));
        second.fault("the network answered 503 to a text", at(200));
        assert_eq!((needed(1_399), needed(1_400)), (None, Some(0)));
        second.only_receives("", at(1_500));
        assert_eq!(needed(1_600), None, "it has no way out");
    }
}
