//! From the settings file to what each room is given.

use crate::cli::Failure;
use crate::clock::Clock;
use crate::config::{Link, Settings};
use crate::counter::Counter;
use crate::counter::settings::{self, Flood, LinkRule, ReplyBy, Wakeups};
use crate::domain::message::{CoopId, LinkName};
use crate::links::driver::Sender;
use crate::links::http::outgoing::{Auth, SendBy, Template};
use crate::web::gate::{Door, Doors};
use crate::web::server::Sizes;
use chrono::Duration;
use std::sync::Arc;

/// What the counter is given.
#[must_use]
pub fn counter_settings(settings: &Settings) -> settings::Settings {
    let flood = (settings.flood.messages > 0).then(|| Flood {
        messages: settings.flood.messages,
        window: Duration::minutes(i64::from(settings.flood.window_minutes)),
    });
    let links = settings.links.iter().map(|(name, link)| {
        let reply = match link.reply.as_str() {
            "send" => ReplyBy::Send,
            _ => ReplyBy::Response,
        };
        (LinkName(name.clone()), LinkRule { reply, flood: true })
    });
    // Reminders need a link that can send; the one that the operator named, else the first in order of name.
    let default_link = match settings.inbound.default_link.as_str() {
        "" => {
            let sends = |link: &Link| !link.send_url.is_empty();
            let first = settings.links.iter().find(|(_, link)| sends(link));
            first
                .or_else(|| settings.links.iter().next())
                .map(|(name, _)| name.clone())
        }
        name => Some(name.to_owned()),
    };
    settings::Settings {
        oldest_sent_at: Some(Duration::hours(i64::from(
            settings.inbound.sent_at_hours_max,
        ))),
        flood,
        links: links.collect(),
        default_link: default_link.map(LinkName),
        wakeups: Wakeups::ToNow,
        cached_streams: settings.store.cached_streams as usize,
        cache_bytes: u64::from(settings.store.cache_mb) * 1024 * 1024,
        ..settings::Settings::default()
    }
}

/// The doors of all links.
#[must_use]
pub fn doors(settings: &Settings) -> Doors {
    let door = |(name, link): (&String, &Link)| {
        Door::new(name, CoopId(link.coop), &link.country, &link.secret)
    };
    Doors::new(settings.links.iter().map(door).collect())
}

/// What the web server is given.
#[must_use]
pub const fn sizes(settings: &Settings) -> Sizes {
    Sizes {
        workers: settings.server.workers,
        connections_max: settings.server.connections_max,
        keep_alive: std::time::Duration::from_secs(settings.server.keep_alive_secs),
    }
}

/// A sender for each link that has somewhere to send to.
///
/// # Errors
/// When a body is none, or no TLS can be set up.
pub fn senders(
    settings: &Settings,
    counter: &Counter,
    clock: &Clock,
) -> Result<Vec<Arc<Sender>>, Failure> {
    let mut senders = Vec::new();
    for (name, link) in &settings.links {
        if link.send_url.is_empty() {
            continue;
        }
        let template =
            Template::new(&link.body).map_err(|why| format!("`links.{name}.body`: {why}"))?;
        let auth = match link.auth.as_str() {
            "bearer" => Auth::Bearer(link.token.clone()),
            "basic" => Auth::Basic(link.user.clone(), link.token.clone()),
            _ => Auth::None,
        };
        let by = SendBy {
            url: link.send_url.clone(),
            auth,
            template,
            per_second: link.rate_per_second,
        };
        let mut seed = [0; 8];
        getrandom::fill(&mut seed).map_err(|why| why.to_string())?;
        let sender = Sender::new(
            LinkName(name.clone()),
            by,
            counter.clone(),
            clock.clone(),
            u64::from_le_bytes(seed),
        )?;
        senders.push(Arc::new(sender));
    }
    Ok(senders)
}
