//! Teaching a word: tried against every message received, switched on only where none of them gets another meaning, and taken back.
//!
//! The trial runs on the caller's thread; the writer looks only at what came meanwhile. Messages that have left the store for archives cannot
//! be tried any more. This room does not know how a page shows it.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::people;
use crate::desk::words::{Difference, Words, WordsError, compare};
use crate::domain::MemberNo;
use crate::domain::event::{Event, Recorded, StreamId};
use crate::domain::lang::Lang;
use crate::domain::message::{CoopId, MessageNo, Outcome};
use crate::domain::said::{Reading, Verb};
use crate::domain::user::{Deed, DeedKind, Login, UserEvent};
use crate::domain::words::{NewWord, WordsEvent};
use crate::grammar;
use crate::grammar::Lexicon;
use crate::store::StoreError;
use crate::store::codec;
use crate::store::draft::Draft;
use crate::store::keys::{self, Shelf};
use crate::store::records::MessageRecord;
use crate::store::step::{Change, Step};
use chrono::{DateTime, Utc};

/// Messages shown of each kind: what a person looks through.
const SHOWN_MAX: usize = 20;

/// A word that somebody wants to teach.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// As typed.
    pub word: String,
    /// The key of the verb.
    pub means: String,
    /// Whose word it is.
    pub lang: Lang,
}

/// What a word would do to the messages received.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trial {
    /// The word as it would be taught.
    pub word: String,
    /// Messages tried.
    pub tried: u64,
    /// Messages that would read otherwise; any of them forbids the word.
    pub changed: u64,
    /// Messages of which more would be read.
    pub gained: u64,
    /// The first of the changed ones.
    pub changes: Vec<Tried>,
    /// The first of those of which more would be read.
    pub gains: Vec<Tried>,
    /// Through which message it was tried.
    through: MessageNo,
}

/// One message and how it reads.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Its number.
    pub message: MessageNo,
    /// The moment it counts for.
    pub sent_at: DateTime<Utc>,
    /// Who spoke.
    pub member: Option<MemberNo>,
    /// As received.
    pub text: String,
    /// What became of it.
    pub outcome: Outcome,
    /// How it was read.
    pub was: Reading,
    /// How it would be read.
    pub would: Reading,
}

/// Why a word was not taught or taken back.
#[derive(Debug, thiserror::Error)]
pub enum TeachError {
    /// The desk refused it.
    #[error(transparent)]
    Refused(#[from] WordsError),
    /// Old messages would get another meaning.
    #[error("{} messages would read otherwise, so `{}` is not taught", .0.changed, .0.word)]
    Changes(Box<Trial>),
    /// The counter could not do it.
    #[error(transparent)]
    Counter(#[from] CounterError),
}

/// Readings side by side: with the words of each message's time, with today's, and with the new one.
struct Bench<'w> {
    words: &'w Words,
    word: String,
    now: Lexicon,
    with: Lexicon,
    /// The list of the time last asked for, and from which message on it was looked up.
    then: Option<(Vec<usize>, Lexicon)>,
}

impl<'w> Bench<'w> {
    fn new(words: &'w Words, word: &str, verb: Verb, lang: Lang) -> Self {
        let now = Words::lexicon(words.standing());
        let with = now.with_own([(word, verb, lang)].into_iter());
        Self {
            words,
            word: word.to_owned(),
            now,
            with,
            then: None,
        }
    }

    fn then(&mut self, no: MessageNo) -> &Lexicon {
        let held: Vec<usize> = self
            .words
            .at(no)
            .map(|row| position(self.words, row))
            .collect();
        let known = self.then.take().filter(|(of, _)| *of == held);
        let made = known.unwrap_or_else(|| (held, Words::lexicon(self.words.at(no))));
        &self.then.insert(made).1
    }

    fn look(&mut self, no: MessageNo, record: &MessageRecord, trial: &mut Trial) {
        trial.tried += 1;
        trial.through = trial.through.max(no);
        let would = grammar::read(&record.text, &self.with);
        if grammar::read(&record.text, &self.now) == would {
            return;
        }
        let was = grammar::read(&record.text, self.then(no));
        let list = match compare(&self.word, &was, &would) {
            Difference::Same => return,
            Difference::Gains => {
                trial.gained += 1;
                &mut trial.gains
            }
            Difference::Changes => {
                trial.changed += 1;
                &mut trial.changes
            }
        };
        if list.len() < SHOWN_MAX {
            list.push(Tried {
                message: no,
                sent_at: record.sent_at,
                member: record.member,
                text: record.text.clone(),
                outcome: record.outcome,
                was,
                would,
            });
        }
    }
}

fn position(words: &Words, row: &crate::desk::words::Word) -> usize {
    words
        .rows
        .iter()
        .position(|other| std::ptr::eq(other, row))
        .unwrap_or(0)
}

impl Counter {
    /// The cooperative's own words.
    ///
    /// # Errors
    /// When the store fails.
    pub fn words(&self, coop: CoopId) -> Result<Words, CounterError> {
        let stream = self.0.store.load(coop, &StreamId::Words)?;
        Ok(people::words(&stream)?.clone())
    }

