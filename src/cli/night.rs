//! What a gateway does once a night: it counts finished cages anew, makes the backup and the archive, and lets go of what was kept long enough.
//!
//! A step that fails is told and does not hold back the next. This room does not know when night is.

use crate::config::Settings;
use crate::counter::Counter;
use chrono::Duration;
use std::path::{Path, PathBuf};

/// Texts stay as long as a redelivery may ask for its answer: two shelves of redelivery keys, and a day.
const TEXTS_DAYS_LEAST: u32 = 10;

/// Octets that nobody could read are kept so long at the most: a quarter is time to look at them, and they are somebody's text.
const OCTETS_DAYS_MOST: u32 = 90;

/// The night's work.
pub fn work(counter: &Counter, settings: &Settings) {
    let now = counter.clock().now();
    recount(counter);
    if !settings.backup.folder.is_empty() {
        match counter.backup(Path::new(&settings.backup.folder), settings.kept()) {
            Ok((file, removed)) => {
                tracing::info!(file = %file.display(), removed, "backup written");
            }
            Err(error) => tracing::error!(%error, "the backup failed"),
        }
        erase_in(counter, Path::new(&settings.backup.folder));
    }
    let own = settings.store.folder.join("archive");
    let folder =
        Some(PathBuf::from(&settings.archive.folder)).filter(|f| !f.as_os_str().is_empty());
    let folder = folder.unwrap_or(own);
    if settings.archive.texts_days > 0 {
        let before =
            now - Duration::days(i64::from(settings.archive.texts_days.max(TEXTS_DAYS_LEAST)));
        match counter.empty_texts(before) {
            Ok(emptied) => tracing::info!(emptied, "old texts emptied"),
            Err(error) => tracing::error!(%error, "old texts could not be emptied"),
        }
    }
    if settings.archive.after_days > 0 {
        let before = now - Duration::days(i64::from(settings.archive.after_days));
        match counter.archive(&folder, before) {
            Ok(Some((file, moved))) => {
                tracing::info!(file = %file.display(), moved, "old messages archived");
            }
            Ok(None) => {}
            Err(error) => tracing::error!(%error, "the archive failed"),
        }
    }
    erase_in(counter, &folder);
    expire_octets(counter, settings.archive.texts_days);
}

/// Octets that nobody could read go as texts do, and after [`OCTETS_DAYS_MOST`] whatever the settings say.
fn expire_octets(counter: &Counter, texts_days: u32) {
    let texts = (texts_days > 0).then_some(texts_days);
    let days = texts.unwrap_or(OCTETS_DAYS_MOST).min(OCTETS_DAYS_MOST);
    let before = counter.clock().now() - Duration::days(i64::from(days));
    match counter.expire_beside(before) {
        Ok(0) => {}
        Ok(entries) => tracing::info!(entries, "old parts and octets of links removed"),
        Err(error) => tracing::error!(%error, "old octets of links are still there"),
    }
}

/// Erases in older files whoever was erased since they were written.
fn erase_in(counter: &Counter, folder: &Path) {
    match counter.erase_in_files(folder) {
        Ok(0) => {}
        Ok(files) => tracing::info!(files, "files written again without erased members"),
        Err(error) => tracing::error!(%error, "erased members are still in older files"),
    }
}

/// What wards know of finished cages, counted anew.
fn recount(counter: &Counter) {
    let coops = counter.coops().unwrap_or_default();
    for coop in coops {
        match counter.recount(coop) {
            Ok(runs) => tracing::info!(coop = coop.0, runs, "finished cages counted anew"),
            Err(error) => tracing::error!(%error, "finished cages could not be counted"),
        }
    }
}
