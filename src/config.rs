//! Settings: one TOML file, every key also by environment variable, read once at the start and typed.
//!
//! `keys` is the table that reading, `--print-config`, the error for an unknown key and `docs/settings.md` all share. This room does not know
//! what the settings are for; it hands each room its part.

pub mod choices;
pub mod http;
pub mod keys;
pub mod layers;
mod mapped;
pub mod modem;
pub mod shown;
pub mod smpp;

use crate::biology::tables::Parameters;
use crate::config::layers::ConfigError;
use crate::config::modem::Modem;
use crate::config::smpp::Smpp;
use crate::domain::pin::PinRules;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The effective settings of one gateway.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// Addresses and sizes of the web server.
    pub server: Server,
    /// The data folder.
    pub store: Store,
    /// What is accepted from networks.
    pub inbound: InboundRules,
    /// How much one phone may send.
    pub flood: Flood,
    /// How often a member's PIN may be tried.
    pub pin: Pin,
    /// The nightly copy.
    pub backup: Backup,
    /// When received messages leave the store.
    pub archive: Archive,
    /// What the sums compute with; [`crate::biology::tables::TABLE`] has every name, unit and source.
    pub model: Parameters,
    /// Networks, by name.
    pub links: BTreeMap<String, Link>,
}

/// `[server]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Server {
    /// Where aggregators reach the gateway; put a TLS proxy in front of it on a public machine.
    pub listen: String,
    /// A second address that serves only `/metrics`, on loopback; empty: `/metrics` is on `listen`, for loopback callers only.
    pub metrics_listen: String,
    /// Web worker threads; 0 is one for each core.
    pub workers: usize,
    /// Most open connections for each worker.
    pub connections_max: usize,
    /// Longest request body in bytes.
    pub body_bytes_max: usize,
    /// Seconds that an idle connection is kept.
    pub keep_alive_secs: u64,
}

impl Default for Server {
    fn default() -> Self {
        Self {
            listen: "127.0.0.1:8080".to_owned(),
            metrics_listen: String::new(),
            workers: 0,
            // An aggregator keeps tens of connections, a load test hundreds.
            connections_max: 2048,
            // A ten-part text is 1,530 characters; JSON may write each as six.
            body_bytes_max: 16 * 1024,
            // Longer than an aggregator's usual pause between two messages in the morning.
            keep_alive_secs: 75,
        }
    }
}

/// `[store]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Store {
    /// The data folder; one gateway, one folder.
    pub folder: PathBuf,
    /// Megabytes that the store may cache.
    pub cache_mb: u32,
    /// Farms, members and phones kept decoded in memory; about 1 to 2 kB each.
    pub cached_streams: u32,
}

impl Default for Store {
    fn default() -> Self {
        Self {
            folder: PathBuf::from("clutchline-data"),
            cache_mb: 64,
            cached_streams: 30_000,
        }
    }
}

/// `[inbound]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct InboundRules {
    /// A `sent_at` older than so many hours is not believed; the gateway's own time counts.
    pub sent_at_hours_max: u32,
    /// The link by which a member is reached who has never written; empty: the first in order of name.
    pub default_link: String,
}

impl Default for InboundRules {
    fn default() -> Self {
        Self {
            // Networks keep a text for a phone that is off for about three days; a week leaves room for an outage of ours.
            sent_at_hours_max: 168,
            default_link: String::new(),
        }
    }
}

/// `[flood]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Flood {
    /// Messages that one phone may send in each window; 0: no limit.
    pub messages: u32,
    /// Length of the window.
    pub window_minutes: u32,
}

impl Default for Flood {
    fn default() -> Self {
        Self {
            // Forty cages from a paper book, a line each, and half as many corrections.
            messages: 60,
            window_minutes: 10,
        }
    }
}

/// `[pin]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Pin {
    /// Wrong PINs in a row before a member's is locked; at least 1.
    pub tries: u8,
    /// Hours that it is locked; at least 1.
    pub lock_hours: u16,
}

impl Default for Pin {
    fn default() -> Self {
        let rules = PinRules::default();
        Self {
            tries: rules.tries,
            lock_hours: rules.lock_hours,
        }
    }
}

