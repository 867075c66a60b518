//! What a visit ends in: a page, another page to go to, or a refusal with its own page.
//!
//! This room does not know the web server.

use crate::counter::answers::CounterError;
use maud::Markup;
use std::fmt;
use std::io::Write;
use std::sync::Arc;
use tokio::sync::OwnedSemaphorePermit;

/// What the browser gets.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The HTTP status.
    pub status: u16,
    /// The media type.
    pub kind: &'static str,
    /// The page or file.
    pub body: Vec<u8>,
    /// Where to go instead.
    pub location: Option<String>,
    /// The session's cookie from now on; empty: none any more.
    pub session: Option<String>,
    /// The language's cookie from now on.
    pub lang: Option<String>,
    /// The name under which a file is saved.
    pub file: Option<String>,
    /// What follows the body while it is made.
    pub stream: Option<Stream>,
}

/// What is made while it is sent.
#[derive(Clone, Debug)]
pub enum Stream {
    /// A file, too long to be held whole.
    File(Flow),
    /// Word that the records have moved on from a mark; the permit is one of so many open streams.
    Moved(u64, Arc<OwnedSemaphorePermit>),
}

/// Writes a file; an error ends it.
pub type WriteFile = dyn Fn(&mut dyn Write) -> std::io::Result<()> + Send + Sync;

/// A file while it is written.
#[derive(Clone)]
pub struct Flow {
    /// Writes it, on a thread of its own.
    pub write: Arc<WriteFile>,
    /// Where to go instead, where it fails before its first byte.
    pub failed: String,
}

impl fmt::Debug for Flow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Flow").finish_non_exhaustive()
    }
}

impl Answer {
    /// A page.
    #[must_use]
    pub fn page(markup: Markup) -> Self {
        Self::of(
            "text/html; charset=utf-8",
            markup.into_string().into_bytes(),
        )
    }

    /// Bytes of that media type.
    #[must_use]
    pub fn of(kind: &'static str, body: Vec<u8>) -> Self {
        Self {
            status: 200,
            kind,
            body,
            location: None,
            session: None,
            lang: None,
            file: None,
            stream: None,
        }
    }

    /// A file to be saved.
    #[must_use]
    pub fn file(kind: &'static str, name: &str, body: Vec<u8>) -> Self {
        Self {
            file: Some(name.to_owned()),
            ..Self::of(kind, body)
        }
    }

    /// A file that is written while it is sent.
    #[must_use]
    pub fn flow(kind: &'static str, name: &str, flow: Flow) -> Self {
        Self {
            stream: Some(Stream::File(flow)),
            ..Self::file(kind, name, Vec::new())
        }
    }

    /// After a form: load that page, so that "reload" sends nothing twice (303, RFC 9110, section 15.4.4).
    #[must_use]
    pub fn go(to: &str) -> Self {
        Self {
            status: 303,
            location: Some(to.to_owned()),
            ..Self::of("text/plain", Vec::new())
        }
    }

    /// The same with another status.
    #[must_use]
    pub fn with_status(self, status: u16) -> Self {
        Self { status, ..self }
    }
}

/// Why a visit was turned away; each has its page.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// Nobody is signed in.
    #[error("sign in first")]
    SignIn,
    /// The user's role or wards do not reach so far.
    #[error("not allowed")]
    NotAllowed,
    /// It holds for the whole cooperative, and the user is held to wards.
    #[error("this holds for all wards")]
    Wards,
    /// There is no such page, farm or message.
    #[error("there is no such page")]
    NotFound,
    /// Another method is served there.
    #[error("this page takes another kind of request")]
    Method,
    /// The form did not come from this session's own page.
    #[error("this form is too old or not ours")]
    Form,
    /// The form's body is too large or is not a form.
    #[error("this form cannot be read")]
    Body,
    /// The counter failed.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

impl Refused {
    /// The HTTP status.
    #[must_use]
    pub const fn status(&self) -> u16 {
        match self {
            Self::SignIn => 401,
            Self::NotAllowed | Self::Wards | Self::Form => 403,
            Self::NotFound => 404,
            Self::Method => 405,
            Self::Body => 413,
            Self::Counter(_) => 503,
        }
    }

    /// The key of its text.
    #[must_use]
    pub const fn key(&self) -> &'static str {
        match self {
            Self::SignIn => "refused-sign-in",
            Self::NotAllowed => "refused-not-allowed",
            Self::Wards => "refused-wards",
            Self::NotFound => "refused-not-found",
            Self::Method => "refused-method",
            Self::Form => "refused-form",
            Self::Body => "refused-body",
            Self::Counter(_) => "refused-counter",
        }
    }
}
