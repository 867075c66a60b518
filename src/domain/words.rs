//! Words that a cooperative has taught the gateway: its own synonyms of the entry language's keywords.
//!
//! A word holds from one message on, up to another: every message keeps the meaning that it had. This room does not know how a line is read.

use crate::domain::lang::Lang;
use crate::domain::message::MessageNo;
use crate::domain::user::Login;
use serde::{Deserialize, Serialize};

/// What happened to the cooperative's words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum WordsEvent {
    /// A word means something from now on.
    Taught(NewWord),
    /// A word means nothing any more.
    LetGo {
        /// The word.
        word: String,
        /// Who took it back.
        by: Login,
        /// The first message that is read without it.
        from: MessageNo,
    },
}

/// A word that is taught.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewWord {
    /// Small letters a to z.
    pub word: String,
    /// The key of the verb that it means, such as `bait`.
    pub means: String,
    /// Whose word it is.
    pub lang: Lang,
    /// Who taught it.
    pub by: Login,
    /// The first message that is read with it.
    pub from: MessageNo,
}
