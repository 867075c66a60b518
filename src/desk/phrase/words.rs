//! The reply texts of one language, by the keys of replies.
//!
//! This room does not know what a reply is.

use crate::desk::phrase::keys::Key;
use crate::texts::Texts;
pub(super) use crate::texts::Value;

/// One language's reply texts.
#[derive(Debug)]
pub(super) struct Words(pub(super) Texts);

impl Words {
    /// The text of `key` with `values` in their places.
    pub(super) fn say(&self, key: Key, values: &[(&'static str, Value)]) -> String {
        self.0.say(key.name(), values)
    }

    /// The text of `key` where nothing is to be filled in.
    pub(super) fn plain(&self, key: Key) -> String {
        self.say(key, &[])
    }
}
