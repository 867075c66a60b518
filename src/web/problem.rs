//! Errors as problem details (RFC 9457).
//!
//! What is said outside never contains what is logged inside; nothing here knows a message's text or a whole number.

use crate::counter::answers::TakeError;
use crate::links::http::posted::{FieldFault, PostFault};
use actix_web::http::StatusCode;
use actix_web::http::header::{ALLOW, RETRY_AFTER, WWW_AUTHENTICATE};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use std::fmt;

/// One problem; boxed, because good answers should not carry its size around.
#[derive(Clone, Debug)]
pub struct Problem(Box<Details>);

/// As it is sent.
#[derive(Clone, Debug, Serialize)]
struct Details {
    /// A URI that names the kind; `docs/http.md` lists them.
    #[serde(rename = "type")]
    kind: String,
    /// The kind in words.
    title: &'static str,
    /// The HTTP status.
    status: u16,
    /// What to do about this one.
    detail: String,
    /// Each wrong field, where fields are wrong.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    errors: Vec<FieldFault>,
    #[serde(skip)]
    headers: Vec<(&'static str, String)>,
    /// The short word that the metrics count it under.
    #[serde(skip)]
    word: &'static str,
}

impl Problem {
    fn new(status: StatusCode, word: &'static str, title: &'static str, detail: String) -> Self {
        Self(Box::new(Details {
            kind: format!("urn:clutchline:problem:{word}"),
            title,
            status: status.as_u16(),
            detail,
            errors: Vec::new(),
            headers: Vec::new(),
            word,
        }))
    }

    fn with_header(mut self, name: &'static str, value: String) -> Self {
        self.0.headers.push((name, value));
        self
    }

    /// The same again would be refused again.
    #[must_use]
    pub fn is_lasting(&self) -> bool {
        let status = self.0.status;
        (400..500).contains(&status) && status != StatusCode::TOO_MANY_REQUESTS.as_u16()
    }

    /// The short word of its kind: `unauthorised`, `not-json`.
    #[must_use]
    pub fn word(&self) -> &'static str {
        self.0.word
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.0.title, self.0.detail)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.0.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        let mut response = HttpResponse::build(self.status_code());
        for (name, value) in &self.0.headers {
            response.insert_header((*name, value.as_str()));
        }
        let body = serde_json::to_string(&self.0).unwrap_or_default();
        response.content_type("application/problem+json").body(body)
    }
}

/// Nothing is served there, or there is no such link.
#[must_use]
pub fn not_found() -> Problem {
    Problem::new(
        StatusCode::NOT_FOUND,
        "not-found",
        "Nothing here",
        "there is no such page or link; messages are posted to /in/LINK with the name of a configured link".to_owned(),
    )
}

/// Another problem of a request for records.
#[must_use]
pub fn asked_wrong(
    status: StatusCode,
    word: &'static str,
    title: &'static str,
    detail: impl Into<String>,
) -> Problem {
    Problem::new(status, word, title, detail.into())
}

/// Fields of an address that are wrong or not known.
#[must_use]
pub fn wrong_fields(errors: Vec<FieldFault>) -> Problem {
    PostFault::Fields(errors).into()
}

/// Come back after so many seconds.
#[must_use]
pub fn come_back(problem: Problem, seconds: u32) -> Problem {
    problem.with_header(RETRY_AFTER.as_str(), seconds.to_string())
}

/// No token, or one that opens nothing (RFC 6750, section 3).
#[must_use]
pub fn no_token(shown: bool) -> Problem {
    let (detail, how) = if shown {
        (
            "this token was never made, was taken back, or its user is closed",
            "Bearer error=\"invalid_token\"",
        )
    } else {
        (
            "send a token as `Authorization: Bearer TOKEN`; a manager makes one on the console's page of tokens",
            "Bearer",
        )
    };
    Problem::new(
        StatusCode::UNAUTHORIZED,
        "unauthorised",
        "Not authorised",
        detail.to_owned(),
    )
    .with_header(WWW_AUTHENTICATE.as_str(), how.to_owned())
}

/// Another method is served there.
#[must_use]
pub fn method_not_allowed(allowed: &str) -> Problem {
    Problem::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "method",
        "Method not allowed",
        format!("use {allowed} here"),
    )
    .with_header(ALLOW.as_str(), allowed.to_owned())
}

