//! Typographic characters written plainly, so that one curly quote does not cost a text more than half its room.
//!
//! Only signs that mean the same either way are changed; letters keep their accents. Does not know languages.

use crate::units::septets::septets_of;
use std::borrow::Cow;

/// The plain form of a typographic sign; `None` for every other character.
const fn plain(character: char) -> Option<&'static str> {
    Some(match character {
        '\u{2018}' | '\u{2019}' | '\u{201A}' | '\u{201B}' | '\u{2032}' | '\u{02BC}'
        | '\u{00B4}' | '`' => "'",
        '\u{201C}' | '\u{201D}' | '\u{201E}' | '\u{201F}' | '\u{2033}' | '\u{00AB}'
        | '\u{00BB}' => "\"",
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{00AD}' => "-",
        '\u{2026}' => "...",
        '\u{00A0}' | '\u{2000}'..='\u{200A}' | '\u{202F}' | '\u{205F}' | '\u{3000}' | '\t' => " ",
        // Marks without width carry nothing that a phone shows.
        '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{2060}' | '\u{FEFF}' => "",
        _ => return None,
    })
}

/// `text` with typographic quotes, dashes, dots and spaces written plainly. Borrowed where nothing changes.
///
/// Is done only where it makes the whole text fit GSM-7: a text that needs UCS-2 anyway keeps its typography.
#[must_use]
pub fn fold(text: &str) -> Cow<'_, str> {
    if text.chars().all(|c| septets_of(c).is_some()) {
        return Cow::Borrowed(text);
    }
    let mut folded = String::with_capacity(text.len());
    for character in text.chars() {
        match (septets_of(character), plain(character)) {
            (Some(_), _) => folded.push(character),
            (None, Some(plain)) => folded.push_str(plain),
            (None, None) => return Cow::Borrowed(text),
        }
    }
    Cow::Owned(folded)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typography_is_folded_only_where_that_saves_the_alphabet() {
        assert_eq!(
            fold("ng\u{2019}ombe \u{201C}C4\u{201D} \u{2013} ok\u{2026}"),
            "ng'ombe \"C4\" - ok..."
        );
        assert_eq!(fold("ŋ \u{2019}"), "ŋ \u{2019}");
        assert!(matches!(fold("C4 12.5"), Cow::Borrowed(_)));
    }
}
