//! The cooperative's own words: which hold, which held when, and whether one may be taught.
//!
//! `apply` is the only way they change. A word may be taught only where no old message gets another meaning by it; [`compare`] tells. This room
//! does not know which messages there are.

use crate::domain::compact;
use crate::domain::event::Recorded;
use crate::domain::lang::Lang;
use crate::domain::message::MessageNo;
use crate::domain::rules::Rules;
use crate::domain::said::{Doubt, Reading, Verb, Why};
use crate::domain::user::Login;
use crate::domain::words::{NewWord, WordsEvent};
use crate::grammar::Lexicon;
use crate::grammar::meanings::Meaning;
use crate::grammar::registry;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Words of one cooperative that ever held: each message is read with a list of them.
pub const WORDS_MAX: usize = 500;
/// Letters of a word: two may be a cage's (`AB 4`), and nobody types more than twenty.
pub const LETTERS: std::ops::RangeInclusive<usize> = 3..=20;

/// Everything that was taught, oldest first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Words {
    /// Each word as often as it was taught.
    pub rows: Vec<Word>,
}

/// One word.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Word {
    /// The word, what it means, and who taught it.
    pub taught: NewWord,
    /// When.
    #[serde(with = "compact::moment")]
    pub at: DateTime<Utc>,
    /// Who took it back, and the first message that is read without it.
    pub until: Option<(Login, MessageNo)>,
}

/// Why a word was not taught or taken back.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WordsError {
    /// Not a word.
    #[error("expected one word of {} to {} letters, such as `nyunyiza`, but found {found:?}", LETTERS.start(), LETTERS.end())]
    NoWord {
        /// As typed.
        found: String,
    },
    /// It means the same already.
    #[error("`{0}` means this already")]
    Known(String),
    /// It means something else, or is passed over as an ordinary word.
    #[error("`{0}` has a meaning in the entry language already: teach another word")]
    Clash(String),
    /// No such keyword.
    #[error("expected a keyword such as `bait`, but found {0:?}")]
    NoKeyword(String),
    /// As many words as there may be.
    #[error("a cooperative teaches at most {WORDS_MAX} words")]
    TooMany,
    /// It is none of the cooperative's words.
    #[error("`{0}` is none of the cooperative's own words")]
    NotTaught(String),
}

impl Words {
    /// What the event makes of the words.
    pub fn apply(&mut self, recorded: &Recorded, event: &WordsEvent) {
        match event {
            WordsEvent::Taught(taught) => self.rows.push(Word {
                taught: taught.clone(),
                at: recorded.at,
                until: None,
            }),
            WordsEvent::LetGo { word, by, from } => {
                let standing = |row: &&mut Word| row.until.is_none() && row.taught.word == *word;
                if let Some(row) = self.rows.iter_mut().find(standing) {
                    row.until = Some((by.clone(), *from));
                }
            }
        }
    }

    /// The words that hold.
    pub fn standing(&self) -> impl Iterator<Item = &Word> {
        self.rows.iter().filter(|row| row.until.is_none())
    }

    /// The words with which that message was read.
    pub fn at(&self, message: MessageNo) -> impl Iterator<Item = &Word> {
        self.rows.iter().filter(move |row| {
            row.taught.from <= message && row.until.as_ref().is_none_or(|(_, from)| message < *from)
        })
    }

    /// The words built in, and these.
    #[must_use]
    pub fn lexicon<'w>(words: impl Iterator<Item = &'w Word>) -> Lexicon {
        Lexicon::builtin().with_own(words.filter_map(|row| {
            let verb = registry::by_key(&row.taught.means)?;
            Some((row.taught.word.as_str(), verb, row.taught.lang))
        }))
    }

    /// The word as it would be taught, and the verb that it would mean.
    ///
    /// # Errors
    /// When it is no word, means something already, or there are too many.
    pub fn teachable(
        &self,
        rules: &Rules,
        typed: &str,
        means: &str,
    ) -> Result<(String, Verb), WordsError> {
        let word = typed.trim().to_lowercase();
        let fits = LETTERS.contains(&word.len()) && word.bytes().all(|b| b.is_ascii_lowercase());
        if !fits {
            let found = typed.chars().take(40).collect();
            return Err(WordsError::NoWord { found });
        }
        let verb =
            registry::by_key(means).ok_or_else(|| WordsError::NoKeyword(means.to_owned()))?;
        let lexicon = Self::lexicon(self.standing());
        match lexicon.get(&word).map(|entry| entry.meaning) {
            Some(Meaning::Verb(known, _)) if known == verb => return Err(WordsError::Known(word)),
            Some(_) => return Err(WordsError::Clash(word)),
            None => {}
        }
        // The join code and languages' names stand where a word is looked for too.
        let taken =
            rules.join_code.eq_ignore_ascii_case(&word) || lexicon.lang_named(&word).is_some();
        if taken {
            return Err(WordsError::Clash(word));
        }
        if self.rows.len() >= WORDS_MAX {
            return Err(WordsError::TooMany);
        }
        Ok((word, verb))
    }
}

/// What another set of words makes of a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Difference {
    /// The same.
    Same,
    /// What was read stays, and something is read that was not.
    Gains,
    /// Something is read otherwise.
    Changes,
}

