//! Lays the layers of settings over each other: defaults, the file, environment variables; and refuses what it does not know.
//!
//! `CLUTCHLINE_SERVER__LISTEN` overrides `server.listen`: upper case, two underscores for the dot. The environment itself is read by the caller.

use crate::biology::tables::{ParameterError, Parameters};
use crate::config::Settings;
use crate::config::keys::Key;
use crate::config::keys::Kind;
use crate::config::keys::find;
use crate::config::keys::nearest;
use crate::domain::message::CoopId;
use crate::links::address::Country;
use crate::web::gate::Door;
use std::net::SocketAddr;
use std::path::PathBuf;
use thiserror::Error;
use toml::Table;
use toml::Value;

/// What all of our environment variables begin with.
pub const PREFIX: &str = "CLUTCHLINE_";

/// Why settings were refused.
#[derive(Debug, Error)]
pub enum ConfigError {
    /// The file could not be read.
    #[error("cannot read {}: {cause}", path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// Why.
        cause: std::io::Error,
    },
    /// Not TOML.
    #[error("the settings are not TOML: {0}")]
    Toml(String),
    /// No such key.
    #[error("there is no setting `{path}`; did you mean `{nearest}`?")]
    Unknown {
        /// As written.
        path: String,
        /// The likeliest.
        nearest: String,
    },
    /// A value of the wrong kind or out of range.
    #[error("`{path}` must be {wanted}, for example {path} = {example}")]
    Value {
        /// Which setting.
        path: String,
        /// What was expected.
        wanted: String,
        /// A correct value.
        example: String,
    },
}

/// Calls `visit` with the dotted path and value of each setting that is not a table.
pub(crate) fn each_leaf(table: &Table, above: &str, visit: &mut dyn FnMut(&str, &Value)) {
    for (name, value) in table {
        let path = match above {
            "" => name.clone(),
            _ => format!("{above}.{name}"),
        };
        match value {
            // Three levels below `links`, one elsewhere, is as deep as settings go.
            Value::Table(inner) if path.matches('.').count() < 3 => each_leaf(inner, &path, visit),
            _ => visit(&path, value),
        }
    }
}

/// The settings that `file` and `variables` make together.
///
/// # Errors
/// See [`ConfigError`].
pub fn settle(
    file: &str,
    variables: impl Iterator<Item = (String, String)>,
) -> Result<Settings, ConfigError> {
    let mut table: Table = file
        .parse()
        .map_err(|cause: toml::de::Error| ConfigError::Toml(cause.to_string()))?;
    for (name, value) in variables {
        if let Some(rest) = name.strip_prefix(PREFIX).filter(|rest| rest.contains("__")) {
            overlay(
                &mut table,
                &rest.to_ascii_lowercase().replace("__", "."),
                &value,
            )?;
        }
    }
    let mut wrong = None;
    each_leaf(&table, "", &mut |path, value| {
        if wrong.is_none() {
            wrong = check(path, value).err();
        }
    });
    if let Some(wrong) = wrong {
        return Err(wrong);
    }
    let settings: Settings = Value::Table(table)
        .try_into()
        .map_err(|cause: toml::de::Error| ConfigError::Toml(cause.message().to_owned()))?;
    ranges(&settings)?;
    Ok(settings)
}

/// Puts one environment variable into the table.
fn overlay(table: &mut Table, path: &str, text: &str) -> Result<(), ConfigError> {
    let key = find(path).ok_or_else(|| unknown(path))?;
    let value = match key.kind {
        Kind::Text => Value::String(text.to_owned()),
        Kind::Whole => Value::Integer(text.trim().parse().map_err(|_| misfit(path, key))?),
        Kind::Number => Value::Float(text.trim().parse().map_err(|_| misfit(path, key))?),
    };
    let (above, name) = path.rsplit_once('.').unwrap_or(("", path));
    let mut inner = table;
    for step in above.split('.') {
        let entry = inner
            .entry(step)
            .or_insert_with(|| Value::Table(Table::new()));
        inner = entry.as_table_mut().ok_or_else(|| unknown(path))?;
    }
    inner.insert(name.to_owned(), value);
    Ok(())
}

fn unknown(path: &str) -> ConfigError {
    ConfigError::Unknown {
        path: path.to_owned(),
        nearest: nearest(path),
    }
}

