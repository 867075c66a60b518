//! Keeping a data folder well: export, check, backups kept by count and age, archives of old messages, a fresh store without the slack.
//!
//! What reads the whole store of a running gateway does so between two batches, so that it shows one moment; messages wait meanwhile. This room
//! does not know when anything is to be done.

use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::folder::Folder;
use crate::counter::job::Job;
use crate::counter::kept_file::{
    ALONE, ARCHIVE_START, BACKUP_END, BACKUP_START, failed, opened, put_in_place, write_export,
    write_file,
};
use crate::store::check::Report;
use crate::store::keys::millis;
use crate::store::{Store, StoreError};
use chrono::{DateTime, Duration, Utc};
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader};
use std::path::{Path, PathBuf};

/// Which backups stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The newest so many, whatever their age; at least 1.
    pub count: usize,
    /// Others until they are this old.
    pub age: Duration,
}

impl Counter {
    /// Runs `look` on the store between two batches: what it sees is one moment, and nothing is committed meanwhile.
    pub(crate) fn between_batches<T: Send + 'static>(
        &self,
        look: impl FnOnce(&Store) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, CounterError> {
        self.ask(|answer| {
            Job::Hold(Box::new(move |store: &Store| {
                answer.send(look(store).map_err(CounterError::from)).ok();
            }))
        })
    }

    /// Checks every record against its checksum, every state against its events, every order against its rows.
    ///
    /// # Errors
    /// When the database fails; damage is in the report.
    pub fn check(&self) -> Result<Report, CounterError> {
        self.between_batches(Store::check)
    }

    /// Writes everything to `file`, gzip where its name ends in `.gz`; it appears whole or not at all. How many records.
    ///
    /// # Errors
    /// When the store or the disk fails.
    pub fn export_to(&self, file: &Path) -> Result<u64, CounterError> {
        let part = file.with_added_extension("part");
        let written = part.clone();
        let packed = file.extension().is_some_and(|end| end == "gz");
        let records = self.between_batches(move |store| write_export(store, &written, packed))?;
        let what = format!("putting {} in its place", file.display());
        put_in_place(&part, file).map_err(failed(what))?;
        Ok(records)
    }

    /// Writes a dated backup into `folder` and removes those that need not stay. The new file, and how many went.
    ///
    /// # Errors
    /// When the store or the disk fails; no old backup is removed then.
    pub fn backup(&self, folder: &Path, kept: Kept) -> Result<(PathBuf, usize), CounterError> {
        let what = format!("the backup folder {}", folder.display());
        fs::create_dir_all(folder).map_err(failed(what.clone()))?;
        let now = self.clock().now();
        let name = format!("{BACKUP_START}{}{BACKUP_END}", now.format("%Y%m%dT%H%M%SZ"));
        let file = folder.join(name);
        self.export_to(&file)?;
        let removed = prune(folder, kept, now).map_err(failed(what))?;
        Ok((file, removed))
    }

    /// Empties the texts of messages received before `before`; how many.
    ///
    /// # Errors
    /// When the store or the disk fails.
    pub fn empty_texts(&self, before: DateTime<Utc>) -> Result<usize, CounterError> {
        self.between_batches(move |store| store.empty_texts(before))
    }

    /// Moves messages received before `before` into a dated archive in `folder`; their events stay. The file and how many; none where none is old.
    ///
    /// # Errors
    /// When the store or the disk fails; messages leave the store only when the archive is on disk.
    pub fn archive(
        &self,
        folder: &Path,
        before: DateTime<Utc>,
    ) -> Result<Option<(PathBuf, u64)>, CounterError> {
        let what = format!("the archive folder {}", folder.display());
        fs::create_dir_all(folder).map_err(failed(what.clone()))?;
        let name = format!(
            "{ARCHIVE_START}{}-{}{BACKUP_END}",
            before.format("%Y%m%d"),
            millis(self.clock().now())
        );
        let file = folder.join(name);
        let part = file.with_added_extension("part");
        let (written, named) = (part.clone(), file.clone());
        let moved = self.between_batches(move |store| {
            let moved = write_file(&written, true, |to| store.export_messages(before, to))?;
            if moved == 0 {
                fs::remove_file(&written).ok();
                return Ok(0);
            }
            let what = format!("putting {} in its place", named.display());
            put_in_place(&written, &named).map_err(|why| StoreError::File { what, why })?;
            store.remove_messages(before)?;
            Ok(moved)
        })?;
        Ok((moved > 0).then_some((file, moved)))
    }
}

