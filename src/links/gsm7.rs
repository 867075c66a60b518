//! The GSM 7-bit alphabet on the wire (3GPP TS 23.038): characters to septets, septets to octets, and back.
//!
//! Reads the national shift tables that phones may use; sends only the default and extension alphabets unless told
//! otherwise. Does not know messages, headers or parts.

pub mod fold;
pub mod locking;
pub mod packing;
pub mod single;

use crate::units::septets::DEFAULT;
use crate::units::septets::EXTENSION;

/// The septet that reads the next one in the extension or single shift table.
pub const ESCAPE: u8 = 0x1B;

/// Stands for a septet that a locking table leaves empty: no character was sent, and guessing one could change a figure.
pub const NO_CHARACTER: char = '\u{FFFD}';

/// The national tables in force for one text; 0 and 0 are the default and extension alphabets.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
)]
pub struct Shift {
    /// National language identifier of the locking shift table, 0 for the default alphabet.
    pub locking: u8,
    /// National language identifier of the single shift table, 0 for the extension alphabet.
    pub single: u8,
}

/// A character that the tables in force do not have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{character}' (character {position} of the text) is not in the GSM 7-bit alphabet; send the text as UCS-2"
)]
pub struct NotInAlphabet {
    /// The first such character.
    pub character: char,
    /// Its position, counted from 1 in characters.
    pub position: usize,
}

fn table(tables: &'static [(u8, [u16; 128])], id: u8) -> Option<&'static [u16; 128]> {
    tables
        .iter()
        .find(|(have, _)| *have == id)
        .map(|(_, table)| table)
}

/// Whether there is a locking shift table of this identifier (TS 23.038 clause 6.2.1.2.4); Spanish has none.
#[must_use]
pub fn has_locking(id: u8) -> bool {
    table(&locking::TABLES, id).is_some()
}

/// Whether there is a single shift table of this identifier.
#[must_use]
pub fn has_single(id: u8) -> bool {
    table(&single::TABLES, id).is_some()
}

/// The character of a septet in a locking table; an unknown identifier reads as the default alphabet, as the standard asks.
fn locked(id: u8, septet: u8) -> Option<char> {
    let position = usize::from(septet & 0x7F);
    if septet == ESCAPE {
        return None;
    }
    match table(&locking::TABLES, id) {
        Some(table) => table.get(position).and_then(|c| scalar(*c)),
        None => DEFAULT.get(position).copied(),
    }
}

/// The character after an escape; an unknown identifier reads as the extension alphabet.
fn shifted(id: u8, septet: u8) -> Option<char> {
    match table(&single::TABLES, id) {
        Some(table) => table
            .get(usize::from(septet & 0x7F))
            .and_then(|c| scalar(*c)),
        None => EXTENSION
            .iter()
            .find(|(code, _)| *code == septet)
            .map(|(_, c)| *c),
    }
}

fn scalar(code: u16) -> Option<char> {
    (code != 0)
        .then(|| char::from_u32(u32::from(code)))
        .flatten()
}

/// Reads septets, one in each octet, as text. Never fails: an escape before a septet that the single shift table does not
/// have shows the locking table's character; an escape at the end, or two in a row, shows a space
/// (TS 23.038 clauses 6.2.1.1 and 6.2.1.2.2); a position without a character shows [`NO_CHARACTER`].
#[must_use]
pub fn decode(septets: &[u8], shift: Shift) -> String {
    let mut text = String::with_capacity(septets.len());
    let mut rest = septets.iter().copied();
    while let Some(septet) = rest.next() {
        if septet != ESCAPE {
            text.push(locked(shift.locking, septet).unwrap_or(NO_CHARACTER));
            continue;
        }
        match rest.next() {
            None | Some(ESCAPE) => text.push(' '),
            Some(after) => text.push(
                shifted(shift.single, after)
                    .or_else(|| locked(shift.locking, after))
                    .unwrap_or(NO_CHARACTER),
            ),
        }
    }
    text
}

/// Writes text as septets, one in each octet, in the default and extension alphabets.
///
/// # Errors
/// The first character that needs UCS-2.
pub fn encode(text: &str) -> Result<Vec<u8>, NotInAlphabet> {
    encode_with(text, Shift::default())
}

/// Writes text as septets in the given national tables, as a phone set to that language does.
///
/// # Errors
/// The first character that the tables do not have.
pub fn encode_with(text: &str, shift: Shift) -> Result<Vec<u8>, NotInAlphabet> {
    let mut septets = Vec::with_capacity(text.len());
    for (i, character) in text.chars().enumerate() {
        if let Some(septet) = (0..128).find(|s| locked(shift.locking, *s) == Some(character)) {
            septets.push(septet);
        } else if let Some(septet) =
            (0..128).find(|s| *s != ESCAPE && shifted(shift.single, *s) == Some(character))
        {
            septets.extend([ESCAPE, septet]);
        } else {
            return Err(NotInAlphabet {
                character,
                position: i + 1,
            });
        }
    }
    Ok(septets)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// TS 23.038 clause 6.2.1.1, note 1 and the receiving rules for codes without a symbol.
    #[test]
    fn escapes_that_lead_nowhere_are_shown_as_the_standard_asks() {
        let plain = |s: &[u8]| decode(s, Shift::default());
        assert_eq!(plain(&[0x1B, 0x65]), "€");
        assert_eq!(plain(&[0x1B, 0x41]), "A");
        assert_eq!(plain(&[0x41, 0x1B]), "A ");
        assert_eq!(plain(&[0x1B, 0x1B, 0x65]), " e");
        let bengali = Shift {
            locking: 4,
            single: 4,
        };
        assert_eq!(
            decode(&[0x0C], bengali),
            "\u{FFFD}",
            "an empty position of the Bengali table"
        );
    }

    #[test]
    fn a_character_outside_is_named_with_its_place() {
        let refused = encode("ng'ombe na ŋ").unwrap_err();
        assert_eq!((refused.character, refused.position), ('ŋ', 12));
    }
}
