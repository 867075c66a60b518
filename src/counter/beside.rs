//! What lies beside the store and must lose a person with it, or grow old: others keep it, and this room tells them.
//!
//! The numbers of an erased member are on disk before the erasure is, and go when everybody has done their part: a process that dies between the two
//! finds them when it is next opened. This room does not know what lies there.

use crate::counter::answers::CounterError;
use crate::counter::folder::sync_folder;
use crate::counter::{Counter, held};
use crate::desk::streams::StreamState;
use crate::domain::event::StreamId;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::store::Store;
use chrono::{DateTime, Utc};
use std::collections::BTreeSet;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// What is to be done beside the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Chore {
    /// Nothing that came from these numbers to that cooperative stays.
    Forget(CoopId, BTreeSet<PhoneNumber>),
    /// What nobody could read goes where it came before `before`; so does what is done with, as of `now`.
    Expire {
        /// The moment that it is.
        now: DateTime<Utc>,
        /// Older octets go.
        before: DateTime<Utc>,
    },
}

/// Does a chore; how many entries went.
pub type Hand = Box<dyn Fn(&Chore) -> io::Result<usize> + Send + Sync>;

/// Numbers of erased members, by cooperative.
type Numbers = BTreeSet<(CoopId, PhoneNumber)>;

/// Whom others have yet to forget.
#[derive(Default)]
struct Whom {
    /// Their erasure is in the store, or about to be.
    due: Numbers,
    /// The store failed: whether they are erased is known when it is next opened.
    in_doubt: Numbers,
}

/// Who keeps something beside the store, and whom they have yet to forget.
pub(crate) struct Beside {
    /// Where the numbers wait; none for a store in memory, or where no link has kept anything.
    file: Option<PathBuf>,
    whom: Mutex<Whom>,
    hands: Mutex<Vec<Hand>>,
}

impl Beside {
    /// For a store in memory.
    pub(crate) fn nowhere() -> Self {
        Self {
            file: None,
            whom: Mutex::default(),
            hands: Mutex::new(Vec::new()),
        }
    }

    /// For a data folder: numbers that a process left behind wait again, where their erasure is in the store.
    pub(crate) fn open(dir: &Path, store: &Store) -> Result<Self, CounterError> {
        let beside = Self {
            file: Some(dir.join("forgetting")),
            ..Self::nowhere()
        };
        let mut due = beside.read().map_err(failed)?;
        let mut known = Numbers::new();
        for (coop, phone) in &due {
            let stream = store.load(*coop, &StreamId::Phone(phone.clone()))?;
            if matches!(&stream.state, StreamState::Phone(phone) if !phone.serves.is_empty()) {
                known.insert((*coop, phone.clone()));
            }
        }
        due.retain(|number| !known.contains(number));
        held(&beside.whom).due = due;
        beside.write().map_err(failed)?;
        Ok(beside)
    }

    fn read(&self) -> io::Result<Numbers> {
        let text = match self.file.as_deref().map(fs::read_to_string) {
            None => return Ok(Numbers::new()),
            Some(Err(why)) if why.kind() == ErrorKind::NotFound => return Ok(Numbers::new()),
            Some(text) => text?,
        };
        let number = |line: &str| {
            let (coop, phone) = line.split_once(' ')?;
            Some((CoopId(coop.parse().ok()?), PhoneNumber::new(phone)?))
        };
        Ok(text.lines().filter_map(number).collect())
    }

    /// On disk when this returns; no file where no number waits.
    fn write(&self) -> io::Result<()> {
        let Some(file) = &self.file else {
            return Ok(());
        };
        let whom = held(&self.whom);
        let numbers: BTreeSet<_> = whom.due.union(&whom.in_doubt).collect();
        let folder = file.parent().unwrap_or(Path::new("."));
        if numbers.is_empty() {
            return match fs::remove_file(file) {
                Ok(()) => sync_folder(folder),
                Err(why) if why.kind() == ErrorKind::NotFound => Ok(()),
                Err(why) => Err(why),
            };
        }
        let part = file.with_added_extension("part");
        let mut options = OpenOptions::new();
        options.create(true).write(true).truncate(true).mode(0o600);
        let mut out: File = options.open(&part)?;
        for (coop, phone) in &numbers {
            writeln!(out, "{} {}", coop.0, phone.full())?;
        }
        out.sync_all()?;
        fs::rename(&part, file)?;
        sync_folder(folder)
    }

    fn write_down(&self) {
        if let Err(why) = self.write() {
            tracing::error!(%why, "whom the links are to forget could not be written down");
        }
    }

    /// These numbers are about to be erased.
    pub(crate) fn intend(&self, numbers: &Numbers) {
        let links = self.file.as_ref().map(|file| file.with_file_name("links"));
        if held(&self.hands).is_empty() && !links.is_some_and(|links| links.exists()) {
            return;
        }
        held(&self.whom).due.extend(numbers.iter().cloned());
        self.write_down();
    }

    /// The store failed over their erasure.
    pub(crate) fn doubt(&self, numbers: &Numbers) {
        let mut whom = held(&self.whom);
        whom.due.retain(|number| !numbers.contains(number));
        whom.in_doubt.extend(numbers.iter().cloned());
    }

    /// Everybody forgets who is due. Where that fails, or where nobody is there who could, they wait on.
    pub(crate) fn forget(&self) {
        let due = held(&self.whom).due.clone();
        let coops: BTreeSet<CoopId> = due.iter().map(|(coop, _)| *coop).collect();
        for coop in coops {
            let of_coop = due.iter().filter(|(of, _)| *of == coop);
            let phones = of_coop.map(|(_, phone)| phone.clone()).collect();
            match self.have_done(&Chore::Forget(coop, phones)) {
                None => return,
                Some(Ok(entries)) => {
                    tracing::info!(entries, "what links kept of erased members is gone");
                    held(&self.whom).due.retain(|(of, _)| *of != coop);
                }
                Some(Err(why)) => tracing::error!(
                    %why,
                    "links still keep what erased members sent; it is tried again when the gateway next starts"
                ),
            }
        }
        self.write_down();
    }

    /// Has everybody do a chore, whoever fails; none where nobody is there.
    fn have_done(&self, chore: &Chore) -> Option<io::Result<usize>> {
        let hands = held(&self.hands);
        let done: Vec<io::Result<usize>> = hands.iter().map(|hand| hand(chore)).collect();
        (!done.is_empty()).then(|| done.into_iter().sum())
    }
}

fn failed(why: io::Error) -> CounterError {
    CounterError::Folder {
        what: "reading whom the links are to forget".to_owned(),
        why: why.to_string(),
    }
}

impl Counter {
    /// Names one who keeps something of members beside the store. It is called from the writer, so it must not wait for the counter.
    pub fn keeps_beside(&self, hand: Hand) {
        held(&self.0.beside.hands).push(hand);
    }

    /// Everybody who keeps something beside the store is there: they forget whom a process that died could not tell them of.
    pub fn all_beside_are_here(&self) {
        self.0.beside.forget();
    }

    /// What is done with, and octets older than `before` that nobody could read, go beside the store too. How many entries.
    ///
    /// # Errors
    /// What a disk says; the others have done their part.
    pub fn expire_beside(&self, before: DateTime<Utc>) -> io::Result<usize> {
        let now = self.clock().now();
        let done = self.0.beside.have_done(&Chore::Expire { now, before });
        done.unwrap_or(Ok(0))
    }
}
