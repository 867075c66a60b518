//! A PIN's salted digest.
//!
//! Pure: the salt is made of what is different for every setting of a PIN, for a salt needs to be different and not secret (RFC 9106, section
//! 3.1); so a replay needs no chance. Four digits have ten thousand values: no digest keeps those from somebody who has the folder for
//! an hour. This one keeps the digits from a glance, and makes each guess cost.

use crate::domain::message::MessageNo;
use crate::domain::pin::{Pin, PinHash};
use argon2::{Algorithm, Argon2, Params, Version};
use chrono::{DateTime, Utc};
use sha2::{Digest, Sha256};

/// Memory in KiB and passes. Below what passwords have (RFC 9106 names 64 MiB and three passes): it runs where every message waits, and
/// the tries are counted.
const COST: (u32, u32) = (8 * 1024, 2);
/// Bytes of salt, as RFC 9106 advises.
const SALT: usize = 16;
/// Bytes of digest.
const DIGEST: usize = 32;

/// A new PIN's.
pub(super) fn of(pin: &Pin, whose: &str, message: MessageNo, now: DateTime<Utc>) -> PinHash {
    let parts = format!("{whose}\n{}\n{}", message.0, now.timestamp_micros());
    let salt: Vec<u8> = Sha256::digest(parts.as_bytes())
        .into_iter()
        .take(SALT)
        .collect();
    PinHash {
        digest: argon(pin, &salt),
        salt,
    }
}

/// Whether it is that one.
pub(super) fn is(hash: &PinHash, pin: &Pin) -> bool {
    let digest = argon(pin, &hash.salt);
    // Every byte is looked at: how long it takes tells nothing.
    let differs = digest
        .iter()
        .zip(&hash.digest)
        .fold(0, |all, (a, b)| all | (a ^ b));
    digest.len() == DIGEST && hash.digest.len() == DIGEST && differs == 0
}

fn argon(pin: &Pin, salt: &[u8]) -> Vec<u8> {
    let (memory, passes) = COST;
    let params = Params::new(memory, passes, 1, Some(DIGEST))
        .expect("a test hashes with these parameters, which are constants");
    let mut digest = vec![0; DIGEST];
    let argon = Argon2::new(Algorithm::Argon2id, Version::V0x13, params);
    match argon.hash_password_into(pin.digits().as_bytes(), salt, &mut digest) {
        Ok(()) => digest,
        // A damaged salt: nothing is equal to nothing of its length.
        Err(_) => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_right_pin_and_no_other_fits_and_two_settings_differ() {
        let at = DateTime::UNIX_EPOCH;
        let pin = |digits| Pin::new(digits).unwrap();
        let one = of(&pin("4711"), "Ziwani 1001", MessageNo(7), at);
        let two = of(&pin("4711"), "Ziwani 1001", MessageNo(8), at);
        assert!(is(&one, &pin("4711")));
        assert!(!is(&one, &pin("4712")));
        assert!(!is(&one, &pin("04711")));
        assert_ne!(one, two);
        let damaged = PinHash {
            salt: Vec::new(),
            digest: Vec::new(),
        };
        assert!(!is(&damaged, &pin("4711")));
    }
}
