//! A message as an aggregator posts it, and the answer that it gets.
//!
//! ```text
//! {"id":"m-1","from":"+255700000101","to":"40123","text":"C4 12.5","sent_at":"2026-03-10T05:10:00Z"}
//! {"id":"m-1","outcome":"saved","replies":[{"to":"+255700000101","text":"..."}]}
//! ```
//! Unknown fields are passed over: networks add them as they like.

use crate::domain::message::{Inbound, LinkName, Receipt};
use crate::links::address::Party;
use crate::links::http::halves::mended;
use crate::links::http::mapping::Message;
use crate::links::http::number::read_party;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Longest `id` in bytes: twice a UUID with a prefix; it is part of a stored key.
pub const ID_BYTES_MAX: usize = 128;
/// Longest `to` in bytes: a number, a short code or a name of 11 characters, with room.
pub const TO_BYTES_MAX: usize = 40;
/// Longest `text` in characters: 255 joined parts of 153 septets is the most that a phone can send (3GPP TS 23.040), ten are plenty.
pub const TEXT_CHARS_MAX: usize = 1_600;

/// The fields as posted. A wrong type is told by the field, so each is taken as any JSON.
#[derive(Default, Deserialize)]
#[serde(default)]
struct Fields {
    id: Value,
    from: Value,
    to: Value,
    text: Value,
    sent_at: Value,
}

/// What is wrong with one field.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FieldFault {
    /// The field.
    pub field: &'static str,
    /// What was expected, with an example.
    pub detail: String,
}

/// Why a body was not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PostFault {
    /// Not a JSON object.
    NotJson(String),
    /// Fields that are missing or wrong; never empty.
    Fields(Vec<FieldFault>),
}

/// Reads a posted body. `now` is when it was received; `country` is the link's calling code.
///
/// # Errors
/// Says what is not JSON, or every field that is wrong.
pub fn read_post(
    body: &[u8],
    link: &LinkName,
    country: &str,
    now: DateTime<Utc>,
) -> Result<Message, PostFault> {
    // serde would also take a list of the fields in order; the contract does not.
    if !body.trim_ascii_start().starts_with(b"{") {
        return Err(PostFault::NotJson("expected an object".to_owned()));
    }
    let fields: Fields = serde_json::from_slice(&mended(body))
        .map_err(|cause| PostFault::NotJson(cause.to_string()))?;
    let mut faults = Vec::new();
    let from = read_from(&fields.from, country).unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    let text = read_text(fields.text).unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    let mut short = |field, value: &Value, most| {
        read_short(field, value, most).unwrap_or_else(|fault| {
            faults.push(fault);
            None
        })
    };
    let id = short("id", &fields.id, ID_BYTES_MAX);
    let to = short("to", &fields.to, TO_BYTES_MAX);
    let sent_at = read_moment(&fields.sent_at).unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    let (Some(from), Some(text), true) = (from, text, faults.is_empty()) else {
        return Err(PostFault::Fields(faults));
    };
    let Party::Phone(from) = from else {
        return Ok(Message::FromService { id });
    };
    Ok(Message::FromPhone(Inbound {
        link: link.clone(),
        id,
        from,
        to,
        text,
        sent_at: sent_at.unwrap_or(now),
        sent_at_known: sent_at.is_some(),
        received_at: now,
    }))
}

fn fault(field: &'static str, detail: &str) -> FieldFault {
    FieldFault {
        field,
        detail: detail.to_owned(),
    }
}

fn read_from(value: &Value, country: &str) -> Result<Option<Party>, FieldFault> {
    let text = value.as_str().ok_or_else(|| {
        fault(
            "from",
            "the sender's number is needed as a string, for example \"+255700000101\"",
        )
    })?;
    read_party(text, country).map(Some).map_err(|_| {
        fault(
            "from",
            "expected an international number (E.164) such as \"+255700000101\"; national forms are read where the link's `country` is set",
        )
    })
}

fn read_text(value: Value) -> Result<Option<String>, FieldFault> {
    match value {
        Value::String(text) if text.chars().count() <= TEXT_CHARS_MAX => Ok(Some(text)),
        Value::String(_) => Err(fault(
            "text",
            &format!("at most {TEXT_CHARS_MAX} characters are taken"),
        )),
        _ => Err(fault(
            "text",
            "the message is needed as a string, for example \"C4 12.5\"",
        )),
    }
}

/// An optional short string; null and empty count as missing.
fn read_short(
    field: &'static str,
    value: &Value,
    bytes_max: usize,
) -> Result<Option<String>, FieldFault> {
    match value {
        Value::Null => Ok(None),
        Value::String(text) if text.is_empty() => Ok(None),
        Value::String(text) if text.len() <= bytes_max => Ok(Some(text.clone())),
        _ => Err(fault(
            field,
            &format!("expected a string of at most {bytes_max} bytes, or nothing"),
        )),
    }
}

