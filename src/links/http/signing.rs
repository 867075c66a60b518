//! Signatures over a body: HMAC-SHA256 (RFC 2104) in a header of any name, and Standard Webhooks.
//!
//! Both ways: made for what we post, checked for what is posted to us, in a time that does not depend on where two signatures differ. The moment is
//! an argument. Secrets are never shown: these types have no `Debug`.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, Utc};
use hmac::{Hmac, Mac};
use sha2::Sha256;
use subtle::ConstantTimeEq;

/// Headers of Standard Webhooks.
pub const WEBHOOK_ID: &str = "webhook-id";
/// See [`WEBHOOK_ID`].
pub const WEBHOOK_TIMESTAMP: &str = "webhook-timestamp";
/// See [`WEBHOOK_ID`].
pub const WEBHOOK_SIGNATURE: &str = "webhook-signature";
/// A signature older than this may be somebody's copy (five minutes: the Standard Webhooks specification).
pub const TOLERANCE_S: u32 = 300;
/// Signatures of one header that are looked at: a sender that changes its key sends two.
const SIGNATURES_MOST: usize = 8;
/// Bytes of a webhook's id: it may become a stored key.
const ID_BYTES_MOST: usize = 128;

/// Why a signature does not hold. What is told outside does not say which.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SignatureFault {
    /// A header that it needs is not there or does not read.
    #[error("a header of the signature is missing")]
    Missing,
    /// Too old, or from the future.
    #[error("the signature's time is not now")]
    Stale,
    /// Another secret or another body.
    #[error("the signature is of another body or secret")]
    Wrong,
}

/// How a signature's bytes are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// Hexadecimal, either case.
    Hex,
    /// Base64 with padding (RFC 4648, section 4).
    Base64,
}

/// A signature in one header, over the body or over `TIMESTAMP.BODY`.
#[derive(Clone)]
pub struct Signing {
    /// The shared secret, as bytes.
    pub key: Vec<u8>,
    /// The header of the signature.
    pub header: String,
    /// How it is written there.
    pub encoding: Encoding,
    /// What stands before it, such as `sha256=`.
    pub prefix: String,
    /// The header of the Unix time that is signed too; empty: only the body is.
    pub time_header: String,
    /// Seconds that this time may be off.
    pub tolerance_s: u32,
}

/// A body signed as Standard Webhooks says.
#[derive(Clone)]
pub struct StandardWebhooks {
    keys: Vec<Vec<u8>>,
    tolerance_s: u32,
}

fn mac(key: &[u8], parts: &[&[u8]]) -> [u8; 32] {
    let mut mac =
        Hmac::<Sha256>::new_from_slice(key).expect("HMAC takes a key of any length (RFC 2104)");
    for part in parts {
        mac.update(part);
    }
    mac.finalize().into_bytes().into()
}

