//! A text on its way to a network: the request from the settings' templates, and what the network's answer means for the text.
//!
//! Sans IO: the driver moves the bytes. Nothing that a text or a network's answer holds can add a header or leave its place.

use crate::links::gsm7::fold::fold;
use crate::links::http::answered::Answered;
use crate::links::http::signing::{Signing, StandardWebhooks};
use crate::links::http::template::{Target, Template};
use crate::links::parts;
use crate::store::outbox::OutboxRow;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, Utc};

/// How we show who we are.
#[derive(Clone)]
pub enum Auth {
    /// Not at all.
    None,
    /// `Authorization: Bearer`.
    Bearer(String),
    /// `Authorization: Basic` (RFC 7617): user and password.
    Basic(String, String),
    /// A signature of the body in a header.
    Hmac(Signing),
    /// A signed webhook; our reference is its id.
    Webhook(StandardWebhooks),
}

/// The methods that carry a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Everything in the address.
    Get,
    /// In the body.
    Post,
    /// In the body.
    Put,
}

/// An http link's way out.
#[derive(Clone)]
pub struct SendBy {
    /// The method.
    pub method: Method,
    /// Where texts go.
    pub url: Template,
    /// Further headers.
    pub headers: Vec<(String, Template)>,
    /// Media type of the body.
    pub media_type: String,
    /// The body, before it is filled; none with [`Method::Get`].
    pub body: Option<Template>,
    /// The sender that members see, as the network wants it.
    pub from: String,
    /// Who we are.
    pub auth: Auth,
    /// What an answer means.
    pub answer: Answered,
    /// Texts a second.
    pub per_second: f64,
    /// Texts on their way at a time.
    pub window: usize,
    /// The network tells a repeated reference, so that silence may be met with another try.
    pub tells_repeats: bool,
    /// Receipts come, so that ids are kept for them.
    pub receipts: bool,
}

/// The places of an address, a header or a body. `number` is `to` without its plus, `valid` the seconds after which the text is worthless.
pub const PLACES: [&str; 7] = ["to", "text", "id", "from", "number", "parts", "valid"];

/// Headers that the connection itself needs, or that only `auth` may set.
const KEPT_HEADERS: [&str; 6] = [
    "host",
    "content-length",
    "content-type",
    "transfer-encoding",
    "connection",
    "authorization",
];
/// Headers of one request that the settings may add.
const HEADERS_MOST: usize = 16;
/// A request that is ready to leave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Request {
    /// The method.
    pub method: Method,
    /// The whole address.
    pub url: String,
    /// Names and values; no value holds a control character.
    pub headers: Vec<(String, String)>,
    /// The body; empty with [`Method::Get`].
    pub body: String,
}

/// Reads the `Name: value` lines of the settings.
///
/// # Errors
/// Says what is wrong with a line.
pub fn read_headers(text: &str) -> Result<Vec<(String, Template)>, String> {
    let mut headers = Vec::new();
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        let (name, value) = line
            .split_once(':')
            .ok_or_else(|| "expected one header a line, such as X-Account: 12".to_owned())?;
        let (name, value) = (name.trim(), value.trim());
        let token = |b: u8| b.is_ascii_alphanumeric() || b"!#$%&'*+-.^_`|~".contains(&b);
        if name.is_empty() || !name.bytes().all(token) {
            return Err(
                "expected a header's name of letters, digits and dashes, such as X-Account"
                    .to_owned(),
            );
        }
        if KEPT_HEADERS.contains(&name.to_ascii_lowercase().as_str()) {
            return Err(format!(
                "{name} is set by `media_type`, `auth` or the connection"
            ));
        }
        if !value.bytes().all(|b| (b' '..=b'~').contains(&b)) {
            return Err(format!(
                "the value of {name} holds a character that no header may hold"
            ));
        }
        if headers.len() == HEADERS_MOST {
            return Err(format!("at most {HEADERS_MOST} headers"));
        }
        headers.push((
            name.to_owned(),
            Template::new(value, Target::Header, &PLACES)?,
        ));
    }
    Ok(headers)
}

/// An address whose places stand behind the host, so that no value can choose who gets the text.
///
/// # Errors
/// Says what was expected.
pub fn read_url(text: &str) -> Result<Template, String> {
    let wanted = "expected an http or https address with places behind the host, such as https://sms.example/send?to={to}";
    let rest = text
        .strip_prefix("https://")
        .or_else(|| text.strip_prefix("http://"));
    let rest = rest.ok_or_else(|| wanted.to_owned())?;
    let host = rest.split(['/', '?', '#']).next().unwrap_or_default();
    let plain = text.bytes().all(|b| (b'!'..=b'~').contains(&b));
    if host.is_empty() || host.contains(['{', '}', '@']) || !plain {
        return Err(wanted.to_owned());
    }
    Template::new(text, Target::Percent, &PLACES)
}