fn misfit(path: &str, key: &Key) -> ConfigError {
    let wanted = match key.kind {
        Kind::Text => "a text in quotes",
        Kind::Whole => "a whole number from 0 up",
        Kind::Number => "a number",
    };
    refuse(path, wanted)
}

fn refuse(path: &str, wanted: &str) -> ConfigError {
    ConfigError::Value {
        path: path.to_owned(),
        wanted: wanted.to_owned(),
        example: find(path).map_or_else(String::new, |key| key.example.to_owned()),
    }
}

fn check(path: &str, value: &Value) -> Result<(), ConfigError> {
    let key = find(path).ok_or_else(|| unknown(path))?;
    let fits = match (key.kind, value) {
        (Kind::Text, Value::String(_)) | (Kind::Number, Value::Float(_)) => true,
        (Kind::Whole | Kind::Number, Value::Integer(n)) => *n >= 0,
        _ => false,
    };
    if fits { Ok(()) } else { Err(misfit(path, key)) }
}

/// The parameters of the sums, each within its own bounds.
fn model_ranges(model: &Parameters) -> Result<(), ConfigError> {
    let Err(wrong) = model.clone().checked() else {
        return Ok(());
    };
    let (name, wanted, example) = match &wrong {
        ParameterError::OutOfBounds {
            name,
            low,
            high,
            unit,
            example,
            ..
        } => (*name, format!("from {low} to {high} ({unit})"), *example),
        ParameterError::Unknown(_) => return Err(ConfigError::Toml(wrong.to_string())),
    };
    Err(ConfigError::Value {
        path: format!("model.{name}"),
        wanted,
        example: example.to_string(),
    })
}

/// What types alone do not say.
fn ranges(settings: &Settings) -> Result<(), ConfigError> {
    model_ranges(&settings.model)?;
    let server = &settings.server;
    let address = |path: &str, text: &str| -> Result<SocketAddr, ConfigError> {
        text.parse()
            .map_err(|_| refuse(path, "an address and a port"))
    };
    address("server.listen", &server.listen)?;
    if !server.metrics_listen.is_empty()
        && !address("server.metrics_listen", &server.metrics_listen)?
            .ip()
            .is_loopback()
    {
        return Err(refuse("server.metrics_listen", "an address on loopback"));
    }
    if !(1024..=1_048_576).contains(&server.body_bytes_max) {
        return Err(refuse("server.body_bytes_max", "between 1024 and 1048576"));
    }
    if settings.pin.tries == 0 {
        return Err(refuse("pin.tries", "at least 1"));
    }
    if settings.pin.lock_hours == 0 {
        return Err(refuse("pin.lock_hours", "at least 1"));
    }
    if settings.flood.messages > 0 && settings.flood.window_minutes == 0 {
        return Err(refuse("flood.window_minutes", "at least 1"));
    }
    let default_link = &settings.inbound.default_link;
    if !default_link.is_empty() && !settings.links.contains_key(default_link) {
        return Err(refuse(
            "inbound.default_link",
            "the name of a link of this file",
        ));
    }
    if settings.backup.hour > 23 {
        return Err(refuse("backup.hour", "an hour from 0 to 23"));
    }
    if settings.backup.keep == 0 {
        return Err(refuse("backup.keep", "at least 1"));
    }
    settings.links.iter().try_for_each(|(name, link)| {
        link_ranges(name, link)?;
        failover_ends(settings, name)
    })
}

/// Texts go from link to link and never round in a ring.
fn failover_ends(settings: &Settings, name: &str) -> Result<(), ConfigError> {
    let mut at = name;
    for _ in 0..=settings.links.len() {
        let Some(link) = settings.links.get(at) else {
            break;
        };
        if link.failover.is_empty() {
            return Ok(());
        }
        at = &link.failover;
    }
    Err(refuse(
        &format!("links.{name}.failover"),
        "another link of this file that does not lead back here",
    ))
}

/// The shortest link secret: 16 characters of a random word cannot be guessed over a network.
const SECRET_CHARS_MIN: usize = 16;