/// Removes backups that need not stay; how many.
fn prune(folder: &Path, kept: Kept, now: DateTime<Utc>) -> io::Result<usize> {
    let mut backups: Vec<(DateTime<Utc>, PathBuf)> = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if let Some(at) = path
            .file_name()
            .and_then(|name| backup_moment(&name.to_string_lossy()))
        {
            backups.push((at, path));
        }
    }
    backups.sort();
    let newest = backups.len().saturating_sub(kept.count.max(1));
    let mut removed = 0;
    for (at, path) in backups.into_iter().take(newest) {
        if now - at > kept.age {
            fs::remove_file(path)?;
            removed += 1;
        }
    }
    Ok(removed)
}

/// The moment that a backup of that name shows.
fn backup_moment(name: &str) -> Option<DateTime<Utc>> {
    let moment = name.strip_prefix(BACKUP_START)?.strip_suffix(BACKUP_END)?;
    let moment = chrono::NaiveDateTime::parse_from_str(moment, "%Y%m%dT%H%M%SZ").ok()?;
    Some(moment.and_utc())
}

/// Fills the data folder `dir`, which must be empty or new, from an export or backup. How many records.
///
/// # Errors
/// When the folder is in use or not empty, or the file is not a whole export.
pub fn import(dir: &Path, file: &Path) -> Result<u64, CounterError> {
    let folder = Folder::lock(dir)?;
    let mut input = opened(file)?;
    // Filled beside its place: an import cut short must not be served as if it were whole.
    if folder.store().exists() && !Store::open(&folder.store(), ALONE)?.is_empty()? {
        let why = "an import needs an empty data folder; name a new one with --data".to_owned();
        return Err(StoreError::Line { line: 1, why }.into());
    }
    let store = Store::open(&folder.fresh(), ALONE)?;
    let records = store.import(&mut *input)?;
    drop(store);
    let what = "putting the imported store in its place".to_owned();
    folder.swap().map_err(failed(what))?;
    Ok(records)
}

/// Writes the store of `dir` anew without the slack that churn leaves, checks the copy and puts it in the old one's place. Bytes before and after.
///
/// # Errors
/// When the folder is in use, or the copy is not the same; the old store then stays.
pub fn compact(dir: &Path) -> Result<(u64, u64), CounterError> {
    let folder = Folder::lock(dir)?;
    let (old, new) = (folder.store(), folder.fresh());
    let [file, again] = folder.copies();
    let store = Store::open(&old, ALONE)?;
    let before = store.size_on_disk()?;
    write_export(&store, &file, false)?;
    drop(store);
    let fresh = Store::open(&new, ALONE)?;
    let input = File::open(&file).map_err(failed("reading the copy".to_owned()))?;
    fresh.import(&mut BufReader::new(input))?;
    write_export(&fresh, &again, false)?;
    let after = fresh.size_on_disk()?;
    drop(fresh);
    if !same_bytes(&file, &again).map_err(failed("comparing the copy".to_owned()))? {
        return Err(CounterError::Store(
            "the compacted store is not the same as the old one, which stays".to_owned(),
        ));
    }
    let swap = || {
        folder.swap()?;
        fs::remove_file(&file)?;
        fs::remove_file(&again)
    };
    swap().map_err(failed("swapping the compacted store in".to_owned()))?;
    Ok((before, after))
}

fn same_bytes(a: &Path, b: &Path) -> io::Result<bool> {
    let (mut a, mut b) = (
        BufReader::new(File::open(a)?),
        BufReader::new(File::open(b)?),
    );
    loop {
        let (left, right) = (a.fill_buf()?, b.fill_buf()?);
        let n = left.len().min(right.len());
        if left.get(..n) != right.get(..n) {
            return Ok(false);
        }
        if n == 0 {
            return Ok(left.len() == right.len());
        }
        a.consume(n);
        b.consume(n);
    }
}
