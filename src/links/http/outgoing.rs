//! A text on its way to a network: the body from the settings' template, and what the network's answer means for it.
//!
//! The template is JSON with `{to}`, `{text}` and `{id}`; each is put in as a whole JSON string with its quotes, so that no text can break out.

use crate::store::outbox::OutboxRow;
use chrono::Duration;

/// How we show who we are.
#[derive(Clone, PartialEq, Eq)]
pub enum Auth {
    /// Not at all.
    None,
    /// `Authorization: Bearer`.
    Bearer(String),
    /// `Authorization: Basic` (RFC 7617): user and password.
    Basic(String, String),
}

/// An http link's way out.
#[derive(Clone)]
pub struct SendBy {
    /// Where texts are posted.
    pub url: String,
    /// Who we are.
    pub auth: Auth,
    /// The body, before it is filled.
    pub template: Template,
    /// Texts a second.
    pub per_second: f64,
}

/// A body with places to fill.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Template(String);

/// What a text's places are called.
const PLACES: [&str; 3] = ["{to}", "{text}", "{id}"];

impl Template {
    /// Takes a template that has `{to}` and `{text}` and is JSON once filled.
    ///
    /// # Errors
    /// Says what is wrong with it.
    pub fn new(text: &str) -> Result<Self, String> {
        let example = r#"{"id":{id},"to":{to},"text":{text}}"#;
        if let Some(missing) = PLACES[..2].iter().find(|place| !text.contains(**place)) {
            return Err(format!("the body has no {missing}; for example {example}"));
        }
        let template = Self(text.to_owned());
        let filled = template.fill("+255700000101", "a \"b\"", "1");
        serde_json::from_str::<serde_json::Value>(&filled).map_err(|cause| {
            format!("the body is not JSON once filled ({cause}); for example {example}")
        })?;
        Ok(template)
    }

    /// The body for one text. Each place is found once, from left to right, so that a text that holds `{id}` stays as it is.
    #[must_use]
    pub fn fill(&self, to: &str, text: &str, id: &str) -> String {
        let values = [to, text, id];
        let mut body = String::with_capacity(self.0.len() + text.len() + 32);
        let mut rest = self.0.as_str();
        loop {
            let next = PLACES
                .iter()
                .zip(values)
                .filter_map(|(place, value)| Some((rest.find(place)?, place.len(), value)))
                .min();
            let Some((at, len, value)) = next else {
                body.push_str(rest);
                return body;
            };
            body.push_str(&rest[..at]);
            body.push_str(&serde_json::Value::from(value).to_string());
            rest = &rest[at + len..];
        }
    }

    /// The body for an outbox row. Its number is the `id`: the same row sent twice carries the same one.
    #[must_use]
    pub fn fill_for(&self, row: &OutboxRow) -> String {
        let outbound = &row.outbound;
        self.fill(
            outbound.to.full(),
            &outbound.text,
            &format!("out-{}", row.id.0),
        )
    }
}

/// What became of one try.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Tried {
    /// Taken.
    Taken,
    /// Not now; after so long at the earliest, where the network said so.
    Later(Option<Duration>),
    /// Never.
    Refused(String),
}

/// What a status code says of a text (RFC 9110). `retry_after` is that header in seconds, where it was sent so.
#[must_use]
pub fn judge_status(status: u16, retry_after: Option<&str>) -> Tried {
    let wish = retry_after
        .and_then(|text| text.trim().parse::<u32>().ok())
        .map(|seconds| Duration::seconds(i64::from(seconds)));
    match status {
        200..=299 => Tried::Taken,
        // Our own settings are wrong or the network is not well: the text itself may still be good, and somebody may mend it before it expires.
        401 | 402 | 403 | 404 | 407 | 408 | 425 | 429 | 500..=599 => Tried::Later(wish),
        _ => Tried::Refused(format!("the network answered {status}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_breaks_out_of_its_place() {
        let template =
            Template::new(r#"{"to":{to},"text":{text},"ref":{id},"flash":false}"#).unwrap();
        let nasty = "C4 \"12\",\"to\":\"+1\" {id} {to} \\ \n";
        let filled: serde_json::Value =
            serde_json::from_str(&template.fill("+255700000101", nasty, "out-7")).unwrap();
        let expected = serde_json::json!({"to": "+255700000101", "text": nasty, "ref": "out-7", "flash": false});
        assert_eq!(filled, expected);
    }

    #[test]
    fn a_template_that_cannot_work_is_refused_at_the_start() {
        assert!(
            Template::new(r#"{"to":{to}}"#)
                .unwrap_err()
                .contains("no {text}")
        );
        assert!(
            Template::new(r#"{"to":"{to}","text":{text}}"#)
                .unwrap_err()
                .contains("not JSON")
        );
    }

    #[test]
    fn statuses_mean_taken_later_or_never() {
        assert_eq!(judge_status(202, None), Tried::Taken);
        assert_eq!(
            judge_status(429, Some("30")),
            Tried::Later(Some(Duration::seconds(30)))
        );
        assert_eq!(
            judge_status(503, Some("Wed, 21 Oct 2026 07:28:00 GMT")),
            Tried::Later(None)
        );
        assert_eq!(judge_status(401, None), Tried::Later(None));
        assert!(matches!(judge_status(400, None), Tried::Refused(_)));
        assert!(matches!(judge_status(302, None), Tried::Refused(_)));
    }
}
