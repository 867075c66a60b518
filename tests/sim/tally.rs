//! What happened in stories, counted.

use clutchline::store::outbox::{OutboxRow, Urgency};

/// What happened, so that a run can show that something did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    pub(crate) said: u64,
    pub(crate) acked: u64,
    pub(crate) copies: u64,
    pub(crate) restarts: u64,
    pub(crate) failed_commits: u64,
    pub(crate) delivered: u64,
    pub(crate) dead: u64,
    pub(crate) reminders: u64,
    pub(crate) opted_out: u64,
    pub(crate) clock_back: u64,
    /// Sessions with a message centre or a modem.
    pub(crate) bound: u64,
    /// Texts whose outcome a session could not know.
    pub(crate) in_doubt: u64,
    /// Texts and receipts that a message centre told again.
    pub(crate) told_again: u64,
    /// Texts of the outbox that a message centre or a modem's network took.
    pub(crate) carried: u64,
}

impl Tally {
    pub(crate) fn add(&mut self, other: &Self) {
        self.said += other.said;
        self.acked += other.acked;
        self.copies += other.copies;
        self.restarts += other.restarts;
        self.failed_commits += other.failed_commits;
        self.delivered += other.delivered;
        self.dead += other.dead;
        self.reminders += other.reminders;
        self.opted_out += other.opted_out;
        self.clock_back += other.clock_back;
        self.bound += other.bound;
        self.in_doubt += other.in_doubt;
        self.told_again += other.told_again;
        self.carried += other.carried;
    }

    /// A row that leaves for the first time.
    pub(crate) fn count_shown(&mut self, row: &OutboxRow) {
        self.reminders += u64::from(row.urgency == Urgency::Reminder);
    }
}