fn link_ranges(name: &str, link: &crate::config::Link) -> Result<(), ConfigError> {
    let path = |key: &str| format!("links.{name}.{key}");
    let named_well = name.len() <= 32
        && name
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if name.is_empty() || !named_well {
        return Err(ConfigError::Value {
            path: format!("links.{name}"),
            wanted: "named with small letters, digits and dashes, 32 at most".to_owned(),
            example: "[links.north]".to_owned(),
        });
    }
    if !link.country.is_empty() && Country::of_setting(&link.country).is_none() {
        return Err(refuse(
            &path("country"),
            "a country calling code, digits only, or an ISO code that is listed",
        ));
    }
    if link.kind == "smpp" {
        let fitted = link.smpp.profile(link).map(|_| ());
        fitted.map_err(|(key, wanted)| refuse(&path(&format!("smpp.{key}")), wanted))?;
        return pace_and_price(link, &path);
    }
    if link.kind == "modem" {
        let fitted = link.modem.profile(link).map(|_| ());
        fitted.map_err(|(key, wanted)| refuse(&path(&format!("modem.{key}")), wanted))?;
        return pace_and_price(link, &path);
    }
    if link.kind != "http" {
        return Err(refuse(&path("kind"), "\"http\", \"smpp\" or \"modem\""));
    }
    if link.secret.chars().count() < SECRET_CHARS_MIN {
        return Err(refuse(&path("secret"), "at least 16 characters"));
    }
    if !["response", "send"].contains(&link.reply.as_str()) {
        return Err(refuse(&path("reply"), "\"response\" or \"send\""));
    }
    if link.reply == "send" && link.send_url.is_empty() {
        return Err(refuse(&path("send_url"), "set where reply is \"send\""));
    }
    let door = Door::new(name, CoopId(link.coop), "", "");
    link.fitted(door)
        .map(|_| ())
        .and_then(|()| link.way_out().map(|_| ()))
        .map_err(|(key, wanted)| refuse(&path(key), &wanted))?;
    pace_and_price(link, &path)
}

/// What every kind of link has.
fn pace_and_price(
    link: &crate::config::Link,
    path: &dyn Fn(&str) -> String,
) -> Result<(), ConfigError> {
    if !(0.0..=10_000.0).contains(&link.price_per_part) {
        return Err(refuse(&path("price_per_part"), "from 0 to 10000"));
    }
    if !(link.rate_per_second > 0.0 && link.rate_per_second <= 10_000.0) {
        return Err(refuse(
            &path("rate_per_second"),
            "above 0 and at most 10000",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(file: &str, variables: &[(&str, &str)]) -> Result<Settings, String> {
        let variables = variables
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()));
        settle(file, variables).map_err(|wrong| wrong.to_string())
    }

    #[test]
    fn the_environment_lies_over_the_file_and_the_file_over_the_defaults() {
        let file = "[server]\nlisten = \"0.0.0.0:80\"\nworkers = 3\n[links.north]\nsecret = \"sixteen-or-longer\"\n";
        let settings = with(
            file,
            &[
                ("CLUTCHLINE_SERVER__WORKERS", "5"),
                ("CLUTCHLINE_LINKS__NORTH__RATE_PER_SECOND", "2.5"),
                ("HOME", "/root"),
            ],
        )
        .unwrap();
        assert_eq!(settings.server.listen, "0.0.0.0:80");
        assert_eq!(settings.server.workers, 5);
        assert_eq!(settings.links["north"].rate_per_second, 2.5);
        assert_eq!(settings.flood, crate::config::Flood::default());
    }

    #[test]
    fn what_is_not_understood_is_refused_with_what_was_meant() {
        let says = |file: &str| with(file, &[]).unwrap_err();
        assert_eq!(
            says("[server]\nlisen = \"x\""),
            "there is no setting `server.lisen`; did you mean `server.listen`?"
        );
        assert_eq!(
            says("[server]\nworkers = \"two\""),
            "`server.workers` must be a whole number from 0 up, for example server.workers = 2"
        );
        assert!(says("[server]\nmetrics_listen = \"0.0.0.0:1\"").contains("loopback"));
        assert!(says("[links.north]\nsecret = \"short\"").contains("at least 16"));
        assert!(says("[links.North]\nsecret = \"sixteen-or-longer\"").contains("small letters"));
        assert!(
            says("[links.a]\nsecret = \"sixteen-or-longer\"\nreply = \"send\"")
                .contains("send_url")
        );
        assert!(says("[server").contains("not TOML"));
        let variable = with("", &[("CLUTCHLINE_SERVER__WORKRES", "1")]).unwrap_err();
        assert!(variable.contains("server.workers"), "{variable}");
    }
}