fn read_moment(value: &Value) -> Result<Option<DateTime<Utc>>, FieldFault> {
    match value {
        Value::Null => Ok(None),
        Value::String(text) if text.is_empty() => Ok(None),
        other => other
            .as_str()
            .and_then(|text| DateTime::parse_from_rfc3339(text).ok())
            .map(|moment| Some(moment.with_timezone(&Utc)))
            .ok_or_else(|| {
                fault(
                    "sent_at",
                    "expected a moment as in RFC 3339, for example \"2026-03-10T05:10:00Z\", or nothing",
                )
            }),
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    id: Option<&'a str>,
    outcome: &'static str,
    replies: Vec<Reply<'a>>,
}

#[derive(Serialize)]
struct Reply<'a> {
    to: &'a str,
    text: &'a str,
}

/// The body that answers a message: `id` is the network's own, given back.
#[must_use]
pub fn write_answer(id: Option<&str>, receipt: &Receipt) -> String {
    let answer = Answer {
        id,
        outcome: receipt.outcome.word(),
        replies: receipt
            .replies
            .iter()
            .map(|reply| Reply {
                to: reply.to.full(),
                text: &reply.text,
            })
            .collect(),
    };
    serde_json::to_string(&answer).expect("strings and lists of strings are always JSON")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::message::{MessageNo, Outbound, Outcome};
    use crate::domain::phone::PhoneNumber;

    fn read(body: &str) -> Result<Inbound, PostFault> {
        let now = "2026-03-10T05:11:00Z".parse().unwrap();
        match read_post(body.as_bytes(), &LinkName("north".to_owned()), "", now)? {
            Message::FromPhone(inbound) => Ok(inbound),
            Message::FromService { .. } => panic!("{body} is from a phone"),
        }
    }

    fn faulty(body: &str) -> Vec<&'static str> {
        match read(body) {
            Err(PostFault::Fields(faults)) => faults.iter().map(|fault| fault.field).collect(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn the_default_mapping_is_read() {
        let whole = read(r#"{"id":"m-1","from":"+255700000101","to":"40123","text":"C4 12.5","sent_at":"2026-03-10T08:10:00+03:00","x":[]}"#).unwrap();
        assert_eq!(whole.id.as_deref(), Some("m-1"));
        assert_eq!(whole.to.as_deref(), Some("40123"));
        assert_eq!(whole.text, "C4 12.5");
        assert_eq!(whole.sent_at.to_rfc3339(), "2026-03-10T05:10:00+00:00");
        assert!(whole.sent_at_known);
        let least =
            read(r#"{"id":"","from":"+255700000101","text":"C4 12\n5","sent_at":null}"#).unwrap();
        assert_eq!(least.text, "C4 12\n5");
        let cut = read(r#"{"from":"+255700000101","text":"C4 12.5 \ud83d"}"#).unwrap();
        assert_eq!(cut.text, "C4 12.5 \u{FFFD}", "half of an emoji");
        assert_eq!((least.id, least.to), (None, None));
        assert_eq!(
            (least.sent_at, least.sent_at_known),
            (least.received_at, false)
        );
    }

    #[test]
    fn every_wrong_field_is_named_at_once() {
        assert_eq!(faulty("{}"), ["from", "text"]);
        assert_eq!(faulty(r#"{"from":255700000101,"text":"x"}"#), ["from"]);
        assert_eq!(faulty(r#"{"from":"0700000101","text":"x"}"#), ["from"]);
        assert_eq!(faulty(r#"{"from":"+255700000101","text":5}"#), ["text"]);
        let all = r#"{"from":1,"text":null,"id":1,"to":[],"sent_at":"yesterday"}"#;
        assert_eq!(faulty(all), ["from", "text", "id", "to", "sent_at"]);
        let long = format!(
            r#"{{"from":"+255700000101","text":"{}"}}"#,
            "x".repeat(TEXT_CHARS_MAX + 1)
        );
        assert_eq!(faulty(&long), ["text"]);
        for broken in ["", "[]", "\"x\"", "{", r#"{"id":1,"id":2}"#] {
            assert!(
                matches!(read(broken), Err(PostFault::NotJson(_))),
                "{broken}"
            );
        }
    }

    #[test]
    fn the_answer_has_the_shape_of_the_contract() {
        let receipt = Receipt {
            message: MessageNo(7),
            outcome: Outcome::Saved,
            replies: vec![Outbound {
                to: PhoneNumber::new("+255700000101").unwrap(),
                member: None,
                text: "C4 \"12.5g\"".to_owned(),
            }],
        };
        assert_eq!(
            write_answer(Some("m-1"), &receipt),
            r#"{"id":"m-1","outcome":"saved","replies":[{"to":"+255700000101","text":"C4 \"12.5g\""}]}"#
        );
    }
}