fn is_now(stamp: &str, tolerance_s: u32, now: DateTime<Utc>) -> Result<(), SignatureFault> {
    let digits =
        !stamp.is_empty() && stamp.len() <= 12 && stamp.bytes().all(|b| b.is_ascii_digit());
    let stamp: i64 = stamp
        .parse()
        .ok()
        .filter(|_| digits)
        .ok_or(SignatureFault::Missing)?;
    if (now.timestamp() - stamp).unsigned_abs() > u64::from(tolerance_s) {
        return Err(SignatureFault::Stale);
    }
    Ok(())
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Encoding {
    fn write(self, bytes: &[u8]) -> String {
        match self {
            Self::Hex => hex(bytes),
            Self::Base64 => STANDARD.encode(bytes),
        }
    }
}

impl Signing {
    fn signature(&self, stamp: &str, body: &[u8]) -> String {
        let sum = if self.time_header.is_empty() {
            mac(&self.key, &[body])
        } else {
            mac(&self.key, &[stamp.as_bytes(), b".", body])
        };
        self.encoding.write(&sum)
    }

    /// The headers of a body that leaves at `now`.
    #[must_use]
    pub fn sign(&self, body: &[u8], now: DateTime<Utc>) -> Vec<(String, String)> {
        let stamp = now.timestamp().to_string();
        let signature = format!("{}{}", self.prefix, self.signature(&stamp, body));
        let mut headers = vec![(self.header.clone(), signature)];
        if !self.time_header.is_empty() {
            headers.push((self.time_header.clone(), stamp));
        }
        headers
    }

    /// Whether a body that came at `now` is the sender's; `header` gives a header's value.
    ///
    /// # Errors
    /// Why it is not.
    pub fn verify<'h>(
        &self,
        header: impl Fn(&str) -> Option<&'h str>,
        body: &[u8],
        now: DateTime<Utc>,
    ) -> Result<(), SignatureFault> {
        let given = header(&self.header).ok_or(SignatureFault::Missing)?;
        let given = given
            .trim()
            .strip_prefix(self.prefix.as_str())
            .ok_or(SignatureFault::Missing)?;
        let stamp = if self.time_header.is_empty() {
            ""
        } else {
            let stamp = header(&self.time_header).ok_or(SignatureFault::Missing)?;
            is_now(stamp.trim(), self.tolerance_s, now)?;
            stamp.trim()
        };
        let given = match self.encoding {
            Encoding::Hex => given.to_ascii_lowercase(),
            Encoding::Base64 => given.to_owned(),
        };
        let right = self.signature(stamp, body);
        if bool::from(given.as_bytes().ct_eq(right.as_bytes())) {
            Ok(())
        } else {
            Err(SignatureFault::Wrong)
        }
    }
}

