//! Who may post: the links and their secrets.
//!
//! Secrets are kept and compared as digests, in a time that does not depend on where they differ. This room does not know what is posted.

use crate::domain::message::{CoopId, LinkName};
use crate::web::problem::{Problem, not_found, unauthorised};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use subtle::ConstantTimeEq;

/// One link's door.
#[derive(Clone)]
pub struct Door {
    /// The link.
    pub link: LinkName,
    /// Whose messages come by it.
    pub coop: CoopId,
    /// Calling code for national numbers; empty: none are read.
    pub country: String,
    /// Answers go in the response; else they are sent, and the response holds none.
    pub answers_here: bool,
    secret: [u8; 32],
}

impl Door {
    /// A door that opens to `secret`.
    #[must_use]
    pub fn new(link: &str, coop: CoopId, country: &str, secret: &str) -> Self {
        Self {
            link: LinkName(link.to_owned()),
            coop,
            country: country.to_owned(),
            answers_here: true,
            secret: Sha256::digest(secret).into(),
        }
    }

    /// The door of a link that answers by sending.
    #[must_use]
    pub fn answering_elsewhere(self) -> Self {
        Self {
            answers_here: false,
            ..self
        }
    }
}

/// All doors, by link name.
#[derive(Clone, Default)]
pub struct Doors(BTreeMap<String, Door>);

impl Doors {
    /// The doors of these links.
    #[must_use]
    pub fn new(doors: Vec<Door>) -> Self {
        Self(
            doors
                .into_iter()
                .map(|door| (door.link.0.clone(), door))
                .collect(),
        )
    }

    /// The door of `link`, if `authorization` (that header's value) opens it.
    ///
    /// # Errors
    /// No such link, no secret or a wrong one.
    pub fn open(&self, link: &str, authorization: Option<&[u8]>) -> Result<&Door, Problem> {
        let door = self.0.get(link).ok_or_else(not_found)?;
        let given = authorization.and_then(bearer).ok_or_else(unauthorised)?;
        let given: [u8; 32] = Sha256::digest(given).into();
        if bool::from(given.ct_eq(&door.secret)) {
            Ok(door)
        } else {
            Err(unauthorised())
        }
    }
}

/// The token of `Bearer TOKEN`; the scheme's case does not matter (RFC 9110, section 11.1).
fn bearer(header: &[u8]) -> Option<&[u8]> {
    let (scheme, token) = header.split_at_checked(7)?;
    let token = token.trim_ascii();
    (scheme.eq_ignore_ascii_case(b"Bearer ") && !token.is_empty()).then_some(token)
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
            doors
                .open(link, header.map(str::as_bytes))
                .map(|door| door.coop)
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
}
