//! A value and its bytes: one version byte, a checksum, then the value in a compact binary form.
//!
//! The checksum covers the shelf and the key too, so that a record that lies in the wrong place is found. This room does not know what is kept.

use crate::store::keys::Shelf;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// The form of a shelf's records written today. Bumped when a kept shape changes.
///
/// Messages and what happened are only ever added to at their ends, so theirs stays. Form 2 of an event's record holds all of its step
/// ([`crate::store::events`]); form 1 is read too. States are snapshots of events: one of an older form is made again from them when the store is
/// opened. Form 2 of a state knows what the sums have learned of each run, form 3 the tokens of users and what a new keeper
/// was told, form 4 a member's PIN.
#[must_use]
pub const fn form(shelf: Shelf) -> u8 {
    match shelf {
        Shelf::States => 4,
        Shelf::Events => 2,
        _ => 1,
    }
}

/// Version byte and CRC-32 (IEEE 802.3).
const HEAD: usize = 5;

/// Why bytes are not a record.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CodecError {
    /// Fewer bytes than a version and a checksum need.
    #[error("a record of {0} bytes is too short to be one")]
    Short(usize),
    /// Written by a newer program.
    #[error(
        "a record has form {0}, which this program does not know: it was written by a newer one"
    )]
    Version(u8),
    /// Written by an older program, and its shape has changed since.
    #[error("a record has form {0}, which is older than this program's")]
    Older(u8),
    /// The bytes changed since they were written, or lie under another key.
    #[error("a record's checksum does not match its bytes")]
    Checksum,
    /// The checksum is right but the value does not read.
    #[error("a record does not read: {0}")]
    Shape(String),
}

fn checksum(shelf: Shelf, key: &[u8], version: u8, payload: &[u8]) -> u32 {
    let mut crc = crc32fast::Hasher::new();
    crc.update(&[shelf.tag(), version]);
    crc.update(key);
    crc.update(payload);
    crc.finalize()
}

/// The bytes of `value` for this place.
pub fn seal<T: Serialize>(shelf: Shelf, key: &[u8], value: &T) -> Result<Vec<u8>, CodecError> {
    seal_as(form(shelf), shelf, key, value)
}

/// The bytes of `value` in a form by its number.
pub(crate) fn seal_as<T: Serialize>(
    form: u8,
    shelf: Shelf,
    key: &[u8],
    value: &T,
) -> Result<Vec<u8>, CodecError> {
    let head = vec![0_u8; HEAD];
    let mut bytes =
        postcard::to_extend(value, head).map_err(|e| CodecError::Shape(e.to_string()))?;
    let (head, payload) = bytes.split_at_mut(HEAD);
    let sum = checksum(shelf, key, form, payload).to_le_bytes();
    head.copy_from_slice(&[form, sum[0], sum[1], sum[2], sum[3]]);
    Ok(bytes)
}

/// The value at this place.
pub fn unseal<T: DeserializeOwned>(
    shelf: Shelf,
    key: &[u8],
    bytes: &[u8],
) -> Result<T, CodecError> {
    let (version, payload) = opened(shelf, key, bytes)?;
    if version < form(shelf) {
        return Err(CodecError::Older(version));
    }
    let (value, rest) =
        postcard::take_from_bytes(payload).map_err(|e| CodecError::Shape(e.to_string()))?;
    if rest.is_empty() {
        Ok(value)
    } else {
        Err(CodecError::Shape(format!("{} bytes too many", rest.len())))
    }
}

/// The first fields of a value of any form, where those have not changed.
pub(crate) fn head<T: DeserializeOwned>(
    shelf: Shelf,
    key: &[u8],
    bytes: &[u8],
) -> Result<T, CodecError> {
    let (_, payload) = opened(shelf, key, bytes)?;
    let read = postcard::take_from_bytes(payload);
    read.map(|(value, _)| value)
        .map_err(|e| CodecError::Shape(e.to_string()))
}

/// A record's form and payload, where both are what was written.
fn opened<'b>(shelf: Shelf, key: &[u8], bytes: &'b [u8]) -> Result<(u8, &'b [u8]), CodecError> {
    let Some((&[version, a, b, c, d], payload)) = bytes.split_first_chunk::<HEAD>() else {
        return Err(CodecError::Short(bytes.len()));
    };
    if version == 0 || version > form(shelf) {
        return Err(CodecError::Version(version));
    }
    if checksum(shelf, key, version, payload) != u32::from_le_bytes([a, b, c, d]) {
        return Err(CodecError::Checksum);
    }
    Ok((version, payload))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_changed_bit_and_any_other_place_is_found() {
        let sealed = seal(Shelf::Events, b"here", &("C4 12.5", 7_u32)).unwrap();
        assert_eq!(
            unseal::<(String, u32)>(Shelf::Events, b"here", &sealed).unwrap(),
            ("C4 12.5".to_owned(), 7)
        );
        for bit in 0..sealed.len() * 8 {
            let mut hurt = sealed.clone();
            hurt[bit / 8] ^= 1 << (bit % 8);
            assert!(unseal::<(String, u32)>(Shelf::Events, b"here", &hurt).is_err());
        }
        for cut in 0..sealed.len() {
            assert!(unseal::<(String, u32)>(Shelf::Events, b"here", &sealed[..cut]).is_err());
        }
        assert_eq!(
            unseal::<(String, u32)>(Shelf::Events, b"hers", &sealed),
            Err(CodecError::Checksum)
        );
        assert_eq!(
            unseal::<(String, u32)>(Shelf::States, b"here", &sealed),
            Err(CodecError::Checksum)
        );
    }

    #[test]
    fn the_checksum_is_the_published_one() {
        // CRC-32/ISO-HDLC check value for the nine digits, from memory of Williams' "Rocksoft" catalogue form.
        assert_eq!(crc32fast::hash(b"123456789"), 0xCBF4_3926);
    }
}
