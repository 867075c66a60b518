//! A message or a delivery receipt in a network's own field names, and the answer that it wants.
//!
//! Sans IO; the settings say where each thing stands. This room does not check who posted it.

use crate::domain::message::{Inbound, LinkName, Receipt};
use crate::links::address::Party;
use crate::links::http::fields::{Each, Format, Place, Posted};
use crate::links::http::number::read_party;
use crate::links::http::posted::{
    FieldFault, ID_BYTES_MAX, PostFault, TEXT_CHARS_MAX, TO_BYTES_MAX, write_answer,
};
use crate::links::http::template::{Target, Template};
use crate::store::delivery::DeliveryState;
use chrono::{DateTime, FixedOffset, NaiveDateTime, TimeZone, Utc};
use chrono_tz::Tz;

/// How a moment is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimeForm {
    /// RFC 3339: `2026-03-10T05:10:00Z`.
    Rfc3339,
    /// Seconds since 1970.
    Seconds,
    /// Milliseconds since 1970.
    Millis,
    /// A pattern of strftime, and the zone that it is in where it names none.
    Pattern(String, Zone),
}

/// Where a clock stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// By name.
    Named(Tz),
    /// By its distance to UTC.
    Offset(FixedOffset),
}

impl Zone {
    /// From `Africa/Dar_es_Salaam`, `+03:00` or nothing, which is UTC.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(text: &str) -> Result<Self, String> {
        if text.is_empty() {
            return Ok(Self::Named(Tz::UTC));
        }
        if let Ok(zone) = text.parse() {
            return Ok(Self::Named(zone));
        }
        text.parse()
            .map(Self::Offset)
            .map_err(|_| "expected a zone such as Africa/Dar_es_Salaam or +03:00".to_owned())
    }
}

impl TimeForm {
    /// From `rfc3339`, `seconds`, `milliseconds` or a pattern with `%`.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(text: &str, zone: &str) -> Result<Self, String> {
        match text {
            "rfc3339" => Ok(Self::Rfc3339),
            "seconds" => Ok(Self::Seconds),
            "milliseconds" => Ok(Self::Millis),
            pattern if pattern.contains('%') => {
                let bad = |item| matches!(item, chrono::format::Item::Error);
                if chrono::format::StrftimeItems::new(pattern).any(bad) {
                    return Err("expected a pattern such as %Y-%m-%d %H:%M:%S".to_owned());
                }
                Ok(Self::Pattern(pattern.to_owned(), Zone::new(zone)?))
            }
            _ => Err(
                "expected rfc3339, seconds, milliseconds or a pattern such as %Y-%m-%d %H:%M:%S"
                    .to_owned(),
            ),
        }
    }

    /// The moment of a text.
    #[must_use]
    pub fn read(&self, text: &str) -> Option<DateTime<Utc>> {
        let text = text.trim();
        match self {
            Self::Rfc3339 => DateTime::parse_from_rfc3339(text)
                .ok()
                .map(|at| at.to_utc()),
            // Some write smaller parts behind a point.
            Self::Seconds | Self::Millis => {
                let whole = text.split('.').next().unwrap_or_default().parse().ok()?;
                match self {
                    Self::Millis => DateTime::from_timestamp_millis(whole),
                    _ => DateTime::from_timestamp(whole, 0),
                }
            }
            Self::Pattern(pattern, zone) => {
                if let Ok(at) = DateTime::parse_from_str(text, pattern) {
                    return Some(at.to_utc());
                }
                let local = NaiveDateTime::parse_from_str(text, pattern).ok()?;
                match zone {
                    Zone::Named(zone) => local
                        .and_local_timezone(*zone)
                        .earliest()
                        .map(|at| at.to_utc()),
                    Zone::Offset(offset) => offset
                        .from_local_datetime(&local)
                        .single()
                        .map(|at| at.to_utc()),
                }
            }
        }
    }
}

/// What a network is answered for a message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AnswerForm {
    /// The status.
    pub status: u16,
    /// The media type.
    pub media_type: String,
    /// The body with `{id}`, `{outcome}` and `{text}`; none: the JSON of the contract.
    pub body: Option<Template>,
}

/// The places of an answer.
pub const ANSWER_PLACES: [&str; 3] = ["id", "outcome", "text"];

