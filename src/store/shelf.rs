//! The shelves: one ordered set of records each.
//!
//! This room does not know what lies on a shelf or under which key.

/// One ordered set of records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shelf {
    /// Next numbers and the format.
    Meta,
    /// Messages as received, by cooperative and number.
    Messages,
    /// Events, by stream and version.
    Events,
    /// States, by stream.
    States,
    /// Texts on their way out, by cooperative and number.
    Outbox,
    /// The outbox in order of link, urgency and due time.
    Due,
    /// Farms by the time they wake up.
    Wakeups,
    /// The phone and link by which a member was last heard.
    Routes,
    /// Texts that a network has or may have, until their receipts can no longer come, by cooperative and number.
    Sent,
    /// The rows of [`Shelf::Sent`] by link and the network's id.
    Marks,
    /// Receipts that came before the network's id was known here.
    Early,
    /// What is removed when, in order of time.
    Ages,
    /// Parts sent, by cooperative, month, link and member.
    Ledger,
    /// USSD sessions, by phone.
    Sessions,
    /// Rows of farms as pages show them, by cooperative and farm. This shelf and the next ten follow from the others and are not exported.
    FarmRows,
    /// Farms that somebody should look at, by ward, most at stake first.
    Ranks,
    /// Sums of each ward by day.
    WardDays,
    /// Farms by name.
    Names,
    /// Farms by ward, by number and by name.
    ByWard,
    /// Farms whose rows are behind the record.
    Stale,
    /// Messages by member and by farm that they changed.
    Threads,
    /// Messages that nobody could read, until somebody says what was meant.
    Unread,
    /// What officers have to do on a farm by which day, by ward.
    Deadlines,
    /// What users did to a member, by member and commit.
    Deeds,
    /// Eggs received, by month and farm.
    Received,
    /// Redelivery keys of one span of days ([`crate::store::redelivery::SPAN_DAYS`]).
    Seen(u32),
}

impl Shelf {
    /// Every shelf that always exists, in the order of exports.
    pub const STANDING: [Self; 14] = [
        Self::Meta,
        Self::Messages,
        Self::Events,
        Self::States,
        Self::Outbox,
        Self::Due,
        Self::Wakeups,
        Self::Routes,
        Self::Sent,
        Self::Marks,
        Self::Early,
        Self::Ages,
        Self::Ledger,
        Self::Sessions,
    ];

    /// Shelves that follow from the others.
    pub const FOLLOWING: [Self; 11] = [
        Self::FarmRows,
        Self::Ranks,
        Self::WardDays,
        Self::Names,
        Self::ByWard,
        Self::Stale,
        Self::Threads,
        Self::Unread,
        Self::Deadlines,
        Self::Deeds,
        Self::Received,
    ];

    /// Goes into every checksum.
    #[must_use]
    pub const fn tag(self) -> u8 {
        match self {
            Self::Meta => 0,
            Self::Messages => 1,
            Self::Events => 2,
            Self::States => 3,
            Self::Outbox => 4,
            Self::Due => 5,
            Self::Wakeups => 6,
            Self::Routes => 7,
            Self::Seen(_) => 8,
            Self::Sent => 9,
            Self::Marks => 10,
            Self::Early => 11,
            Self::Ages => 12,
            Self::Ledger => 13,
            Self::Sessions => 14,
            Self::FarmRows => 15,
            Self::Ranks => 16,
            Self::WardDays => 17,
            Self::Names => 18,
            Self::Stale => 19,
            Self::Unread => 20,
            Self::Threads => 21,
            Self::ByWard => 23,
            Self::Deadlines => 22,
            Self::Deeds => 24,
            Self::Received => 25,
        }
    }

    /// The name of its tree.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Meta => "meta".to_owned(),
            Self::Messages => "messages".to_owned(),
            Self::Events => "events".to_owned(),
            Self::States => "states".to_owned(),
            Self::Outbox => "outbox".to_owned(),
            Self::Due => "due".to_owned(),
            Self::Wakeups => "wakeups".to_owned(),
            Self::Routes => "routes".to_owned(),
            Self::Sent => "sent".to_owned(),
            Self::Marks => "marks".to_owned(),
            Self::Early => "early".to_owned(),
            Self::Ages => "ages".to_owned(),
            Self::Ledger => "ledger".to_owned(),
            Self::Sessions => "sessions".to_owned(),
            Self::FarmRows => "farm-rows".to_owned(),
            Self::Ranks => "ranks".to_owned(),
            Self::WardDays => "ward-days".to_owned(),
            Self::Names => "names".to_owned(),
            Self::ByWard => "by-ward".to_owned(),
            Self::Stale => "stale".to_owned(),
            Self::Threads => "threads".to_owned(),
            Self::Unread => "unread".to_owned(),
            Self::Deadlines => "deadlines".to_owned(),
            Self::Deeds => "deeds".to_owned(),
            Self::Received => "received".to_owned(),
            Self::Seen(span) => format!("seen-{span}"),
        }
    }

    /// The shelf of that name.
    #[must_use]
    pub fn of_name(name: &str) -> Option<Self> {
        let standing = Self::STANDING
            .into_iter()
            .find(|shelf| shelf.name() == name);
        standing.or_else(|| Self::span_of(name.as_bytes()).map(Self::Seen))
    }

    /// The span of days of a redelivery shelf.
    #[must_use]
    pub const fn span(self) -> Option<u32> {
        match self {
            Self::Seen(span) => Some(span),
            _ => None,
        }
    }

    /// The span of days of a redelivery shelf's name.
    #[must_use]
    pub fn span_of(name: &[u8]) -> Option<u32> {
        std::str::from_utf8(name)
            .ok()?
            .strip_prefix("seen-")?
            .parse()
            .ok()
    }
}
