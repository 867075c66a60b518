//! The effective settings as a TOML file, for `serve --print-config`.
//!
//! Secrets are masked by the table of keys. What is printed can be saved and used again once the secrets are put back.

use crate::biology::tables::TABLE;
use crate::config::Settings;
use crate::config::keys::find;
use std::fmt::Write;
use toml::Table;
use toml::Value;

/// What stands for a secret; an empty one is shown as empty, so that a missing secret is seen.
const MASK: &str = "***";

impl Settings {
    /// The whole set as TOML, secrets masked.
    #[must_use]
    pub fn shown(&self) -> String {
        let Ok(Value::Table(mut table)) = Value::try_from(self) else {
            return String::new();
        };
        mask(&mut table, "");
        with_sources(&table.to_string())
    }
}

impl Settings {
    /// Every key with its value as the file would write it, secrets masked, the parameters of the sums left out.
    #[must_use]
    pub fn rows(&self) -> Vec<(String, String)> {
        let Ok(Value::Table(mut table)) = Value::try_from(self) else {
            return Vec::new();
        };
        mask(&mut table, "");
        table.remove("model");
        let mut rows = Vec::new();
        flatten(&table, "", &mut rows);
        rows
    }
}

fn flatten(table: &Table, above: &str, rows: &mut Vec<(String, String)>) {
    for (name, value) in table {
        let path = format!("{above}{name}");
        match value {
            Value::Table(inner) => flatten(inner, &format!("{path}."), rows),
            other => rows.push((path, other.to_string())),
        }
    }
}

/// The same, with unit and source beside each parameter of the sums.
fn with_sources(shown: &str) -> String {
    let mut inside = false;
    let mut text = String::new();
    for line in shown.lines() {
        if line.starts_with('[') {
            inside = line == "[model]";
        }
        text.push_str(line);
        let name = line.split(" = ").next().unwrap_or_default();
        if let Some(row) = TABLE.iter().find(|row| inside && row.name == name) {
            let _ = write!(
                text,
                " # {}, unless set {}; {}",
                row.unit, row.default, row.source
            );
        }
        text.push('\n');
    }
    text
}

fn mask(table: &mut Table, above: &str) {
    for (name, value) in table.iter_mut() {
        let path = format!("{above}{name}");
        match value {
            Value::Table(inner) => mask(inner, &format!("{path}.")),
            Value::String(text)
                if !text.is_empty() && find(&path).is_some_and(|key| key.secret) =>
            {
                MASK.clone_into(text);
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::biology::tables::TABLE;
    use crate::config::Link;
    use crate::config::Settings;

    #[test]
    fn secrets_are_masked_and_the_rest_reads_back() {
        let mut settings = Settings::default();
        let link = Link {
            secret: "a-secret-of-some-length".to_owned(),
            token: "another-one".to_owned(),
            ..Link::default()
        };
        settings.links.insert("north".to_owned(), link);
        let shown = settings.shown();
        assert!(
            !shown.contains("a-secret") && !shown.contains("another"),
            "{shown}"
        );
        let mut back: Settings = toml::from_str(&shown).unwrap();
        let link = back.links.get_mut("north").unwrap();
        (link.secret, link.token) = (
            "a-secret-of-some-length".to_owned(),
            "another-one".to_owned(),
        );
        assert_eq!(back, settings);
    }

    #[test]
    fn rows_name_every_key_once_and_no_secret() {
        let mut settings = Settings::default();
        let link = Link {
            secret: "a-secret-of-some-length".to_owned(),
            price_per_part: 0.015,
            ..Link::default()
        };
        settings.links.insert("north".to_owned(), link);
        let rows = settings.rows();
        let value = |key: &str| -> Vec<&str> {
            let found = rows.iter().filter(|(name, _)| name == key);
            found.map(|(_, value)| value.as_str()).collect()
        };
        assert_eq!(value("links.north.price_per_part"), ["0.015"]);
        assert_eq!(value("links.north.secret"), ["\"***\""]);
        assert_eq!(value("backup.keep"), ["14"]);
        assert!(rows.iter().all(|(name, _)| !name.starts_with("model.")));
    }

    #[test]
    fn every_parameter_of_the_sums_is_shown_with_its_source() {
        let mut settings = Settings::default();
        settings.model.set("hatch_share", 0.6).unwrap();
        let shown = settings.shown();
        for row in TABLE {
            let line = shown
                .lines()
                .find(|line| line.starts_with(&format!("{} = ", row.name)));
            assert!(
                line.is_some_and(|line| line.ends_with(row.source)),
                "{}",
                row.name
            );
        }
        assert!(shown.contains("hatch_share = 0.6 # 1, unless set 0.7; "));
        let back: Settings = toml::from_str(&shown).unwrap();
        assert_eq!(back, settings);
        let refused =
            crate::config::layers::settle("[model]\nhatch_share = 70.0", std::iter::empty());
        let refused = refused.map_err(|why| why.to_string()).unwrap_err();
        assert!(
            refused.contains("`model.hatch_share` must be from 0.05 to 1"),
            "{refused}"
        );
        let unknown =
            crate::config::layers::settle("[model]\nhatch_shar = 0.7", std::iter::empty());
        let unknown = unknown.map_err(|why| why.to_string()).unwrap_err();
        assert!(
            unknown.contains("did you mean `model.hatch_share`"),
            "{unknown}"
        );
    }
}
