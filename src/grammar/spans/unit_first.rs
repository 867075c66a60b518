//! A unit of weight said before its number.
//!
//! This room looks at neighbours only.

use crate::grammar::meanings::Meaning;
use crate::grammar::tokens::{Kind, Token};

/// `gramu 12.5`, as Kiswahili says it, is `12.5 gramu`: a unit in letters that follows no number and stands before a bare one.
pub(crate) fn units_after_numbers(tokens: &mut [Token]) {
    let is_unit = |token: &Token| {
        matches!(token.kind, Kind::Word(Meaning::Unit(_))) && token.text.chars().count() > 1
    };
    let is_bare = |token: &Token| matches!(&token.kind, Kind::Number(n) if n.unit.is_none());
    for i in 0..tokens.len().saturating_sub(1) {
        let after_number = i > 0 && matches!(tokens[i - 1].kind, Kind::Number(_));
        let before_unit = tokens.get(i + 2).is_some_and(is_unit);
        if is_unit(&tokens[i]) && is_bare(&tokens[i + 1]) && !after_number && !before_unit {
            tokens.swap(i, i + 1);
        }
    }
}