impl AnswerForm {
    /// How values are put into a body of that media type.
    #[must_use]
    pub fn target(media_type: &str) -> Target {
        let kind = media_type.split(';').next().unwrap_or_default().trim();
        match kind.to_ascii_lowercase().as_str() {
            kind if kind.ends_with("json") => Target::Json,
            kind if kind.ends_with("xml") || kind.ends_with("html") => Target::Xml,
            "application/x-www-form-urlencoded" => Target::Percent,
            _ => Target::Plain,
        }
    }

    /// The body for a message.
    #[must_use]
    pub fn write(&self, id: Option<&str>, receipt: &Receipt) -> String {
        let Some(body) = &self.body else {
            return write_answer(id, receipt);
        };
        let text = receipt.replies.first().map(|reply| reply.text.as_str());
        body.fill(&[
            id.unwrap_or_default(),
            receipt.outcome.word(),
            text.unwrap_or_default(),
        ])
    }
}

/// Where a network puts a message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MessageMapping {
    /// How it writes.
    pub format: Format,
    /// Where the messages of one post stand; the other places are looked for in each.
    pub each: Each,
    /// Its id of the message.
    pub id: Place,
    /// The sender.
    pub from: Place,
    /// The number it was sent to.
    pub to: Place,
    /// The text.
    pub text: Place,
    /// When the phone sent it.
    pub sent_at: Place,
    /// How that moment is written.
    pub time: TimeForm,
}

/// What was posted.
#[derive(Clone, Debug, PartialEq)]
pub enum Message {
    /// From a phone.
    FromPhone(Inbound),
    /// From a short code or a name: never answered, so that two machines do not write to each other for ever.
    FromService {
        /// The network's id of it.
        id: Option<String>,
    },
}

fn wrong(field: &'static str, place: &Place, wanted: &str) -> FieldFault {
    FieldFault {
        field,
        detail: format!("looked for in {:?}: {wanted}", place.shown()),
    }
}

impl MessageMapping {
    /// Reads a message. `now` is when it came; `country` is the link's; `webhook` is the id of a signed webhook, which stands in for a missing id.
    ///
    /// # Errors
    /// What does not read, or every field that is wrong.
    pub fn read(
        &self,
        posted: &Posted,
        link: &LinkName,
        country: &str,
        webhook: Option<&str>,
        now: DateTime<Utc>,
    ) -> Result<Message, PostFault> {
        let mut faults = Vec::new();
        let mut keep = |fault| faults.push(fault);
        let from = posted.text(&self.from).unwrap_or_default();
        let from = read_party(&from, country)
            .map_err(|why| keep(wrong("from", &self.from, &why.to_string())));
        let text = posted
            .text(&self.text)
            .filter(|text| text.chars().count() <= TEXT_CHARS_MAX);
        if text.is_none() {
            let wanted = format!("expected a text of at most {TEXT_CHARS_MAX} characters");
            keep(wrong("text", &self.text, &wanted));
        }
        let short = |place: &Place, most: usize| match posted.text(place) {
            Some(text) if text.len() > most => Err(()),
            given => Ok(given.filter(|text| !text.is_empty())),
        };
        let id = short(&self.id, ID_BYTES_MAX).unwrap_or_else(|()| {
            keep(wrong("id", &self.id, "expected at most 128 bytes"));
            None
        });
        let to = short(&self.to, TO_BYTES_MAX).unwrap_or_else(|()| {
            keep(wrong("to", &self.to, "expected at most 40 bytes"));
            None
        });
        let sent_at = posted.text(&self.sent_at).filter(|text| !text.is_empty());
        let sent_at = sent_at.and_then(|text| {
            let at = self.time.read(&text);
            if at.is_none() {
                keep(wrong(
                    "sent_at",
                    &self.sent_at,
                    "expected a moment as the link's `inbound.time` says",
                ));
            }
            at
        });
        let (Ok(from), Some(text), true) = (from, text, faults.is_empty()) else {
            return Err(PostFault::Fields(faults));
        };
        let Party::Phone(from) = from else {
            return Ok(Message::FromService { id });
        };
        Ok(Message::FromPhone(Inbound {
            link: link.clone(),
            id: id.or_else(|| webhook.map(str::to_owned)),
            from,
            to,
            text,
            sent_at: sent_at.unwrap_or(now),
            sent_at_known: sent_at.is_some(),
            received_at: now,
        }))
    }
}