/// Nothing that opens the link's door; `scheme` is what does.
#[must_use]
pub fn unauthorised(scheme: &str) -> Problem {
    let wanted = match scheme {
        "Bearer" => "send the link's secret as `Authorization: Bearer SECRET`",
        "Basic" => "send the link's user and secret as `Authorization: Basic`",
        _ => "sign the body with the link's secret, and send it at once",
    };
    Problem::new(
        StatusCode::UNAUTHORIZED,
        "unauthorised",
        "Not authorised",
        wanted.to_owned(),
    )
    .with_header(WWW_AUTHENTICATE.as_str(), scheme.to_owned())
}

/// The body is not called what the link's network posts.
#[must_use]
pub fn wrong_media_type(wanted: &str) -> Problem {
    Problem::new(
        StatusCode::UNSUPPORTED_MEDIA_TYPE,
        "media-type",
        "Unsupported media type",
        format!("send the message as `Content-Type: {wanted}` in UTF-8"),
    )
}

/// The body is longer than is read.
#[must_use]
pub fn too_large(most: usize) -> Problem {
    Problem::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "too-large",
        "Body too large",
        format!("at most {most} bytes are read"),
    )
}

/// The body did not come in time or broke off.
#[must_use]
pub fn too_slow() -> Problem {
    Problem::new(
        StatusCode::REQUEST_TIMEOUT,
        "too-slow",
        "Body did not arrive",
        "the request's body did not arrive whole; send it again".to_owned(),
    )
}

/// The page is for the machine itself only.
#[must_use]
pub fn loopback_only() -> Problem {
    Problem::new(
        StatusCode::FORBIDDEN,
        "loopback-only",
        "Only on this machine",
        "this page is served to loopback callers only".to_owned(),
    )
}

/// A form that does not hold what it should.
#[must_use]
pub fn bad_form(detail: &str) -> Problem {
    Problem::new(
        StatusCode::BAD_REQUEST,
        "fields",
        "Wrong fields",
        detail.to_owned(),
    )
}

/// A posted body or query that does not read as the link's settings say.
#[must_use]
pub fn unreadable(detail: String) -> Problem {
    Problem::new(
        StatusCode::BAD_REQUEST,
        "not-read",
        "Cannot be read",
        detail,
    )
}

/// A post of several, where the link's settings look at one: the others would be lost without a word.
#[must_use]
pub fn several(list: &str, key: &str) -> Problem {
    unreadable(format!(
        "expected one, but the list at {list:?} holds several; the link wants `{key} = {list:?}`, with the other places as they stand in each"
    ))
}

impl From<PostFault> for Problem {
    fn from(fault: PostFault) -> Self {
        match fault {
            PostFault::NotJson(why) => Self::new(
                StatusCode::BAD_REQUEST,
                "not-json",
                "Not a JSON object",
                format!(
                    "expected an object such as {{\"from\":\"+255700000101\",\"text\":\"C4 12.5\"}}: {why}"
                ),
            ),
            PostFault::Fields(errors) => {
                let names: Vec<_> = errors.iter().map(|fault| fault.field).collect();
                let mut problem = Self::new(
                    StatusCode::BAD_REQUEST,
                    "fields",
                    "Wrong fields",
                    format!("look at: {}", names.join(", ")),
                );
                problem.0.errors = errors;
                problem
            }
        }
    }
}

impl From<TakeError> for Problem {
    fn from(error: TakeError) -> Self {
        let unavailable = StatusCode::SERVICE_UNAVAILABLE;
        let after = |problem: Self, seconds: u32| {
            problem.with_header(RETRY_AFTER.as_str(), seconds.to_string())
        };
        match error {
            TakeError::Busy { retry_after_s } => after(
                Self::new(unavailable, "busy", "Too busy", error.to_string()),
                retry_after_s,
            ),
            TakeError::Flooded { retry_after_s } => after(
                Self::new(
                    StatusCode::TOO_MANY_REQUESTS,
                    "flooded",
                    "Too many messages from one number",
                    error.to_string(),
                ),
                retry_after_s,
            ),
            TakeError::Closing => after(
                Self::new(unavailable, "closing", "Shutting down", error.to_string()),
                5,
            ),
            TakeError::Store(why) => {
                tracing::error!(%why, "a message was not stored");
                let detail = "nothing of the message was kept; send it again".to_owned();
                after(
                    Self::new(unavailable, "store", "Could not store", detail),
                    10,
                )
            }
        }
    }
}
