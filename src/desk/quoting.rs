//! Which words of a text may be said again to the one who sent it.
//!
//! This room does not know what a word means.

use regex::Regex;
use std::sync::LazyLock;

/// Letters of an unread word that a reply quotes.
pub(crate) const QUOTED_LETTERS: usize = 12;
/// Letters of the doubtful text that a question quotes.
const QUOTED_MAX: usize = 20;

/// What looks like an address on the web: quoting it would pass a stranger's link on under the cooperative's name.
static LINK: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"(?i)^www|[a-z0-9]\.[a-z]|://").expect("the pattern is a constant")
});

/// The words of an unread piece that may be quoted: letters only, never digits or links.
pub(crate) fn quotable(text: &str) -> Option<String> {
    let plain = text
        .chars()
        .all(|c| c.is_alphabetic() || matches!(c, '\'' | '-' | ',' | '!' | '?' | '.'));
    let letters: String = text
        .chars()
        .filter(|c| c.is_alphabetic())
        .take(QUOTED_LETTERS)
        .collect();
    (plain && !LINK.is_match(text) && !letters.is_empty()).then_some(letters)
}

/// The beginning of a doubtful text, cut between words: a number is never cut, since half of one is another.
pub(crate) fn quoted(text: &str) -> String {
    if text.chars().count() <= QUOTED_MAX {
        return text.to_owned();
    }
    let head: String = text.chars().take(QUOTED_MAX + 1).collect();
    match head.rsplit_once(char::is_whitespace) {
        Some((words, _)) if !words.trim().is_empty() => words.trim_end().to_owned(),
        // One long word: a number of so many figures is none.
        _ => head.chars().take(QUOTED_MAX).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_and_digits_are_never_quoted() {
        for text in [
            "www.example",
            "example.org",
            "WWW",
            "https://x",
            "pin1234",
            "...",
        ] {
            assert_eq!(quotable(text), None, "{text}");
        }
        assert_eq!(quotable("blah.").as_deref(), Some("blah"));
        assert_eq!(
            quotable("verylongunreadword").as_deref(),
            Some("verylongunre")
        );
    }
}
