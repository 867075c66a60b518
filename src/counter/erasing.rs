//! Erasing a member: here, and in the backups and archives that this machine keeps.
//!
//! A backup that was written before an erasure is filled into a store beside it, erased in there and written again under its name. This room does
//! not know copies that were carried elsewhere.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::kept_file::{is_kept_file, read_export, rewrite_export};
use crate::counter::readmodel::rows::{thread_key, unread_key};
use crate::domain::MemberNo;
use crate::domain::event::{Event, MemberEvent, StreamId};
use crate::domain::message::{CoopId, MessageNo};
use crate::store::draft::Draft;
use crate::store::keys::Shelf;
use crate::store::step::Step;
use crate::store::{Store, StoreError};
use chrono::{DateTime, Utc};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The members whom a step erases.
pub(crate) fn gone(step: &Step) -> Vec<MemberNo> {
    let erases = |event: &Event| matches!(event, Event::Member(MemberEvent::Erased));
    step.changes
        .iter()
        .filter(|change| change.events.iter().any(|one| erases(&one.event)))
        .filter_map(|change| match change.stream {
            StreamId::Member(no) => Some(no),
            _ => None,
        })
        .collect()
}

/// Takes a member out of the record and out of the rows that follow from it.
pub(crate) fn erase(
    draft: &mut Draft<'_>,
    coop: CoopId,
    member: MemberNo,
    last: MessageNo,
) -> Result<(), StoreError> {
    let erased = draft.erase(coop, member, last)?;
    for no in &erased.messages {
        draft.remove(Shelf::Threads, thread_key(coop, member, *no));
        draft.remove(Shelf::Unread, unread_key(coop, *no));
    }
    tracing::info!(
        member = member.0,
        messages = erased.messages.len(),
        events = erased.events,
        "a member was erased"
    );
    Ok(())
}

/// Who was erased, and when.
type Gone = Vec<(CoopId, MemberNo, DateTime<Utc>)>;

impl Counter {
    fn erased(&self) -> Result<Gone, CounterError> {
        let mut gone = Vec::new();
        for coop in self.0.store.coops()? {
            let mut left = Vec::new();
            self.0.store.members(coop, |stream| {
                if let crate::desk::streams::StreamState::Member(member) = &stream.state
                    && !member.joined
                    && stream.version > 0
                {
                    left.push(member.number);
                }
                Ok(())
            })?;
            for no in left {
                let mut at = None;
                self.0
                    .store
                    .events(coop, &StreamId::Member(no), |_, record| {
                        if record.recorded.event == Event::Member(MemberEvent::Erased) {
                            at = at.max(Some(record.recorded.at));
                        }
                        Ok(())
                    })?;
                gone.extend(at.map(|at| (coop, no, at)));
            }
        }
        Ok(gone)
    }

    /// Writes what is kept of a member, a record a line; how many.
    ///
    /// # Errors
    /// When the store fails.
    pub fn about(
        &self,
        coop: CoopId,
        member: MemberNo,
        to: &mut dyn io::Write,
    ) -> Result<u64, CounterError> {
        Ok(self.0.store.about(coop, member, to)?)
    }

    /// Erases in the backups and archives of a folder whoever was erased here after they were written. How many files were written again.
    ///
    /// # Errors
    /// When a file does not read or the disk fails; files done before stay done, and the next call goes on.
    pub fn erase_in_files(&self, folder: &Path) -> Result<usize, CounterError> {
        let gone = self.erased()?;
        if gone.is_empty() || !folder.exists() {
            return Ok(0);
        }
        let failed = |why: io::Error| CounterError::Folder {
            what: format!("erasing members in {}", folder.display()),
            why: why.to_string(),
        };
        let mut done = 0;
        for entry in fs::read_dir(folder).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            if !is_kept_file(&path) {
                continue;
            }
            let written = fs::metadata(&path).and_then(|about| about.modified());
            let written: DateTime<Utc> = written.map_err(failed)?.into();
            // What was written since has been erased already.
            let behind: Gone = gone
                .iter()
                .filter(|one| one.2 >= written)
                .copied()
                .collect();
            if !behind.is_empty() {
                erase_in(&path, &behind)?;
                done += 1;
            }
        }
        Ok(done)
    }
}

/// Beside the file, so that it lies on the same disk; hidden, so that nobody takes it for a backup.
fn aside(file: &Path) -> PathBuf {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    file.with_file_name(format!(".erasing-{name}"))
}

fn erase_in(file: &Path, gone: &Gone) -> Result<(), CounterError> {
    let dir = aside(file);
    let failed = |why: io::Error| CounterError::Folder {
        what: format!("the folder {}", dir.display()),
        why: why.to_string(),
    };
    if dir.exists() {
        fs::remove_dir_all(&dir).map_err(failed)?;
    }
    let store = read_export(&dir, file)?;
    for (coop, member, _) in gone {
        erase_once(&store, *coop, *member)?;
    }
    rewrite_export(&store, file)?;
    drop(store);
    fs::remove_dir_all(&dir).map_err(failed)
}

fn erase_once(store: &Store, coop: CoopId, member: MemberNo) -> Result<(), StoreError> {
    let mut draft = store.draft();
    // No row of a backup is an answer that still has to go out.
    draft.erase(coop, member, MessageNo(u64::MAX))?;
    if draft.is_empty() {
        Ok(())
    } else {
        store.commit(draft)
    }
}
