//! Who may post: the links and their keys.
//!
//! Secrets are kept and compared as digests, signatures as sums, in a time that does not depend on where they differ. This room does not know what
//! is posted.

use crate::domain::message::{CoopId, LinkName};
use crate::links::http::mapping::{AnswerForm, MessageMapping, ReceiptMapping};
use crate::links::http::signing::{Signing, StandardWebhooks};
use crate::links::http::ussd::UssdMapping;
use crate::web::problem::{Problem, not_found, unauthorised};
use actix_web::http::header::{AUTHORIZATION, HeaderMap, HeaderValue};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, Utc};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::Arc;
use subtle::ConstantTimeEq;

/// What a network must show.
#[derive(Clone)]
pub enum Lock {
    /// `Authorization: Bearer`: the digest of the token.
    Bearer([u8; 32]),
    /// `Authorization: Basic` (RFC 7617): the digest of `user:password`.
    Basic([u8; 32]),
    /// A signature of the body.
    Hmac(Signing),
    /// A signed webhook.
    Webhook(StandardWebhooks),
}

impl Lock {
    /// Opens to a bearer token.
    #[must_use]
    pub fn bearer(secret: &str) -> Self {
        Self::Bearer(Sha256::digest(secret).into())
    }

    /// Opens to a user and a password.
    #[must_use]
    pub fn basic(user: &str, password: &str) -> Self {
        Self::Basic(Sha256::digest(format!("{user}:{password}")).into())
    }

    /// The scheme that a refused caller is told to use.
    const fn scheme(&self) -> &'static str {
        match self {
            Self::Basic(_) => "Basic",
            Self::Bearer(_) => "Bearer",
            Self::Hmac(_) | Self::Webhook(_) => "Signature",
        }
    }
}

/// One link's door.
#[derive(Clone)]
pub struct Door {
    /// The link.
    pub link: LinkName,
    /// Whose messages come by it.
    pub coop: CoopId,
    /// The link's country, for national numbers; empty: none are read.
    pub country: String,
    /// Answers go in the response; else they are sent, and the response holds none.
    pub answers_here: bool,
    /// What it opens to.
    pub lock: Lock,
    /// Where the network puts messages; none: the JSON of the contract.
    pub message: Option<MessageMapping>,
    /// What it is answered.
    pub answer: AnswerForm,
    /// Where it puts delivery receipts; none: it sends none.
    pub receipts: Option<ReceiptMapping>,
    /// Where it puts the steps of a USSD session.
    pub ussd: UssdMapping,
}

impl Door {
    /// A door of the contract that opens to the bearer token `secret`.
    #[must_use]
    pub fn new(link: &str, coop: CoopId, country: &str, secret: &str) -> Self {
        Self {
            link: LinkName(link.to_owned()),
            coop,
            country: country.to_owned(),
            answers_here: true,
            lock: Lock::bearer(secret),
            message: None,
            answer: AnswerForm {
                status: 200,
                media_type: "application/json".to_owned(),
                body: None,
            },
            receipts: None,
            ussd: UssdMapping::default(),
        }
    }
}

/// All doors, by link name.
#[derive(Clone, Default)]
pub struct Doors(Arc<BTreeMap<String, Door>>);

/// A caller before its body is there: a secret in the head has been checked, a signature has not.
pub struct Caller<'d> {
    door: &'d Door,
}

impl Doors {
    /// The doors of these links.
    #[must_use]
    pub fn new(doors: Vec<Door>) -> Self {
        let doors = doors.into_iter().map(|door| (door.link.0.clone(), door));
        Self(Arc::new(doors.collect()))
    }

    /// A caller of `link` with these headers, before its body is read.
    ///
    /// # Errors
    /// No such link, no secret or a wrong one.
    pub fn call(&self, link: &str, headers: &HeaderMap) -> Result<Caller<'_>, Problem> {
        let door = self.0.get(link).ok_or_else(not_found)?;
        let given = headers.get(AUTHORIZATION).map(HeaderValue::as_bytes);
        let (given, right) = match &door.lock {
            Lock::Bearer(right) => (given.and_then(bearer).map(<[u8]>::to_vec), right),
            Lock::Basic(right) => (given.and_then(basic), right),
            // The signature is in the head, what it signs is not.
            Lock::Hmac(_) | Lock::Webhook(_) => return Ok(Caller { door }),
        };
        let refused = || unauthorised(door.lock.scheme());
        let given: [u8; 32] = Sha256::digest(given.ok_or_else(refused)?).into();
        if bool::from(given.ct_eq(right)) {
            Ok(Caller { door })
        } else {
            Err(refused())
        }
    }

    /// How `link` is set, for what stands in the head only; nothing that it says may be done yet.
    #[must_use]
    pub fn look(&self, link: &str) -> Option<&Door> {
        self.0.get(link)
    }
}

