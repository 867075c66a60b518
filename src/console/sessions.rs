//! Who is signed in: tokens of 256 bits, kept as digests, with an end that use does not move and one that it does.
//!
//! Sessions live in memory: a restart of the gateway signs everybody out. This room does not know passwords.

use crate::domain::message::CoopId;
use crate::domain::user::Login;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, Duration, Utc};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use subtle::ConstantTimeEq;

/// Without a page so long, a session ends: a browser left open in an office should not stay signed in over lunch and a meeting.
pub const IDLE: Duration = Duration::minutes(90);
/// A session ends after so long whatever happens: a working day.
pub const LONGEST: Duration = Duration::hours(12);
/// Sessions kept; beyond it the one longest unused goes. A hundred cooperatives' staff.
const SESSIONS_MAX: usize = 5_000;
const TOKEN_BYTES: usize = 32;

/// One who is signed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    /// In which cooperative.
    pub coop: CoopId,
    /// Who.
    pub login: Login,
    /// What every form of this session carries.
    pub form_token: String,
    /// The user's edition at sign-in; another one ends the session.
    pub edition: u32,
    began: DateTime<Utc>,
    seen: DateTime<Utc>,
}

/// Everybody who is signed in.
#[derive(Debug, Default)]
pub struct Sessions(BTreeMap<[u8; 32], Session>);

/// The machine has no chance to give.
#[derive(Clone, Copy, Debug, thiserror::Error)]
#[error("the machine gives no random numbers")]
pub struct NoChance;

/// A fresh token.
///
/// # Errors
/// When the machine gives no random numbers.
pub fn token() -> Result<String, NoChance> {
    let mut bytes = [0; TOKEN_BYTES];
    getrandom::fill(&mut bytes).map_err(|_| NoChance)?;
    Ok(URL_SAFE_NO_PAD.encode(bytes))
}

/// Whether two tokens are the same, in a time that does not tell where they differ.
#[must_use]
pub fn same(a: &str, b: &str) -> bool {
    !a.is_empty() && bool::from(Sha256::digest(a).ct_eq(&Sha256::digest(b)))
}

impl Sessions {
    /// Signs in: the token for the cookie. A session that the browser came with ends, so that nobody can plant one.
    ///
    /// # Errors
    /// When the machine gives no random numbers.
    pub fn begin(
        &mut self,
        (coop, login, edition): (CoopId, Login, u32),
        came_with: Option<&str>,
        now: DateTime<Utc>,
    ) -> Result<String, NoChance> {
        if let Some(old) = came_with {
            self.end(old);
        }
        self.0.retain(|_, session| session.lives(now));
        while self.0.len() >= SESSIONS_MAX {
            let oldest = self.0.iter().min_by_key(|(_, session)| session.seen);
            let Some(oldest) = oldest.map(|(key, _)| *key) else {
                break;
            };
            self.0.remove(&oldest);
        }
        let fresh = token()?;
        self.0.insert(
            digest(&fresh),
            Session {
                coop,
                login,
                form_token: token()?,
                edition,
                began: now,
                seen: now,
            },
        );
        Ok(fresh)
    }

    /// The session of a token, without its being used.
    #[must_use]
    pub fn looked_at(&self, token: &str, now: DateTime<Utc>) -> Option<Session> {
        let session = self.0.get(&digest(token))?;
        session.lives(now).then(|| session.clone())
    }

    /// The session of a token, which is used now.
    pub fn used(&mut self, token: &str, now: DateTime<Utc>) -> Option<Session> {
        let key = digest(token);
        let session = self.0.get_mut(&key)?;
        if !session.lives(now) {
            self.0.remove(&key);
            return None;
        }
        session.seen = now;
        Some(session.clone())
    }

    /// Signs out.
    pub fn end(&mut self, token: &str) {
        self.0.remove(&digest(token));
    }
}

impl Session {
    fn lives(&self, now: DateTime<Utc>) -> bool {
        now - self.seen < IDLE && now - self.began < LONGEST
    }
}

fn digest(token: &str) -> [u8; 32] {
    Sha256::digest(token).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn who() -> (CoopId, Login, u32) {
        (CoopId(1), Login::new("amina").unwrap(), 1)
    }

    #[test]
    fn a_session_ends_by_idling_by_age_and_by_signing_in_again() {
        let start: DateTime<Utc> = "2026-03-10T05:00:00Z".parse().unwrap();
        let mut sessions = Sessions::default();
        let first = sessions.begin(who(), None, start).unwrap();
        assert_eq!(first.len(), 43, "256 bits in base 64");
        assert!(
            sessions
                .used(&first, start + IDLE - Duration::seconds(1))
                .is_some()
        );
        assert!(sessions.used(&first, start + IDLE * 2).is_none());
        let mut now = start;
        let second = sessions.begin(who(), None, start).unwrap();
        while now - start < LONGEST - IDLE {
            now += IDLE / 2;
            assert!(sessions.used(&second, now).is_some());
        }
        assert!(sessions.used(&second, start + LONGEST).is_none());
        let third = sessions.begin(who(), None, now).unwrap();
        let fourth = sessions.begin(who(), Some(&third), now).unwrap();
        assert!(
            sessions.used(&third, now).is_none(),
            "a planted session does not live on"
        );
        assert!(sessions.used(&fourth, now).is_some());
        assert!(sessions.used("", now).is_none());
    }
}
