//! JSON in which half of a surrogate pair stands alone: what a network writes that cut an emoji between two messages.
//!
//! RFC 8259 section 8.2 leaves open what a reader does with it. Refused, the weight beside the emoji would be refused too, and again each time it comes.
//! Pure; does not read JSON, only its `\u` escapes.

use std::borrow::Cow;

/// U+FFFD, as an escape.
const UNKNOWN: &[u8] = b"\\ufffd";

/// The body with U+FFFD for each lone half of a pair. Borrowed where there is none.
#[must_use]
pub fn mended(body: &[u8]) -> Cow<'_, [u8]> {
    let mut out = Vec::new();
    let mut kept = 0;
    let mut at = 0;
    while let Some(rest) = body.get(at..).filter(|rest| !rest.is_empty()) {
        at += match (unit(rest), rest) {
            (Some(0xD800..=0xDBFF), [_, _, _, _, _, _, low @ ..])
                if matches!(unit(low), Some(0xDC00..=0xDFFF)) =>
            {
                12
            }
            (Some(0xD800..=0xDFFF), _) => {
                out.extend_from_slice(body.get(kept..at).unwrap_or_default());
                out.extend_from_slice(UNKNOWN);
                kept = at + 6;
                6
            }
            // Of an escaped backslash, the second is no beginning.
            (None, [b'\\', _, ..]) => 2,
            _ => 1,
        };
    }
    if kept == 0 {
        return Cow::Borrowed(body);
    }
    out.extend_from_slice(body.get(kept..).unwrap_or_default());
    Cow::Owned(out)
}

/// The unit of an escape such as `\u00e9` at the start.
fn unit(text: &[u8]) -> Option<u16> {
    let [b'\\', b'u', digits @ ..] = text else {
        return None;
    };
    let digits = digits.get(..4)?;
    let hex = digits.iter().all(u8::is_ascii_hexdigit);
    let digits = std::str::from_utf8(digits).ok().filter(|_| hex)?;
    u16::from_str_radix(digits, 16).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn only_lone_halves_are_mended() {
        for (body, expected) in [
            (r#"{"a":"12.5 \ud83d"}"#, r#"{"a":"12.5 \ufffd"}"#),
            (r#"{"a":"\ude00 12"}"#, r#"{"a":"\ufffd 12"}"#),
            (r#"\uD83D\uDE00"#, r#"\uD83D\uDE00"#),
            (r#"\ud83d\ud83d\ude00"#, r#"\ufffd\ud83d\ude00"#),
            (r#"\\ud83d"#, r#"\\ud83d"#),
            (r#"\\\ud83d"#, r#"\\\ufffd"#),
            (r#"\u00e9\u12"#, r#"\u00e9\u12"#),
            (r#"\ud83d\u+123"#, r#"\ufffd\u+123"#),
        ] {
            assert_eq!(mended(body.as_bytes()), expected.as_bytes(), "{body}");
        }
    }

    proptest! {
        #[test]
        fn what_json_can_say_stays_and_nothing_panics(text in any::<String>(), raw in prop::collection::vec(any::<u8>(), 0..60)) {
            let whole = serde_json::Value::from(text).to_string();
            prop_assert_eq!(mended(whole.as_bytes()), whole.as_bytes());
            let once = mended(&raw).into_owned();
            prop_assert_eq!(&*mended(&once), &once[..]);
        }
    }
}
