//! Passwords: argon2id hashes as PHC strings, and how one is checked.
//!
//! One check at a time: a flood of attempts costs time, never memory. This room does not know whose password it is.

use argon2::password_hash::rand_core::OsRng;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use argon2::{Algorithm, Argon2, Params, Version};
use std::sync::{Mutex, PoisonError};

/// Letters of a password at the least (NIST SP 800-63B, section 5.1.1.2, asks for eight; ten for what guards people's records).
pub const PASSWORD_MIN: usize = 10;
/// Bytes at the most: more is no safer and costs time to hash.
pub const PASSWORD_MAX: usize = 256;
/// Memory in KiB, rounds, lanes: the second choice of RFC 9106, section 4, made smaller for a 512 MB machine as OWASP's sheet lists it
/// (19 MiB, 2 rounds, 1 lane; from memory).
const COST: (u32, u32, u32) = (19_456, 2, 1);

/// Why a password is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PasswordError {
    /// Too short or too long.
    #[error(
        "expected a password of {PASSWORD_MIN} letters or more, such as four words that do not belong together"
    )]
    Length,
    /// The machine could not hash it.
    #[error("the password could not be hashed; try again")]
    Hash,
}

/// One check at a time.
static TURN: Mutex<()> = Mutex::new(());

fn argon() -> Option<Argon2<'static>> {
    let (memory, rounds, lanes) = COST;
    let params = Params::new(memory, rounds, lanes, None).ok()?;
    Some(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
}

/// The hash of a new password.
///
/// # Errors
/// When it is too short or too long.
pub fn hash(password: &str) -> Result<String, PasswordError> {
    if password.chars().count() < PASSWORD_MIN || password.len() > PASSWORD_MAX {
        return Err(PasswordError::Length);
    }
    let salt = SaltString::generate(&mut OsRng);
    let hashed = argon().and_then(|argon| {
        let hash = argon.hash_password(password.as_bytes(), &salt).ok()?;
        Some(hash.to_string())
    });
    hashed.ok_or(PasswordError::Hash)
}

/// Whether the password is the one of that hash. An empty hash costs as much time as a real one and fits nothing.
#[must_use]
pub fn fits(password: &str, hash: &str) -> bool {
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    if password.len() > PASSWORD_MAX {
        return false;
    }
    match (argon(), PasswordHash::new(hash)) {
        (Some(argon), Ok(known)) => argon.verify_password(password.as_bytes(), &known).is_ok(),
        (Some(argon), Err(_)) => {
            // Whoever tries names learns nothing from the time it takes.
            let mut out = [0; 32];
            argon
                .hash_password_into(password.as_bytes(), b"nobody's salt", &mut out)
                .ok();
            false
        }
        (None, _) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_password_itself_fits() {
        let hash = hash("maji-moto-kisima").unwrap();
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        assert!(fits("maji-moto-kisima", &hash));
        assert!(!fits("maji-moto-kisimA", &hash));
        assert!(!fits("", &hash));
        assert!(!fits("anything", ""));
        assert_eq!(super::hash("short"), Err(PasswordError::Length));
        assert_eq!(super::hash(&"x".repeat(257)), Err(PasswordError::Length));
    }
}