impl<'d> Caller<'d> {
    /// The door, once what the signature covers is there: the body, or the query string where there is none. With a signed webhook, its id.
    ///
    /// # Errors
    /// No signature, a wrong one, or one of another time.
    pub fn enter(
        self,
        headers: &HeaderMap,
        signed: &[u8],
        now: DateTime<Utc>,
    ) -> Result<(&'d Door, Option<String>), Problem> {
        let header = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
        let opened = match &self.door.lock {
            Lock::Bearer(_) | Lock::Basic(_) => Ok(None),
            Lock::Hmac(signing) => signing.verify(header, signed, now).map(|()| None),
            Lock::Webhook(hooks) => hooks.verify(header, signed, now).map(Some),
        };
        match opened {
            Ok(id) => Ok((self.door, id)),
            Err(why) => {
                tracing::warn!(link = %self.door.link, %why, "a signature was refused");
                Err(unauthorised(self.door.lock.scheme()))
            }
        }
    }
}

/// The token of `Bearer TOKEN`; the scheme's case does not matter (RFC 9110, section 11.1).
fn bearer(header: &[u8]) -> Option<&[u8]> {
    after_scheme(header, b"Bearer ")
}

/// `user:password` of `Basic BASE64`.
fn basic(header: &[u8]) -> Option<Vec<u8>> {
    STANDARD.decode(after_scheme(header, b"Basic ")?).ok()
}

fn after_scheme<'h>(header: &'h [u8], scheme: &[u8]) -> Option<&'h [u8]> {
    let (given, rest) = header.split_at_checked(scheme.len())?;
    let rest = rest.trim_ascii();
    (given.eq_ignore_ascii_case(scheme) && !rest.is_empty()).then_some(rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_links_own_secret_opens_its_door() {
        let doors = Doors::new(vec![
            Door::new("north", CoopId(1), "", "north-secret"),
            Door::new("south", CoopId(2), "255", "south-secret"),
        ]);
        let word = |link: &str, header: Option<&str>| {
            let mut headers = HeaderMap::new();
            if let Some(header) = header {
                headers.insert(AUTHORIZATION, header.parse().unwrap());
            }
            doors
                .call(link, &headers)
                .and_then(|caller| caller.enter(&headers, b"", DateTime::UNIX_EPOCH))
                .map(|(door, _)| door.coop)
                .map_err(|problem| problem.word())
        };
        assert_eq!(word("north", Some("Bearer north-secret")), Ok(CoopId(1)));
        assert_eq!(word("south", Some("bearer south-secret ")), Ok(CoopId(2)));
        for header in [
            None,
            Some(""),
            Some("Bearer"),
            Some("Bearer "),
            Some("north-secret"),
            Some("Basic north-secret"),
            Some("Bearer south-secret"),
            Some("Bearer north-secre"),
            Some("Bearer north-secret2"),
        ] {
            assert_eq!(word("north", header), Err("unauthorised"), "{header:?}");
        }
        assert_eq!(word("west", Some("Bearer north-secret")), Err("not-found"));
    }

    #[test]
    fn a_user_and_a_password_open_their_door_only() {
        // RFC 7617, section 2.
        let door = Door {
            lock: Lock::basic("Aladdin", "open sesame"),
            ..Door::new("north", CoopId(1), "", "")
        };
        let doors = Doors::new(vec![door]);
        let opens = |header: &str| {
            let mut headers = HeaderMap::new();
            headers.insert(AUTHORIZATION, header.parse().unwrap());
            doors.call("north", &headers).is_ok()
        };
        assert!(opens("Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ=="));
        for wrong in [
            "Basic QWxhZGRpbjpvcGVuIHNlc2FtZX==",
            "Basic *",
            "Bearer QWxhZGRpbjpvcGVuIHNlc2FtZQ==",
        ] {
            assert!(!opens(wrong), "{wrong}");
        }
    }
}
