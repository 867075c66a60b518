//! The board: how each link stands, as its own driver says it, for the `links` command and the metrics.
//!
//! It remembers; it never asks. The clock is an argument. This room does not know what a driver does, nor how long its queue is: the store knows
//! that.

use crate::domain::message::LinkName;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Letters of an error or a detail that are kept: a line of a terminal.
const WORDS_MOST: usize = 160;

/// What carries the texts of a link.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkKind {
    /// An aggregator over HTTP.
    Http,
    /// A carrier's message centre by SMPP 3.4.
    Smpp,
    /// A GSM modem on a serial port.
    Modem,
}

impl LinkKind {
    /// The word in the settings.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Http => "http",
            Self::Smpp => "smpp",
            Self::Modem => "modem",
        }
    }

    /// The kind of a word of the settings.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        [Self::Http, Self::Smpp, Self::Modem]
            .into_iter()
            .find(|kind| kind.word() == word)
    }
}

/// Whether texts can pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing was tried yet.
    Starting,
    /// Texts pass.
    Up,
    /// They do not; the driver goes on trying.
    Down,
    /// They do not, and only a person can help, such as a PIN that was refused.
    Stuck,
}

impl Standing {
    /// The word that the `links` command prints.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Starting => "starting",
            Self::Up => "up",
            Self::Down => "down",
            Self::Stuck => "stuck",
        }
    }
}

/// What has passed since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Passed {
    /// Texts taken from the network and committed.
    pub taken: u64,
    /// Texts that the network took.
    pub sent: u64,
    /// Tries that failed, for now or for good.
    pub failed: u64,
    /// Times the network asked for less.
    pub throttled: u64,
    /// Things from the network that could not be read, kept raw.
    pub quarantined: u64,
    /// Delivery receipts read.
    pub receipts: u64,
}

/// What a modem measures; none of it where the link is no modem, or it does not say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Gauges {
    /// Signal, 0 to 31 (3GPP TS 27.007 clause 8.5).
    pub signal: Option<u8>,
    /// Messages in the SIM's storage, and its places.
    pub stored: Option<(u16, u16)>,
}

/// How one link stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LinkState {
    /// What carries it.
    pub kind: LinkKind,
    /// Whether texts can pass.
    pub standing: Standing,
    /// Whether it has a way out at all: an http link without an address to post to has none.
    pub sends: bool,
    /// Since when.
    pub since: DateTime<Utc>,
    /// The bind, the signal or the address, in a few words without personal data.
    pub detail: String,
    /// The last thing that went wrong, and when.
    pub last_error: Option<(DateTime<Utc>, String)>,
    /// What has passed.
    pub passed: Passed,
    /// What its modem measures.
    pub gauges: Gauges,
}

/// All links of one gateway. Clones share it.
#[derive(Clone, Debug, Default)]
pub struct Board(Arc<Mutex<BTreeMap<LinkName, LinkState>>>);

impl Board {
    /// A seat for the driver of `link`: only it writes this row.
    #[must_use]
    pub fn seat(&self, link: &LinkName, kind: LinkKind, now: DateTime<Utc>) -> Seat {
        let state = LinkState {
            kind,
            standing: Standing::Starting,
            sends: true,
            since: now,
            detail: String::new(),
            last_error: None,
            passed: Passed::default(),
            gauges: Gauges::default(),
        };
        self.rows().insert(link.clone(), state);
        Seat {
            board: self.clone(),
            link: link.clone(),
        }
    }

    /// Every link in order of name.
    #[must_use]
    pub fn seen(&self) -> Vec<(LinkName, LinkState)> {
        let rows = self.rows();
        rows.iter()
            .map(|(link, state)| (link.clone(), state.clone()))
            .collect()
    }

    /// Adds to what has passed by a link, for whoever has no seat: the web server brings what http networks post.
    pub fn count(&self, link: &LinkName, change: impl FnOnce(&mut Passed)) {
        if let Some(state) = self.rows().get_mut(link) {
            change(&mut state.passed);
        }
    }

    /// Whether texts of this link can pass; a link without a seat cannot send.
    #[must_use]
    pub fn is_up(&self, link: &LinkName) -> bool {
        let rows = self.rows();
        rows.get(link)
            .is_some_and(|state| state.standing == Standing::Up)
    }

    fn rows(&self) -> MutexGuard<'_, BTreeMap<LinkName, LinkState>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// One driver's row of the board.
#[derive(Clone, Debug)]
pub struct Seat {
    board: Board,
    link: LinkName,
}

impl Seat {
    /// Whose row it is.
    #[must_use]
    pub fn link(&self) -> &LinkName {
        &self.link
    }

    /// The link stands so from now on. `detail` says in a few words what it is bound to or how good the signal is; empty leaves the last one.
    pub fn stand(&self, standing: Standing, detail: &str, now: DateTime<Utc>) {
        self.change(|state| {
            if state.standing != standing {
                state.standing = standing;
                state.since = now;
            }
            if !detail.is_empty() {
                state.detail = shortened(detail);
            }
        });
    }

    /// Something went wrong; `words` hold no number and no text of a member.
    pub fn fault(&self, words: &str, now: DateTime<Utc>) {
        self.change(|state| state.last_error = Some((now, shortened(words))));
    }

    /// It has no way out; texts still come in by it.
    pub fn only_receives(&self, detail: &str, now: DateTime<Utc>) {
        self.change(|state| state.sends = false);
        self.stand(Standing::Up, detail, now);
    }

    /// Counts what passed.
    pub fn count(&self, change: impl FnOnce(&mut Passed)) {
        self.change(|state| change(&mut state.passed));
    }

    /// What the modem measures now.
    pub fn gauge(&self, gauges: Gauges) {
        self.change(|state| state.gauges = gauges);
    }

    fn change(&self, change: impl FnOnce(&mut LinkState)) {
        if let Some(state) = self.board.rows().get_mut(&self.link) {
            change(state);
        }
    }
}

/// One line without control characters: what a network says ends on an operator's terminal.
fn shortened(words: &str) -> String {
    words
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(WORDS_MOST)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_773_000_000 + second, 0).unwrap()
    }

    #[test]
    fn a_standing_keeps_the_moment_when_it_began() {
        let board = Board::default();
        let north = LinkName("north".to_owned());
        let seat = board.seat(&north, LinkKind::Smpp, at(0));
        assert!(!board.is_up(&north));
        seat.stand(Standing::Up, "bound as transceiver", at(1));
        seat.stand(Standing::Up, "", at(2));
        seat.fault("system\nbusy", at(3));
        seat.count(|passed| passed.taken += 2);
        let (_, state) = board.seen().remove(0);
        assert!(board.is_up(&north));
        assert_eq!(state.since, at(1));
        assert_eq!(state.detail, "bound as transceiver");
        assert_eq!(state.last_error, Some((at(3), "system busy".to_owned())));
        assert_eq!(state.passed.taken, 2);
    }

    #[test]
    fn every_kind_is_found_by_its_word() {
        for kind in [LinkKind::Http, LinkKind::Smpp, LinkKind::Modem] {
            assert_eq!(LinkKind::named(kind.word()), Some(kind));
        }
        assert_eq!(LinkKind::named("fax"), None);
    }
}
