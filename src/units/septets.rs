//! The GSM 7-bit alphabet (3GPP TS 23.038): which characters fit, how many septets a text takes, whether it fits one part.
//!
//! This room counts; packing, national tables and splitting into parts belong to the links.

/// The default alphabet by septet value; 0x1B (escape) is no character.
pub const DEFAULT: [char; 128] = [
    '@', '£', '$', '¥', 'è', 'é', 'ù', 'ì', 'ò', 'Ç', '\n', 'Ø', 'ø', '\r', 'Å', 'å', 'Δ', '_',
    'Φ', 'Γ', 'Λ', 'Ω', 'Π', 'Ψ', 'Σ', 'Θ', 'Ξ', '\u{1b}', 'Æ', 'æ', 'ß', 'É', ' ', '!', '"', '#',
    '¤', '%', '&', '\'', '(', ')', '*', '+', ',', '-', '.', '/', '0', '1', '2', '3', '4', '5', '6',
    '7', '8', '9', ':', ';', '<', '=', '>', '?', '¡', 'A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'I',
    'J', 'K', 'L', 'M', 'N', 'O', 'P', 'Q', 'R', 'S', 'T', 'U', 'V', 'W', 'X', 'Y', 'Z', 'Ä', 'Ö',
    'Ñ', 'Ü', '§', '¿', 'a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j', 'k', 'l', 'm', 'n', 'o',
    'p', 'q', 'r', 's', 't', 'u', 'v', 'w', 'x', 'y', 'z', 'ä', 'ö', 'ñ', 'ü', 'à',
];

/// The extension alphabet: the septet after the escape, and its character. Each costs two septets.
pub const EXTENSION: [(u8, char); 10] = [
    (0x0A, '\u{c}'),
    (0x14, '^'),
    (0x28, '{'),
    (0x29, '}'),
    (0x2F, '\\'),
    (0x3C, '['),
    (0x3D, '~'),
    (0x3E, ']'),
    (0x40, '|'),
    (0x65, '€'),
];

/// Septets that one part carries (140 octets; 3GPP TS 23.040).
pub const PART_SEPTETS: usize = 160;
/// UCS-2 code units that one part carries.
pub const PART_UCS2: usize = 70;

/// Septets that `character` takes: 1, 2 for the extension alphabet, `None` where GSM-7 does not have it.
#[must_use]
pub fn septets_of(character: char) -> Option<usize> {
    // Nearly every character of nearly every text; the tables need no search for these.
    if character.is_ascii_alphanumeric() || matches!(character, ' '..='#' | '%'..='?' | '\n') {
        return Some(1);
    }
    if character != '\u{1b}' && DEFAULT.contains(&character) {
        Some(1)
    } else {
        EXTENSION.iter().any(|(_, c)| *c == character).then_some(2)
    }
}

/// Septets of a whole text; `None` where a character forces UCS-2.
#[must_use]
pub fn septets(text: &str) -> Option<usize> {
    text.chars().map(septets_of).sum()
}

/// Whether `text` goes out as one part: 160 septets, or 70 UCS-2 units.
#[must_use]
pub fn fits_one_part(text: &str) -> bool {
    septets(text).map_or_else(
        || text.encode_utf16().count() <= PART_UCS2,
        |n| n <= PART_SEPTETS,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counts from the telecom facts: 3GPP TS 23.038 tables, cross-checked by four public codecs.
    #[test]
    fn counts_agree_with_the_standard() {
        assert_eq!(septets("[abc]"), Some(7));
        assert_eq!(septets("a[]{}€"), Some(11));
        assert_eq!(septets("{åΦΓΛΩΠΨΣΘ€}"), Some(15));
        for outside in "çêâîôûëïœ`ŋ".chars() {
            assert_eq!(septets_of(outside), None, "{outside}");
        }
        assert!(fits_one_part(&"€".repeat(80)) && !fits_one_part(&"€".repeat(81)));
        assert!(fits_one_part(&"ሀ".repeat(70)) && !fits_one_part(&"ሀ".repeat(71)));
        assert_eq!(DEFAULT.iter().position(|c| *c == 'à'), Some(0x7F));
        for known in DEFAULT.iter().filter(|c| **c != '\u{1b}') {
            assert_eq!(septets_of(*known), Some(1), "{known:?}");
        }
        for plain in (0..128_u8)
            .map(char::from)
            .filter(|c| septets_of(*c) == Some(1))
        {
            assert!(DEFAULT.contains(&plain), "{plain:?}");
        }
    }
}
