//! What a network's answer to a posted text means: taken and under which id, later, or never.
//!
//! Sans IO. What the answer says is data: nothing of it is shown but a few letters of a reason.

use crate::links::http::fields::{Format, Place, Posted};
use crate::store::outbox::shortened;
use chrono::Duration;
use regex::Regex;

/// Bytes of a network's answer that are looked at: an id stands in the first lines.
pub const ANSWER_BYTES_MOST: usize = 64 * 1024;
/// Bytes of a network's id.
const ID_BYTES_MOST: usize = 128;

/// What became of one try.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Tried {
    /// Taken; the network's id, where it gave one.
    Taken(Option<String>),
    /// Not now; after so long at the earliest, where the network said so.
    Later(Option<Duration>),
    /// The request left and nothing came back: the network may have the text.
    Silent,
    /// Never.
    Refused(String),
}

/// Where the network's id stands in its answer.
#[derive(Clone, Debug)]
pub enum IdIn {
    /// Nowhere.
    Nowhere,
    /// In its JSON.
    Json(Place),
    /// What the first group of an expression finds.
    Found(Regex),
}

impl IdIn {
    /// From a setting: empty, a JSON pointer or name, or `~` and a regular expression with one group.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(text: &str) -> Result<Self, String> {
        let Some(expression) = text.strip_prefix('~') else {
            return Ok(match Place::new(text)? {
                Place::Nowhere => Self::Nowhere,
                place => Self::Json(place),
            });
        };
        // A bounded program: the regex crate matches in time that grows with the text only.
        let found = regex::RegexBuilder::new(expression)
            .size_limit(1 << 20)
            .build();
        found
            .ok()
            .filter(|found| found.captures_len() == 2)
            .map(Self::Found)
            .ok_or_else(|| {
                "expected ~ and a regular expression with one group, such as ~ref=([0-9]+)"
                    .to_owned()
            })
    }

    fn find(&self, body: &[u8], json: Option<&Posted>) -> Option<String> {
        let id = match self {
            Self::Nowhere => None,
            Self::Json(place) => json?.text(place),
            Self::Found(found) => {
                let text = String::from_utf8_lossy(body);
                Some(found.captures(&text)?.get(1)?.as_str().to_owned())
            }
        };
        id.map(|id| id.trim().to_owned())
            .filter(|id| (1..=ID_BYTES_MOST).contains(&id.len()))
    }
}

/// Status codes and ranges of them, such as `400,404-422`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Statuses(Vec<(u16, u16)>);

impl Statuses {
    /// From a setting.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(text: &str) -> Result<Self, String> {
        let status = |text: &str| text.trim().parse().ok().filter(|s| (100..=599).contains(s));
        text.split(',')
            .filter(|item| !item.trim().is_empty())
            .map(|item| {
                let (from, to) = item.split_once('-').unwrap_or((item, item));
                status(from).zip(status(to)).filter(|(from, to)| from <= to)
            })
            .collect::<Option<Vec<_>>>()
            .map(Self)
            .ok_or_else(|| "expected statuses such as 400,404-422".to_owned())
    }

    fn hold(&self, status: u16) -> bool {
        self.0
            .iter()
            .any(|(from, to)| (*from..=*to).contains(&status))
    }
}

/// What an answer means.
#[derive(Clone, Debug)]
pub struct Answered {
    /// Where the id stands.
    pub id: IdIn,
    /// A text is only taken where this place of the JSON holds one of these words: for networks that answer 200 to everything.
    pub taken_where: Option<(Place, Vec<String>)>,
    /// Statuses that mean never, before what they usually mean.
    pub refused: Statuses,
    /// Statuses that mean later, before all others.
    pub later: Statuses,
}

impl Answered {
    /// What a network's answer says of a text (RFC 9110, where the settings say nothing else). `retry_after` is that header.
    #[must_use]
    pub fn judge(&self, status: u16, retry_after: Option<&str>, body: &[u8]) -> Tried {
        let wish = retry_after
            .and_then(|text| text.trim().parse::<u32>().ok())
            .map(|seconds| Duration::seconds(i64::from(seconds)));
        let refused = Tried::Refused(format!("the network answered {status}"));
        match status {
            _ if self.later.hold(status) => Tried::Later(wish),
            _ if self.refused.hold(status) => refused,
            200..=299 => self.judge_taken(body),
            // Our own settings are wrong or the network is not well: the text itself may still be good, and somebody may mend it before it expires.
            401 | 402 | 403 | 404 | 407 | 408 | 425 | 429 | 500..=599 => Tried::Later(wish),
            _ => refused,
        }
    }