/// `[backup]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Backup {
    /// Where nightly backups go; empty: none are made.
    pub folder: String,
    /// The newest so many stay, whatever their age; at least 1.
    pub keep: u32,
    /// Others stay until they are so many days old.
    pub keep_days: u32,
    /// UTC hour at which one is made.
    pub hour: u32,
}

impl Default for Backup {
    fn default() -> Self {
        Self {
            folder: String::new(),
            keep: 14,
            keep_days: 30,
            // Night in East Africa, after the farm day has turned.
            hour: 1,
        }
    }
}

/// `[archive]`
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Archive {
    /// Received messages older than this leave the store for dated files; 0: never.
    pub after_days: u32,
    /// Texts of received messages older than this, and of their answers, are emptied; 0: never. 10 at the least, while a redelivery may come.
    pub texts_days: u32,
    /// Where the files go; empty: `archive` in the data folder.
    pub folder: String,
}

/// `[links.NAME]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Link {
    /// `http`, `smpp` or `modem`.
    pub kind: String,
    /// The cooperative whose messages come by it.
    pub coop: u16,
    /// Calling code such as `255`, or ISO 3166 code such as `TZ`: numbers written the national way are read with it.
    pub country: String,
    /// What the network shows; as `Authorization: Bearer` unless `inbound.auth` says otherwise.
    pub secret: String,
    /// `response`: answers go in the HTTP response. `send`: they are posted to `send_url`.
    pub reply: String,
    /// Where texts to phones are posted; reminders need it whatever `reply` says.
    pub send_url: String,
    /// How we show who we are to the network: `none`, `bearer`, `basic`, `hmac` or `webhook`.
    pub auth: String,
    /// User for `basic`.
    pub user: String,
    /// Token for `bearer`, password for `basic`, key for `hmac`, `whsec_` secret for `webhook`.
    pub token: String,
    /// The body to post, with places such as `{to}`, `{text}` and `{id}`; in JSON each is put in as a string.
    pub body: String,
    /// Texts a second that the network takes from us.
    pub rate_per_second: f64,
    /// The link that takes over texts that this one cannot send; empty: none.
    pub failover: String,
    /// Failures of a text after which it moves there; a link that is down moves all that no network can have.
    pub failover_after: u32,
    /// What the network takes for one part, in your money; for `clutchline costs`.
    pub price_per_part: f64,
    /// Where an http network puts messages.
    pub inbound: http::Inbound,
    /// How it wants texts.
    pub outbound: http::Outbound,
    /// Where it puts delivery receipts.
    pub receipts: http::Receipts,
    /// Where it puts the steps of a USSD session.
    pub ussd: http::Ussd,
    /// The account at a message centre, where `kind` is `smpp`.
    #[serde(skip_serializing_if = "Smpp::is_default")]
    pub smpp: Smpp,
    /// The modem on a serial port, where `kind` is `modem`.
    #[serde(skip_serializing_if = "Modem::is_default")]
    pub modem: Modem,
}

impl Default for Link {
    fn default() -> Self {
        Self {
            kind: "http".to_owned(),
            coop: 1,
            country: String::new(),
            secret: String::new(),
            reply: "response".to_owned(),
            send_url: String::new(),
            auth: "none".to_owned(),
            user: String::new(),
            token: String::new(),
            body: r#"{"id":{id},"to":{to},"text":{text}}"#.to_owned(),
            // What one modest account carries; a network's own figure belongs here.
            rate_per_second: 10.0,
            failover: String::new(),
            failover_after: 3,
            price_per_part: 0.0,
            inbound: http::Inbound::default(),
            outbound: http::Outbound::default(),
            receipts: http::Receipts::default(),
            ussd: http::Ussd::default(),
            smpp: Smpp::default(),
            modem: Modem::default(),
        }
    }
}

impl Settings {
    /// Reads `file` (none: only defaults) and lays `variables` (name, value) over it.
    ///
    /// # Errors
    /// When the file cannot be read, a key is unknown, or a value does not fit; the message names the key and shows an example.
    pub fn read(
        file: Option<&Path>,
        variables: impl Iterator<Item = (String, String)>,
    ) -> Result<Self, ConfigError> {
        let text = match file {
            Some(path) => std::fs::read_to_string(path).map_err(|cause| ConfigError::File {
                path: path.to_owned(),
                cause,
            })?,
            None => String::new(),
        };
        layers::settle(&text, variables)
    }
}