/// Where a network puts a delivery receipt, and its words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReceiptMapping {
    /// How it writes.
    pub format: Format,
    /// Where the receipts of one post stand.
    pub each: Each,
    /// A post is a receipt where this place holds one of these words: for networks that post everything to one address.
    pub only: Option<(Place, Vec<String>)>,
    /// Its id of the text, or ours (`out-N`).
    pub id: Place,
    /// What became of it.
    pub state: Place,
    /// Why, in its words or codes.
    pub why: Place,
    /// When.
    pub at: Place,
    /// How that moment is written.
    pub time: TimeForm,
    /// Words for delivered, failed, expired and unknown; any other is on its way.
    pub words: [Vec<String>; 4],
}

/// A delivery receipt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The network's id of the text, or ours.
    pub id: String,
    /// What became of it.
    pub state: DeliveryState,
    /// When.
    pub at: DateTime<Utc>,
}

impl ReceiptMapping {
    /// Whether a post to the messages' address is a receipt.
    #[must_use]
    pub fn is_one(&self, posted: &Posted) -> bool {
        self.only.as_ref().is_some_and(|(place, words)| {
            let said = posted.text(place);
            said.is_some_and(|said| words.iter().any(|word| word.eq_ignore_ascii_case(&said)))
        })
    }

    /// Reads a receipt that came at `now`.
    ///
    /// # Errors
    /// Every field that is wrong.
    pub fn read(&self, posted: &Posted, now: DateTime<Utc>) -> Result<Told, PostFault> {
        let mut faults = Vec::new();
        let id = posted
            .text(&self.id)
            .filter(|id| (1..=ID_BYTES_MAX).contains(&id.len()));
        if id.is_none() {
            faults.push(wrong(
                "id",
                &self.id,
                "expected the text's id, at most 128 bytes",
            ));
        }
        let said = posted.text(&self.state).unwrap_or_default();
        if said.is_empty() {
            faults.push(wrong(
                "state",
                &self.state,
                "expected what became of the text",
            ));
        }
        let Some(id) = id.filter(|_| faults.is_empty()) else {
            return Err(PostFault::Fields(faults));
        };
        let why = posted.text(&self.why).filter(|why| !why.is_empty());
        let why = why.unwrap_or_else(|| said.clone());
        let [delivered, failed, expired, unknown] = self
            .words
            .each_ref()
            .map(|words| words.iter().any(|word| word.eq_ignore_ascii_case(&said)));
        let state = match () {
            () if delivered => DeliveryState::Delivered,
            () if failed => DeliveryState::Failed { why },
            () if expired => DeliveryState::Expired,
            () if unknown => DeliveryState::Unknown { why },
            () => DeliveryState::OnItsWay,
        };
        let at = posted.text(&self.at).and_then(|text| self.time.read(&text));
        Ok(Told {
            id,
            state,
            at: at.filter(|at| *at <= now).unwrap_or(now),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_read_in_every_form() {
        let right: DateTime<Utc> = "2026-03-10T05:10:00Z".parse().unwrap();
        for (form, zone, text) in [
            ("rfc3339", "", "2026-03-10T08:10:00+03:00"),
            ("seconds", "", "1773119400"),
            ("seconds", "", "1773119400.25"),
            ("milliseconds", "", "1773119400000"),
            ("milliseconds", "", "1773119400000.5"),
            (
                "%d/%m/%Y %H:%M:%S",
                "Africa/Dar_es_Salaam",
                "10/03/2026 08:10:00",
            ),
            ("%Y%m%d%H%M%S", "+03:00", "20260310081000"),
            ("%Y-%m-%d %H:%M:%S %z", "", "2026-03-10 08:10:00 +0300"),
            ("%Y-%m-%d %H:%M:%S", "", " 2026-03-10 05:10:00 "),
        ] {
            let form = TimeForm::new(form, zone).unwrap();
            assert_eq!(form.read(text), Some(right), "{text}");
            for wrong in ["", "noon", "99999999999999999999", "-"] {
                assert_eq!(form.read(wrong), None, "{wrong}");
            }
        }
        for (form, zone) in [("iso", ""), ("%Y-%Q", ""), ("%Y", "Nowhere/Else")] {
            assert!(TimeForm::new(form, zone).is_err(), "{form}");
        }
    }
}
