//! UCS-2 on the wire: 16-bit units, most significant octet first, with the surrogate pairs that phones send all the same.
//!
//! Does not know parts or messages.

use serde::Deserialize;
use serde::Serialize;

/// Which octet of a unit comes first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OctetOrder {
    /// Most significant first, as 3GPP TS 23.038 and SMPP say.
    #[default]
    Big,
    /// Least significant first, which some message centres send.
    Little,
}

/// Text as units in network order.
#[must_use]
pub fn encode(text: &str) -> Vec<u8> {
    text.encode_utf16().flat_map(u16::to_be_bytes).collect()
}

/// Octets as units. A byte order mark at the start decides over `order` and is taken off; a last odd octet is left out.
#[must_use]
pub fn units(octets: &[u8], order: OctetOrder) -> Vec<u16> {
    let (order, body) = match octets {
        [0xFE, 0xFF, body @ ..] => (OctetOrder::Big, body),
        [0xFF, 0xFE, body @ ..] => (OctetOrder::Little, body),
        body => (order, body),
    };
    let (pairs, _) = body.as_chunks::<2>();
    pairs
        .iter()
        .map(|pair| match order {
            OctetOrder::Big => u16::from_be_bytes(*pair),
            OctetOrder::Little => u16::from_le_bytes(*pair),
        })
        .collect()
}

/// Units as text; half a surrogate pair shows U+FFFD.
#[must_use]
pub fn text(units: &[u16]) -> String {
    String::from_utf16_lossy(units)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Unicode 15, section 3.9: U+1F600 is D83D DE00 in UTF-16.
    #[test]
    fn surrogates_and_byte_orders_are_read() {
        assert_eq!(encode("😀ሀ"), [0xD8, 0x3D, 0xDE, 0x00, 0x12, 0x00]);
        assert_eq!(
            text(&units(
                &[0xFF, 0xFE, 0x3D, 0xD8, 0x00, 0xDE],
                OctetOrder::Big
            )),
            "😀"
        );
        assert_eq!(text(&units(&[0x00, 0x12], OctetOrder::Little)), "ሀ");
        assert_eq!(
            text(&units(&[0xD8, 0x3D, 0x00], OctetOrder::Big)),
            "\u{FFFD}"
        );
    }
}