    /// What a word would do to every message in the store; nothing is changed.
    ///
    /// # Errors
    /// When it may not be taught whatever the messages are, or the store fails.
    pub fn try_word(&self, coop: CoopId, wish: &Wish) -> Result<Trial, TeachError> {
        let words = self.words(coop)?;
        let rules = self.rules(coop)?;
        let (word, verb) = words.teachable(&rules, &wish.word, &wish.means)?;
        let mut bench = Bench::new(&words, &word, verb, wish.lang);
        let mut trial = Trial {
            word: word.clone(),
            ..Trial::default()
        };
        self.0
            .store
            .messages_on(coop, |no, record| {
                bench.look(no, &record, &mut trial);
                Ok(true)
            })
            .map_err(CounterError::from)?;
        Ok(trial)
    }

    /// Teaches a word, where no message gets another meaning by it. Every message judged after this returns is read with it.
    ///
    /// # Errors
    /// [`TeachError::Changes`] with the messages that would read otherwise; else as [`Counter::try_word`].
    pub fn teach(&self, coop: CoopId, by: &Login, wish: &Wish) -> Result<Trial, TeachError> {
        let trial = self.try_word(coop, wish)?;
        if trial.changed > 0 {
            return Err(TeachError::Changes(Box::new(trial)));
        }
        let (by, wish) = (by.clone(), wish.clone());
        self.amend(move |draft, now| teach_in(draft, coop, by, &wish, trial, now))?
    }

    /// Takes a word back: messages from now on are read without it.
    ///
    /// # Errors
    /// When it is none of the cooperative's words, or the store fails.
    pub fn let_go(&self, coop: CoopId, by: &Login, word: &str) -> Result<(), TeachError> {
        let (by, word) = (by.clone(), word.to_owned());
        let done = self.amend(move |draft, now| {
            let stream = draft.load(coop, &StreamId::Words)?;
            let standing = people::words(&stream)?.standing();
            let Some(means) = standing
                .filter(|row| row.taught.word == word)
                .map(|row| row.taught.means.clone())
                .next()
            else {
                return Ok(Err(WordsError::NotTaught(word)));
            };
            let event = WordsEvent::LetGo {
                word: word.clone(),
                by: by.clone(),
                from: draft.next_message(),
            };
            let deed = deed(format!("{word} = {means}"), String::new());
            push(draft, coop, event, (by, deed), now)?;
            Ok(Ok(()))
        })?;
        Ok(done?)
    }
}

/// Tries what came since the trial, and switches the word on.
fn teach_in(
    draft: &mut Draft<'_>,
    coop: CoopId,
    by: Login,
    wish: &Wish,
    mut trial: Trial,
    now: DateTime<Utc>,
) -> Result<Result<Trial, TeachError>, StoreError> {
    let stream = draft.load(coop, &StreamId::Words)?;
    let rules = draft.load(coop, &StreamId::Rules)?;
    let words = people::words(&stream)?;
    let (word, verb) = match words.teachable(people::rules(&rules)?, &wish.word, &wish.means) {
        Ok(fits) => fits,
        Err(why) => return Ok(Err(why.into())),
    };
    let mut bench = Bench::new(words, &word, verb, wish.lang);
    let from = keys::message(coop, MessageNo(trial.through.0 + 1));
    let end = keys::after(&coop.0.to_be_bytes());
    let mut late = Vec::new();
    draft.scan(Shelf::Messages, &from, end.as_deref(), |key, bytes| {
        let record: MessageRecord = codec::unseal(Shelf::Messages, key, bytes)?;
        late.extend(keys::read_message(key).map(|(_, no)| (no, record)));
        Ok(true)
    })?;
    for (no, record) in &late {
        bench.look(*no, record, &mut trial);
    }
    if trial.changed > 0 {
        return Ok(Err(TeachError::Changes(Box::new(trial))));
    }
    let event = WordsEvent::Taught(NewWord {
        word: word.clone(),
        means: wish.means.clone(),
        lang: wish.lang,
        by: by.clone(),
        from: draft.next_message(),
    });
    let deed = deed(String::new(), format!("{word} = {}", wish.means));
    push(draft, coop, event, (by, deed), now)?;
    Ok(Ok(trial))
}

fn deed(old: String, new: String) -> Deed {
    Deed {
        kind: DeedKind::Taught,
        member: None,
        message: None,
        old,
        new,
    }
}

/// The event and the trail's line, in one commit.
fn push(
    draft: &mut Draft<'_>,
    coop: CoopId,
    event: WordsEvent,
    (by, deed): (Login, Deed),
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let done = [
        (StreamId::Words, Event::Words(event)),
        (StreamId::User(by), Event::User(UserEvent::Did(deed))),
    ];
    let mut changes = Vec::with_capacity(done.len());
    for (stream, event) in done {
        changes.push(Change {
            expected: draft.load(coop, &stream)?.version,
            stream,
            events: vec![Recorded {
                at: now,
                by: None,
                message: None,
                event,
            }],
        });
    }
    draft.push(Step {
        coop,
        received: None,
        heard: None,
        changes,
        outgoing: Vec::new(),
    })?;
    Ok(())
}