/// A body of that media type; JSON must be JSON once filled.
///
/// # Errors
/// Says what is wrong with it.
pub fn read_body(text: &str, media_type: &str) -> Result<Template, String> {
    let target = crate::links::http::mapping::AnswerForm::target(media_type);
    let template = Template::new(text, target, &PLACES)?;
    let example = r#"{"id":{id},"to":{to},"text":{text}}"#;
    if target == Target::Json {
        let filled = template.fill(&["+255700000101", "a \"b\"", "1", "", "", "", ""]);
        serde_json::from_str::<serde_json::Value>(&filled).map_err(|cause| {
            format!("the body is not JSON once filled ({cause}); for example {example}")
        })?;
    }
    Ok(template)
}

impl SendBy {
    /// Whether every text's number and words are somewhere in the request.
    ///
    /// # Errors
    /// Says which place is missing.
    pub fn whole(&self) -> Result<(), String> {
        let has = |place: usize| {
            let body = self.body.as_ref().is_some_and(|body| body.has(place));
            self.url.has(place) || body || self.headers.iter().any(|(_, value)| value.has(place))
        };
        if !has(0) && !has(4) {
            return Err("neither the address nor the body has {to} or {number}".to_owned());
        }
        if has(1) {
            Ok(())
        } else {
            Err("neither the address nor the body has {text}".to_owned())
        }
    }

    /// The request for a row at `now`. Its number is the `id`: the same row sent twice carries the same one.
    #[must_use]
    pub fn request(&self, row: &OutboxRow, now: DateTime<Utc>) -> Request {
        let (to, id) = (row.outbound.to.full(), row.id.reference());
        let parts = parts_of(row).to_string();
        let valid = (row.expires - now).num_seconds().max(0).to_string();
        let number = to.trim_start_matches('+');
        let text = fold(&row.outbound.text);
        let values = [to, &text, &id, &self.from, number, &parts, &valid];
        let body = self
            .body
            .as_ref()
            .map(|body| body.fill(&values))
            .unwrap_or_default();
        let mut headers: Vec<(String, String)> = self
            .headers
            .iter()
            .map(|(name, value)| (name.clone(), value.fill(&values)))
            .collect();
        if self.body.is_some() {
            headers.push(("content-type".to_owned(), self.media_type.clone()));
        }
        let url = self.url.fill(&values);
        let signed = match self.method {
            Method::Get => url.split_once('?').map_or("", |(_, query)| query),
            Method::Post | Method::Put => &body,
        };
        match &self.auth {
            Auth::None => {}
            Auth::Bearer(token) => {
                headers.push(("authorization".to_owned(), format!("Bearer {token}")));
            }
            Auth::Basic(user, password) => {
                let pair = STANDARD.encode(format!("{user}:{password}"));
                headers.push(("authorization".to_owned(), format!("Basic {pair}")));
            }
            Auth::Hmac(signing) => headers.extend(signing.sign(signed.as_bytes(), now)),
            Auth::Webhook(hooks) => headers.extend(hooks.sign(&id, signed.as_bytes(), now)),
        }
        Request {
            method: self.method,
            url,
            headers,
            body,
        }
    }
}

/// Parts that a network counts for a row.
#[must_use]
pub fn parts_of(row: &OutboxRow) -> u16 {
    u16::try_from(parts::count(&fold(&row.outbound.text))).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_template_that_cannot_work_is_refused_at_the_start() {
        let json = "application/json";
        assert!(
            read_body(r#"{"to":"{to}","text":{text}}"#, json)
                .unwrap_err()
                .contains("not JSON")
        );
        assert!(read_body("<to>{to}</to>", "text/xml").is_ok());
        for bad in [
            "ftp://x/",
            "http://",
            "https://{to}.example/",
            "https://a@b/",
            "https://sms.example/a b",
            "https://sms.example/\r\nX: y",
        ] {
            assert!(read_url(bad).is_err(), "{bad}");
        }
        assert!(read_url("https://sms.example:8443/v1/{number}?t={text}").is_ok());
        for bad in [
            "X-A",
            "X A: b",
            ": b",
            "Host: x",
            "Authorization: x",
            "X-A: {other}",
            "X-A: \u{e9}",
        ] {
            assert!(read_headers(bad).is_err(), "{bad}");
        }
        assert_eq!(read_headers("X-A: {id}\n\nX-B: 2\n").unwrap().len(), 2);
    }
}
