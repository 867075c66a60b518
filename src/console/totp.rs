//! The second factor: time-based one-time passwords (RFC 6238 on RFC 4226), six digits, thirty seconds, SHA-1 as phone apps have it.
//!
//! A code counts once. This room does not know whose secret it is.

use hmac::{Hmac, Mac};
use sha1::Sha1;
use subtle::ConstantTimeEq;

/// Seconds of a step (RFC 6238, section 4.1, default).
const STEP_S: i64 = 30;
/// Steps before and after now that are taken: section 5.2 recommends one for the way.
const SLACK: i64 = 1;
/// Bytes of a new secret: RFC 4226, section 4, R6, recommends 160 bits.
pub const SECRET_BYTES: usize = 20;

/// RFC 4226, section 5.3: the truncated HMAC of a counter, to so many digits.
fn hotp(secret: &[u8], counter: u64, digits: u32) -> Option<u32> {
    let mut mac = <Hmac<Sha1> as Mac>::new_from_slice(secret).ok()?;
    mac.update(&counter.to_be_bytes());
    let hash = mac.finalize().into_bytes();
    let offset = usize::from(hash.last()? & 0x0f);
    let four = hash.get(offset..offset + 4)?.first_chunk::<4>()?;
    Some((u32::from_be_bytes(*four) & 0x7fff_ffff) % 10_u32.pow(digits))
}

/// The step of the code where it is right at that second and its step is later than the last one used.
#[must_use]
pub fn accept(secret: &[u8], code: &str, unix_s: i64, last_step: Option<i64>) -> Option<i64> {
    let code: String = code.chars().filter(|c| !c.is_whitespace()).collect();
    let now = unix_s.div_euclid(STEP_S);
    (now - SLACK..=now + SLACK).find(|step| {
        let right = u64::try_from(*step)
            .ok()
            .and_then(|counter| hotp(secret, counter, 6))
            .map(|value| format!("{value:06}"));
        let same = right.is_some_and(|right| bool::from(right.as_bytes().ct_eq(code.as_bytes())));
        same && last_step.is_none_or(|last| *step > last)
    })
}

/// A secret as phone apps take it: base 32 (RFC 4648, section 6) without padding.
#[must_use]
pub fn base32(secret: &[u8]) -> String {
    const LETTERS: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
    let mut out = String::new();
    let (mut bits, mut held) = (0_u32, 0_u32);
    for byte in secret {
        held = (held << 8) | u32::from(*byte);
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            let at = (held >> bits) & 31;
            out.extend(LETTERS.get(at as usize).map(|letter| char::from(*letter)));
        }
        held &= (1 << bits) - 1;
    }
    if bits > 0 {
        let at = (held << (5 - bits)) & 31;
        out.extend(LETTERS.get(at as usize).map(|letter| char::from(*letter)));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECRET: &[u8] = b"12345678901234567890";

    #[test]
    fn the_codes_are_those_of_rfc_6238_appendix_b() {
        // The SHA-1 rows of the table: seconds and eight digits.
        for (seconds, code) in [
            (59, 94_287_082),
            (1_111_111_109, 7_081_804),
            (1_111_111_111, 14_050_471),
            (1_234_567_890, 89_005_924),
            (2_000_000_000, 69_279_037),
            (20_000_000_000, 65_353_130),
        ] {
            let step = u64::try_from(seconds / STEP_S).unwrap();
            assert_eq!(hotp(SECRET, step, 8), Some(code), "{seconds}");
        }
    }

    #[test]
    fn the_codes_are_those_of_rfc_4226_appendix_d() {
        let codes = [
            755_224, 287_082, 359_152, 969_429, 338_314, 254_676, 287_922, 162_583, 399_871,
            520_489,
        ];
        for (counter, code) in codes.into_iter().enumerate() {
            assert_eq!(hotp(SECRET, counter as u64, 6), Some(code));
        }
    }

    #[test]
    fn a_code_counts_once_and_near_its_time() {
        assert_eq!(accept(SECRET, "287 082", 59, None), Some(1));
        assert_eq!(accept(SECRET, "287082", 59, Some(1)), None);
        assert_eq!(accept(SECRET, "287082", 89, None), Some(1));
        assert_eq!(accept(SECRET, "287082", 90, None), None);
        assert_eq!(accept(SECRET, "287083", 59, None), None);
    }

    #[test]
    fn secrets_are_shown_as_rfc_4648_writes_them() {
        // Section 10, without padding.
        for (bytes, text) in [
            ("", ""),
            ("f", "MY"),
            ("fo", "MZXQ"),
            ("foo", "MZXW6"),
            ("foob", "MZXW6YQ"),
            ("fooba", "MZXW6YTB"),
            ("foobar", "MZXW6YTBOI"),
        ] {
            assert_eq!(base32(bytes.as_bytes()), text);
        }
    }
}