    fn judge_taken(&self, body: &[u8]) -> Tried {
        let body = body.get(..ANSWER_BYTES_MOST).unwrap_or(body);
        let json = Posted::read(Format::Json, body, "").ok();
        if let Some((place, words)) = &self.taken_where {
            let said = json.as_ref().and_then(|json| json.text(place));
            let said = said.unwrap_or_default();
            if !words.iter().any(|word| word.eq_ignore_ascii_case(&said)) {
                let said: String = shortened(&said).chars().take(40).collect();
                return Tried::Refused(format!("the network said {said:?}"));
            }
        }
        Tried::Taken(self.id.find(body, json.as_ref()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answered(id: &str) -> Answered {
        Answered {
            id: IdIn::new(id).unwrap(),
            taken_where: None,
            refused: Statuses::default(),
            later: Statuses::default(),
        }
    }

    #[test]
    fn statuses_mean_taken_later_or_never() {
        let plain = answered("");
        assert_eq!(plain.judge(202, None, b""), Tried::Taken(None));
        let wish = Some(Duration::seconds(30));
        assert_eq!(plain.judge(429, Some("30"), b""), Tried::Later(wish));
        let date = Some("Wed, 21 Oct 2026 07:28:00 GMT");
        assert_eq!(plain.judge(503, date, b""), Tried::Later(None));
        assert_eq!(plain.judge(401, None, b""), Tried::Later(None));
        assert!(matches!(plain.judge(400, None, b""), Tried::Refused(_)));
        assert!(matches!(plain.judge(302, None, b""), Tried::Refused(_)));
        let own = Answered {
            refused: Statuses::new("404, 500-503").unwrap(),
            later: Statuses::new("400,502").unwrap(),
            ..plain
        };
        assert!(matches!(own.judge(404, None, b""), Tried::Refused(_)));
        assert!(matches!(own.judge(503, None, b""), Tried::Refused(_)));
        assert_eq!(own.judge(502, None, b""), Tried::Later(None));
        assert_eq!(own.judge(400, None, b""), Tried::Later(None));
        for bad in ["4", "600", "422-404", "a", "400-"] {
            assert!(Statuses::new(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn ids_are_found_in_json_or_by_an_expression() {
        let taken = |id: &str| Tried::Taken(Some(id.to_owned()));
        let body = br#"{"batch":{"parts":[{"ref":"77-a"}]},"n":12}"#;
        assert_eq!(
            answered("/batch/parts/0/ref").judge(200, None, body),
            taken("77-a")
        );
        assert_eq!(answered("n").judge(200, None, body), taken("12"));
        assert_eq!(answered("/none").judge(200, None, body), Tried::Taken(None));
        let text = b"OK ref=991 parts=1";
        assert_eq!(
            answered("~ref=([0-9]+)").judge(200, None, text),
            taken("991")
        );
        let long = format!("ref={}", "1".repeat(200));
        let nothing = Tried::Taken(None);
        assert_eq!(
            answered("~ref=([0-9]+)").judge(200, None, long.as_bytes()),
            nothing
        );
        for bad in ["~ref=[0-9]+", "~(a)(b)", "~(", "~(a{1000}){1000}"] {
            assert!(IdIn::new(bad).is_err(), "{bad}");
        }
        let words = ["queued", "sent"].map(str::to_owned).to_vec();
        let strict = Answered {
            taken_where: Some((Place::new("/state").unwrap(), words)),
            ..answered("ref")
        };
        let good = br#"{"state":"Queued","ref":"1"}"#;
        assert_eq!(strict.judge(200, None, good), taken("1"));
        for bad in [&b"{\"state\":\"blocked\"}"[..], b"", b"<ok/>"] {
            assert!(matches!(strict.judge(200, None, bad), Tried::Refused(_)));
        }
    }
}
