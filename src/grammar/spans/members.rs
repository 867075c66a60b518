//! Whether a number is a member's: `for 2071`, `got 2071 48.2`.
//!
//! This room looks back at what stands before a number only.

use crate::domain::said::Verb;
use crate::grammar::meanings::Meaning;
use crate::grammar::numbers::Number;
use crate::grammar::spans::Spans;
use crate::grammar::tokens::{Kind, Token};

impl Spans<'_> {
    /// The number stands where a member's is said. `C1 got 4.4 grams`: only a `got` that leads the line has one after it.
    pub(crate) fn is_of_member(&self, number: &Number) -> bool {
        let Some((last, before)) = self.out.split_last() else {
            return false;
        };
        match last.kind {
            Kind::Word(Meaning::Verb(Verb::Got, _)) => {
                number.plain.is_some() && before.iter().all(Token::is_filler)
            }
            _ => last.kind.names_member(),
        }
    }
}
