//! Text to reading and reply to text: the two places where the counter touches a language.
//!
//! This room holds the word lists, those that cooperatives have taught among them, and the phrasebook; it knows no word itself.

use crate::counter::people;
use crate::desk::phrase::Phrasebook;
use crate::desk::reply::Reply;
use crate::desk::words::Words;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::domain::said::Reading;
use crate::grammar;
use crate::grammar::Lexicon;
use crate::store::StoreError;
use crate::store::draft::Draft;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock, PoisonError, RwLock};

/// What is needed to read and to answer.
#[derive(Debug)]
pub(crate) struct Wording {
    phrasebook: Arc<Phrasebook>,
    /// Cooperatives with words of their own, as they were last seen.
    own: RwLock<BTreeMap<CoopId, Own>>,
}

/// A cooperative's words and the list that they make.
#[derive(Clone, Debug)]
struct Own {
    words: Words,
    lexicon: Arc<Lexicon>,
}

/// A reading, and by which list; none: the one built in.
#[derive(Clone, Debug)]
pub(crate) struct Heard {
    pub(crate) reading: Reading,
    by: Option<Arc<Lexicon>>,
}

impl Wording {
    /// The languages built in, read once a process.
    #[must_use]
    pub(crate) fn builtin() -> Arc<Self> {
        static BUILTIN: OnceLock<Arc<Phrasebook>> = OnceLock::new();
        let phrasebook = BUILTIN.get_or_init(|| Arc::new(Phrasebook::builtin()));
        Arc::new(Self {
            phrasebook: Arc::clone(phrasebook),
            own: RwLock::new(BTreeMap::new()),
        })
    }

    /// What a text says, with the words that the cooperative had when it was last looked; [`Wording::settle`] makes sure.
    #[must_use]
    pub(crate) fn read(&self, coop: CoopId, text: &str) -> Heard {
        let own = self.own.read().unwrap_or_else(PoisonError::into_inner);
        let by = own.get(&coop).map(|own| Arc::clone(&own.lexicon));
        drop(own);
        heard(text, by)
    }

    /// The same reading where the words of this moment in the writer's order are those that it was made with; else the text read anew.
    pub(crate) fn settle(
        &self,
        draft: &mut Draft<'_>,
        coop: CoopId,
        text: &str,
        was: Heard,
    ) -> Result<Reading, StoreError> {
        let by = self.lexicon(draft, coop)?;
        let same = match (&by, &was.by) {
            (None, None) => true,
            (Some(now), Some(then)) => Arc::ptr_eq(now, then),
            _ => false,
        };
        Ok(if same {
            was.reading
        } else {
            heard(text, by).reading
        })
    }

    /// What a text says in the writer's order.
    pub(crate) fn read_in(
        &self,
        draft: &mut Draft<'_>,
        coop: CoopId,
        text: &str,
    ) -> Result<Reading, StoreError> {
        let by = self.lexicon(draft, coop)?;
        Ok(heard(text, by).reading)
    }

    /// The list of this moment; none: the one built in.
    fn lexicon(
        &self,
        draft: &mut Draft<'_>,
        coop: CoopId,
    ) -> Result<Option<Arc<Lexicon>>, StoreError> {
        let stream = draft.load(coop, &StreamId::Words)?;
        let words = people::words(&stream)?;
        let known = self.own.read().unwrap_or_else(PoisonError::into_inner);
        match known.get(&coop) {
            None if words.rows.is_empty() => return Ok(None),
            Some(own) if own.words == *words => return Ok(Some(Arc::clone(&own.lexicon))),
            _ => {}
        }
        drop(known);
        let lexicon = Arc::new(Words::lexicon(words.standing()));
        let own = Own {
            words: words.clone(),
            lexicon: Arc::clone(&lexicon),
        };
        let mut known = self.own.write().unwrap_or_else(PoisonError::into_inner);
        known.insert(coop, own);
        Ok(Some(lexicon))
    }

    /// A reply in words: one part.
    #[must_use]
    pub(crate) fn render(&self, reply: &Reply) -> String {
        self.phrasebook.render(reply)
    }
}

fn heard(text: &str, by: Option<Arc<Lexicon>>) -> Heard {
    let reading = match &by {
        Some(lexicon) => grammar::read(text, lexicon),
        None => grammar::read(text, Lexicon::builtin()),
    };
    Heard { reading, by }
}