impl StandardWebhooks {
    /// From one secret or several with spaces between, each `whsec_` and base64; the first signs, each opens.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(secrets: &str) -> Result<Self, String> {
        let keys: Option<Vec<Vec<u8>>> = secrets
            .split_whitespace()
            .map(|secret| {
                let key = STANDARD.decode(secret.strip_prefix("whsec_")?).ok()?;
                // The specification asks for 24 to 64 bytes.
                (24..=64).contains(&key.len()).then_some(key)
            })
            .collect();
        match keys {
            Some(keys) if !keys.is_empty() => Ok(Self {
                keys,
                tolerance_s: TOLERANCE_S,
            }),
            _ => Err("expected whsec_ and the base64 of 24 to 64 bytes".to_owned()),
        }
    }

    fn signature(key: &[u8], id: &str, stamp: &str, body: &[u8]) -> String {
        let sum = mac(key, &[id.as_bytes(), b".", stamp.as_bytes(), b".", body]);
        format!("v1,{}", STANDARD.encode(sum))
    }

    /// The headers of a body with our `id` that leaves at `now`.
    #[must_use]
    pub fn sign(&self, id: &str, body: &[u8], now: DateTime<Utc>) -> Vec<(String, String)> {
        let stamp = now.timestamp().to_string();
        let key = self.keys.first().map(Vec::as_slice).unwrap_or_default();
        let signature = Self::signature(key, id, &stamp, body);
        vec![
            (WEBHOOK_ID.to_owned(), id.to_owned()),
            (WEBHOOK_TIMESTAMP.to_owned(), stamp),
            (WEBHOOK_SIGNATURE.to_owned(), signature),
        ]
    }

    /// The id of a body that came at `now`, where it is the sender's: the same id again is the same message.
    ///
    /// # Errors
    /// Why it is not.
    pub fn verify<'h>(
        &self,
        header: impl Fn(&str) -> Option<&'h str>,
        body: &[u8],
        now: DateTime<Utc>,
    ) -> Result<String, SignatureFault> {
        let needed = |name| header(name).map(str::trim).ok_or(SignatureFault::Missing);
        let id = needed(WEBHOOK_ID)?;
        if id.is_empty() || id.len() > ID_BYTES_MOST {
            return Err(SignatureFault::Missing);
        }
        let stamp = needed(WEBHOOK_TIMESTAMP)?;
        is_now(stamp, self.tolerance_s, now)?;
        let mut opens = false;
        for given in needed(WEBHOOK_SIGNATURE)?
            .split_whitespace()
            .take(SIGNATURES_MOST)
        {
            for key in &self.keys {
                let right = Self::signature(key, id, stamp, body);
                opens |= bool::from(given.as_bytes().ct_eq(right.as_bytes()));
            }
        }
        if opens {
            Ok(id.to_owned())
        } else {
            Err(SignatureFault::Wrong)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(second, 0).unwrap()
    }

    fn find<'h>(headers: &'h [(String, String)]) -> impl Fn(&str) -> Option<&'h str> {
        |name| {
            let found = headers.iter().find(|(given, _)| given == name);
            found.map(|(_, value)| value.as_str())
        }
    }

    #[test]
    fn the_published_webhook_is_signed_and_opened_and_nothing_near_it_is() {
        // The worked example of the Standard Webhooks reference libraries (their secret, id, time, body and signature).
        let hooks = StandardWebhooks::new("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").unwrap();
        let (id, body) = ("msg_p5jXN8AQM9LWM0D4loKWxJek", br#"{"test": 2432232314}"#);
        let signed = hooks.sign(id, body, at(1_614_265_330));
        let right = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=";
        assert_eq!(signed[2].1, right);
        let verify = |headers: &[(String, String)], body: &[u8], now| {
            hooks.verify(find(headers), body, at(now))
        };
        assert_eq!(verify(&signed, body, 1_614_265_330), Ok(id.to_owned()));
        assert_eq!(verify(&signed, body, 1_614_265_630), Ok(id.to_owned()));
        for off in [1_614_265_631, 1_614_265_029] {
            assert_eq!(verify(&signed, body, off), Err(SignatureFault::Stale));
        }
        let other = br#"{"test": 2432232315}"#;
        let wrong = Err(SignatureFault::Wrong);
        assert_eq!(verify(&signed, other, 1_614_265_330), wrong);
        let mut changed = signed.clone();
        changed[0].1 = "msg_other".to_owned();
        assert_eq!(verify(&changed, body, 1_614_265_330), wrong);
        // A sender that changes its key sends both signatures.
        let mut both = signed.clone();
        both[2].1 = format!("v1,AAAA v2,x {right}");
        assert!(verify(&both, body, 1_614_265_330).is_ok());
        assert_eq!(
            verify(&signed[..2], body, 1_614_265_330),
            Err(SignatureFault::Missing)
        );
        let rotated = StandardWebhooks::new(
            "whsec_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
        )
        .unwrap();
        assert!(
            rotated
                .verify(find(&signed), body, at(1_614_265_330))
                .is_ok()
        );
        for bad in [
            "",
            "whsec_",
            "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
            "whsec_AAAA",
        ] {
            assert!(StandardWebhooks::new(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn the_sum_is_the_standard_one() {
        // RFC 4231, test case 2.
        let signing = Signing {
            key: b"Jefe".to_vec(),
            header: "x-sum".to_owned(),
            encoding: Encoding::Hex,
            prefix: "sha256=".to_owned(),
            time_header: String::new(),
            tolerance_s: TOLERANCE_S,
        };
        let body = b"what do ya want for nothing?";
        let sum = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843";
        let mut signed = signing.sign(body, at(0));
        assert_eq!(signed[0].1, format!("sha256={sum}"));
        assert_eq!(signing.verify(find(&signed), body, at(9)), Ok(()));
        signed[0].1 = format!("sha256={}", sum.to_uppercase());
        assert_eq!(signing.verify(find(&signed), body, at(9)), Ok(()));
        signed[0].1 = sum.to_owned();
        let missing = Err(SignatureFault::Missing);
        assert_eq!(signing.verify(find(&signed), body, at(9)), missing);
        let stamped = Signing {
            encoding: Encoding::Base64,
            time_header: "x-time".to_owned(),
            prefix: String::new(),
            ..signing
        };
        let mut signed = stamped.sign(body, at(1_000));
        assert_eq!(stamped.verify(find(&signed), body, at(1_300)), Ok(()));
        let stale = Err(SignatureFault::Stale);
        assert_eq!(stamped.verify(find(&signed), body, at(1_301)), stale);
        signed[1].1 = "1001".to_owned();
        let wrong = Err(SignatureFault::Wrong);
        assert_eq!(stamped.verify(find(&signed), body, at(1_300)), wrong);
        signed[1].1 = "-1".to_owned();
        assert_eq!(stamped.verify(find(&signed), body, at(0)), missing);
    }
}
