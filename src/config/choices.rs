//! From settings to what each room takes: the counter's choices, the web's doors and sizes, the links' ways out.
//!
//! Values only; nothing is opened here.

use crate::config::{Link, Settings};
use crate::counter::keeping::Kept;
use crate::counter::settings::{self as counter, LinkRule, ReplyBy, Wakeups};
use crate::domain::message::{CoopId, LinkName};
use crate::domain::pin::PinRules;
use crate::links::http::outgoing::SendBy;
use crate::web::gate::{Door, Doors};
use crate::web::server::Sizes;
use chrono::Duration;
use std::time;

impl Settings {
    /// What the counter takes.
    #[must_use]
    pub fn counter(&self) -> counter::Settings {
        let links = self.links.iter().map(|(name, link)| {
            // Only an http network waits for an answer in its response.
            let reply = if link.reply == "send" || link.kind != "http" {
                ReplyBy::Send
            } else {
                ReplyBy::Response
            };
            let rule = LinkRule {
                reply,
                flood: true,
                ussd: link.ussd.profile(),
            };
            (LinkName(name.clone()), rule)
        });
        let default_link = Some(self.inbound.default_link.clone())
            .filter(|name| !name.is_empty())
            .or_else(|| self.links.keys().next().cloned());
        let oldest = Duration::hours(i64::from(self.inbound.sent_at_hours_max));
        let window = Duration::minutes(i64::from(self.flood.window_minutes));
        let messages = self.flood.messages;
        counter::Settings {
            oldest_sent_at: Some(oldest),
            flood: (messages > 0).then_some(counter::Flood { messages, window }),
            links: links.collect(),
            default_link: default_link.map(LinkName),
            model: self.model.changed(),
            pin: PinRules {
                tries: self.pin.tries,
                lock_hours: self.pin.lock_hours,
            },
            wakeups: Wakeups::ToNow,
            cached_streams: usize::try_from(self.store.cached_streams).unwrap_or(usize::MAX),
            cache_bytes: u64::from(self.store.cache_mb) * 1024 * 1024,
            ..counter::Settings::default()
        }
    }

    /// The links that may post.
    #[must_use]
    pub fn doors(&self) -> Doors {
        let door = |(name, link): (&String, &Link)| {
            let door = Door::new(name, CoopId(link.coop), &link.country, &link.secret);
            // Settings that were read fit; a link that does not has no door.
            link.fitted(door).ok()
        };
        let posting = self.links.iter().filter(|(_, link)| link.kind == "http");
        Doors::new(posting.filter_map(door).collect())
    }

    /// Sizes of the web server.
    #[must_use]
    pub fn sizes(&self) -> Sizes {
        Sizes {
            workers: self.server.workers,
            connections_max: self.server.connections_max,
            keep_alive: time::Duration::from_secs(self.server.keep_alive_secs),
        }
    }

    /// Which backups stay.
    #[must_use]
    pub fn kept(&self) -> Kept {
        Kept {
            count: usize::try_from(self.backup.keep).unwrap_or(usize::MAX),
            age: Duration::days(i64::from(self.backup.keep_days)),
        }
    }
}

impl Link {
    /// The link's way out; none where it has no `send_url`.
    ///
    /// # Errors
    /// When its settings do not hold together; the message names the key.
    pub fn send_by(&self) -> Result<Option<SendBy>, String> {
        self.way_out()
            .map_err(|(key, wanted)| format!("`{key}` must be {wanted}"))
    }
}
