//! Tokens by which programs read the record: made once and shown once, kept as a digest with the user who made them.
//!
//! A token's text names the cooperative and the user, so that it is found without a search; its secret has 256 random bits. A token does no more than
//! its user may at that moment. This room does not know what is read.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::desk::user::User;
use crate::domain::message::CoopId;
use crate::domain::user::{Login, TokenNo, UserEvent};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

/// What every token begins with, so that one that got into the wrong place is known for what it is.
const START: &str = "clutchline";
/// Between its parts: allowed in a bearer token (RFC 6750, section 2.1) and in no name.
const BETWEEN: char = '~';
const SECRET_BYTES: usize = 32;
/// A text longer than this is no token.
const TEXT_MAX: usize = 128;

/// The machine has no chance to give.
#[derive(Clone, Copy, Debug, thiserror::Error)]
#[error("the machine gives no random numbers")]
pub struct NoChance;

/// A program that showed a good token.
#[derive(Clone, Debug)]
pub struct Bearer {
    /// In which cooperative.
    pub coop: CoopId,
    /// Whose token.
    pub login: Login,
    /// Which of them.
    pub no: TokenNo,
    /// The user, with no more power and wards than the token has.
    pub user: User,
}

/// A fresh token's text, to be shown once, and the digest that is kept.
///
/// # Errors
/// When the machine gives no random numbers.
pub fn fresh(coop: CoopId, login: &Login) -> Result<(String, [u8; 32]), NoChance> {
    let mut bytes = [0; SECRET_BYTES];
    getrandom::fill(&mut bytes).map_err(|_| NoChance)?;
    let secret = URL_SAFE_NO_PAD.encode(bytes);
    let text = [START, &coop.0.to_string(), login.as_str(), &secret].join(&BETWEEN.to_string());
    let digest = digest(&text);
    Ok((text, digest))
}

fn digest(text: &str) -> [u8; 32] {
    Sha256::digest(text).into()
}

/// The cooperative and the user that a text names.
fn named(text: &str) -> Option<(CoopId, Login)> {
    let mut parts = text.split(BETWEEN);
    let (start, coop, login) = (parts.next()?, parts.next()?, parts.next()?);
    let whole = start == START && parts.next().is_some() && parts.next().is_none();
    let coop = coop.parse().ok().map(CoopId)?;
    whole.then_some((coop, Login::new(login)?))
}

impl Counter {
    /// Who shows that token; nobody where it was never made, was taken back, or its user may not come in any more. Its use is noted once a day.
    ///
    /// # Errors
    /// When the store fails.
    pub fn bearer(&self, text: &str) -> Result<Option<Bearer>, CounterError> {
        let Some((coop, login)) = Some(text).filter(|t| t.len() <= TEXT_MAX).and_then(named) else {
            return Ok(None);
        };
        let user = self.user(coop, &login)?;
        let shown = digest(text);
        // Every one is looked at, in a time that does not tell where a digest differs.
        let mut found = None;
        for kept in &user.tokens {
            if bool::from(kept.token.digest.ct_eq(&shown)) {
                found = Some(kept);
            }
        }
        let Some(kept) = found else {
            return Ok(None);
        };
        let bearer = Bearer {
            coop,
            login,
            no: kept.token.no,
            user: user.with_token(&kept.token),
        };
        if !bearer.user.open {
            return Ok(None);
        }
        let today = self.day_of(coop)?;
        if kept.used_on != Some(today) {
            let events = vec![UserEvent::TokenUsed(bearer.no, today)];
            // Taken back meanwhile: this request still came before that.
            self.change_user(coop, &bearer.login, events, None).ok();
        }
        Ok(Some(bearer))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_names_its_user_and_is_never_twice_the_same() {
        let login = Login::new("amina.k-1_x").unwrap();
        let (text, kept) = fresh(CoopId(7), &login).unwrap();
        let (other, _) = fresh(CoopId(7), &login).unwrap();
        assert_ne!(text, other);
        assert_eq!(named(&text), Some((CoopId(7), login)));
        assert_eq!(kept, digest(&text));
        let bearer = |c: char| c.is_ascii_alphanumeric() || "-._~+/".contains(c);
        assert!(text.chars().all(bearer), "RFC 6750, section 2.1: {text}");
        for wrong in [
            "",
            "clutchline~7~amina",
            "other~7~amina~x",
            "clutchline~x~amina~y",
            "clutchline~7~amina~x~y",
        ] {
            assert_eq!(named(wrong), None, "{wrong}");
        }
    }
}
