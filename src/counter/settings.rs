//! What an operator may set about taking messages. `config` fills it; this room only names the choices and their defaults.

use crate::domain::message::LinkName;
use crate::domain::pin::PinRules;
use chrono::Duration;
use std::collections::BTreeMap;

/// How a link answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReplyBy {
    /// In the response to the request: its outbox row is settled with the message.
    Response,
    /// By sending: the answer becomes an outbox row.
    Send,
}

/// What a network can show and how long it waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UssdProfile {
    /// Septets of a screen, 182 at the most (3GPP TS 23.038).
    pub septets: u16,
    /// A session that says nothing for so long is over.
    pub idle: Duration,
    /// A new session offers to go on with one that broke off no longer ago.
    pub resume: Duration,
    /// The same key as the step before, within so long, is the network trying again.
    pub retry: Duration,
    /// `12*5` is 12.5: only where the network sends one step at a time.
    pub star_is_point: bool,
}

impl Default for UssdProfile {
    fn default() -> Self {
        Self {
            septets: 160,
            // Networks end a session after one to three minutes of silence.
            idle: Duration::seconds(180),
            resume: Duration::minutes(10),
            // Longer than a network's own repetition, shorter than a person reads a screen and types.
            retry: Duration::seconds(2),
            star_is_point: true,
        }
    }
}

/// What the counter knows of a link.
#[derive(Clone, Debug)]
pub struct LinkRule {
    /// How it answers.
    pub reply: ReplyBy,
    /// Flood limits apply.
    pub flood: bool,
    /// What its USSD sessions can show.
    pub ussd: UssdProfile,
}

/// A limit on messages from one number, by the gateway's clock.
#[derive(Clone, Copy, Debug)]
pub struct Flood {
    /// So many messages...
    pub messages: u32,
    /// ...in so long.
    pub window: Duration,
}

impl Flood {
    /// So many times as much.
    #[must_use]
    pub const fn times(self, factor: u32) -> Self {
        Self {
            messages: self.messages.saturating_mul(factor),
            ..self
        }
    }
}

/// How far wake-ups run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wakeups {
    /// To the clock's now.
    ToNow,
    /// Never past the farm's latest accepted `sent_at`: in the demo, messages may tell of days gone by.
    ToLatestMessage,
}

/// What an operator may set about taking messages.
#[derive(Clone, Debug)]
pub struct Settings {
    /// A `sent_at` older than this is not believed; none: any age is.
    pub oldest_sent_at: Option<Duration>,
    /// The flood limit; none: no limit.
    pub flood: Option<Flood>,
    /// The links; one that is not listed answers in the response, under the flood limit.
    pub links: BTreeMap<LinkName, LinkRule>,
    /// The link by which a member is reached who has never written.
    pub default_link: Option<LinkName>,
    /// Parameters of the sums that are not the table's; a cooperative's own rules come before them.
    pub model: BTreeMap<String, f64>,
    /// How often a PIN may be tried.
    pub pin: PinRules,
    /// How far wake-ups run.
    pub wakeups: Wakeups,
    /// How long a leased row stays with its owner.
    pub lease: Duration,
    /// Streams whose state is kept decoded in memory.
    pub cached_streams: usize,
    /// Bytes that the store may cache.
    pub cache_bytes: u64,
}

impl Settings {
    /// How a link answers: in the response where it is not listed.
    #[must_use]
    pub fn reply_by(&self, link: &LinkName) -> ReplyBy {
        self.links
            .get(link)
            .map_or(ReplyBy::Response, |rule| rule.reply)
    }

    /// What a link's USSD sessions can show.
    #[must_use]
    pub fn ussd_on(&self, link: &LinkName) -> UssdProfile {
        self.links
            .get(link)
            .map_or_else(UssdProfile::default, |rule| rule.ussd)
    }

    /// The flood limit on a link, if any.
    #[must_use]
    pub fn flood_on(&self, link: &LinkName) -> Option<Flood> {
        let free = self.links.get(link).is_some_and(|rule| !rule.flood);
        self.flood.filter(|_| !free)
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            // Networks keep a text for a phone that is off for up to three days; a week leaves room for a weekend's outage of ours.
            oldest_sent_at: Some(Duration::days(7)),
            // A keeper catching up from a paper book sends a line a cage: forty cages, and half as many again for corrections.
            flood: Some(Flood {
                messages: 60,
                window: Duration::minutes(10),
            }),
            links: BTreeMap::new(),
            default_link: None,
            model: BTreeMap::new(),
            pin: PinRules::default(),
            wakeups: Wakeups::ToNow,
            lease: Duration::minutes(2),
            // About 1 to 2 kB each once decoded: 30 to 60 MB.
            cached_streams: 30_000,
            cache_bytes: 64 * 1024 * 1024,
        }
    }
}
