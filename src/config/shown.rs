//! The effective settings as a TOML file, for `serve --print-config`.
//!
//! Secrets are masked by the table of keys. What is printed can be saved and used again once the secrets are put back.

use crate::config::Settings;
use crate::config::keys::find;
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
        table.to_string()
    }
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
}