/// How a message would read, beside how it was read, where `word` were a keyword.
#[must_use]
pub fn compare(word: &str, was: &Reading, would: &Reading) -> Difference {
    if was == would {
        return Difference::Same;
    }
    // A word that was asked about was not read either.
    let unread =
        |doubt: &&Doubt| doubt.why == Why::Word && doubt.text.to_lowercase().contains(word);
    let doubts: Vec<&Doubt> = was.doubts.iter().filter(|doubt| !unread(doubt)).collect();
    if was.said.is_empty() && was.orders.is_empty() && doubts.is_empty() {
        return Difference::Gains;
    }
    let stays = was.for_member == would.for_member
        && within(&was.said, &would.said)
        && within(&was.orders, &would.orders)
        && within(&doubts, &would.doubts.iter().collect::<Vec<_>>())
        && would.unread.iter().all(|piece| was.unread.contains(piece));
    if stays {
        Difference::Gains
    } else {
        Difference::Changes
    }
}

/// Whether everything of `few` stands in `many`, in the same order.
fn within<T: PartialEq>(few: &[T], many: &[T]) -> bool {
    let mut rest = many.iter();
    few.iter().all(|one| rest.any(|other| other == one))
}

/// Every keyword: its key, and the word that replies use for it in a language.
#[must_use]
pub fn keywords(lang: Lang) -> Vec<(&'static str, String)> {
    let word = |verb| Lexicon::builtin().word(verb, lang).to_owned();
    let rows = registry::VERBS.iter();
    rows.map(|row| (row.key, word(row.verb))).collect()
}

/// Whose word it is, as a reader may choose: the languages that have words.
#[must_use]
pub fn langs() -> Vec<Lang> {
    Lexicon::builtin().langs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grammar::read;

    fn taught(word: &str, means: &str, from: u64) -> Recorded {
        let taught = NewWord {
            word: word.to_owned(),
            means: means.to_owned(),
            lang: Lang::EN,
            by: Login::new("amina").unwrap(),
            from: MessageNo(from),
        };
        recorded(WordsEvent::Taught(taught))
    }

    fn recorded(event: WordsEvent) -> Recorded {
        Recorded {
            at: "2026-03-10T05:10:00Z".parse().unwrap(),
            by: None,
            message: None,
            event: crate::domain::event::Event::Words(event),
        }
    }

    fn made(events: &[Recorded]) -> Words {
        let mut words = Words::default();
        for recorded in events {
            if let crate::domain::event::Event::Words(event) = &recorded.event {
                words.apply(recorded, event);
            }
        }
        words
    }

    #[test]
    fn a_message_is_read_with_the_words_of_its_time() {
        let gone = WordsEvent::LetGo {
            word: "nyunyiza".to_owned(),
            by: Login::new("juma").unwrap(),
            from: MessageNo(20),
        };
        let words = made(&[
            taught("nyunyiza", "water", 10),
            recorded(gone),
            taught("nyunyiza", "bait", 30),
        ]);
        let means = |no| -> Vec<&str> {
            let at = words.at(MessageNo(no));
            at.map(|row| row.taught.means.as_str()).collect()
        };
        let none: Vec<&str> = Vec::new();
        assert_eq!(means(9), none);
        assert_eq!(means(10), ["water"]);
        assert_eq!(means(19), ["water"]);
        assert_eq!(means(20), none);
        assert_eq!(means(30), ["bait"]);
    }

    #[test]
    fn what_may_be_taught() {
        let rules = Rules::new("Ziwani", "ZIWANI", "UTC");
        let words = made(&[taught("nyunyiza", "water", 10)]);
        let ask = |word: &str, means: &str| words.teachable(&rules, word, means);
        assert_eq!(ask(" Osha ", "swept"), Ok(("osha".to_owned(), Verb::Swept)));
        for wrong in ["", "ab", "two words", "c4x", "żuk", &"a".repeat(21)] {
            assert!(
                matches!(ask(wrong, "bait"), Err(WordsError::NoWord { .. })),
                "{wrong}"
            );
        }
        assert!(matches!(ask("maji", "water"), Err(WordsError::Known(_))));
        assert!(matches!(
            ask("nyunyiza", "water"),
            Err(WordsError::Known(_))
        ));
        for clash in [
            "maji",
            "nyunyiza",
            "yesterday",
            "asante",
            "ziwani",
            "swahili",
        ] {
            assert!(
                matches!(ask(clash, "bait"), Err(WordsError::Clash(_))),
                "{clash}"
            );
        }
        assert!(matches!(ask("osha", "wash"), Err(WordsError::NoKeyword(_))));
    }

    #[test]
    fn reading_more_is_a_gain_and_reading_otherwise_a_change() {
        let before = Lexicon::builtin();
        let with = |word: &str, verb| before.with_own([(word, verb, Lang::EN)].into_iter());
        let judged = |word: &str, verb, text: &str| {
            compare(word, &read(text, before), &read(text, &with(word, verb)))
        };
        assert_eq!(judged("osha", Verb::Swept, "C4 12.5"), Difference::Same);
        assert_eq!(judged("osha", Verb::Swept, "C4 osha"), Difference::Gains);
        assert_eq!(
            judged("osha", Verb::Swept, "C4 12.5 osha"),
            Difference::Gains
        );
        // `wster` is repaired to `water`: it may not become something else.
        assert_eq!(read("C4 wster", before).said.len(), 1);
        assert_eq!(judged("wster", Verb::Bait, "C4 wster"), Difference::Changes);
        // A name is a name whatever is taught.
        assert_eq!(
            judged("asha", Verb::Ants, "join ZIWANI Asha"),
            Difference::Same
        );
    }
}
