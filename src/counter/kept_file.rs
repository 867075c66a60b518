//! Files that hold an export: backups, archives and copies, written whole or not at all.
//!
//! This room does not know when one is due or how long it stays.

use crate::counter::answers::CounterError;
use crate::counter::folder::sync_folder;
use crate::store::{Sizes, Store, StoreError};
use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, BufWriter, Write};
use std::path::Path;

/// Backups are named after the moment that they show.
pub(crate) const BACKUP_START: &str = "clutchline-";
pub(crate) const ARCHIVE_START: &str = "messages-before-";
pub(crate) const BACKUP_END: &str = ".ndjson.gz";
/// How a store is opened for work on it alone.
pub(crate) const ALONE: Sizes = Sizes {
    cache_bytes: 64 * 1024 * 1024,
    cached_streams: 1_000,
};

pub(crate) fn failed(what: String) -> impl Fn(io::Error) -> CounterError {
    move |why| CounterError::Folder {
        what: what.clone(),
        why: why.to_string(),
    }
}

/// A backup or archive by its name.
pub(crate) fn is_kept_file(file: &Path) -> bool {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let starts = [BACKUP_START, ARCHIVE_START];
    name.ends_with(BACKUP_END) && starts.iter().any(|start| name.starts_with(start))
}

/// A store in the new folder `dir` with what a backup or archive holds.
pub(crate) fn read_export(dir: &Path, file: &Path) -> Result<Store, CounterError> {
    let store = Store::open(dir, ALONE)?;
    store.import(&mut *opened(file)?)?;
    Ok(store)
}

/// Writes a store over a backup or archive, whole or not at all.
pub(crate) fn rewrite_export(store: &Store, file: &Path) -> Result<(), CounterError> {
    let part = file.with_added_extension("part");
    write_export(store, &part, true)?;
    let what = format!("putting {} in its place", file.display());
    put_in_place(&part, file).map_err(failed(what))
}

/// An export's lines.
pub(crate) fn opened(file: &Path) -> Result<Box<dyn BufRead>, CounterError> {
    let what = format!("reading {}", file.display());
    let input = File::open(file).map_err(failed(what))?;
    Ok(if file.extension().is_some_and(|end| end == "gz") {
        Box::new(BufReader::new(GzDecoder::new(input)))
    } else {
        Box::new(BufReader::new(input))
    })
}

pub(crate) fn write_export(store: &Store, file: &Path, packed: bool) -> Result<u64, StoreError> {
    write_file(file, packed, |to| store.export(to))
}

/// Gives a written file its name, and waits until the name is on disk too.
pub(crate) fn put_in_place(part: &Path, file: &Path) -> io::Result<()> {
    fs::rename(part, file)?;
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => sync_folder(folder),
        _ => sync_folder(Path::new(".")),
    }
}

/// Writes a file and waits until it is on disk.
pub(crate) fn write_file(
    file: &Path,
    packed: bool,
    write: impl FnOnce(&mut dyn Write) -> Result<u64, StoreError>,
) -> Result<u64, StoreError> {
    let failed = |why| StoreError::File {
        what: format!("writing {}", file.display()),
        why,
    };
    let out = File::create(file).map_err(failed)?;
    if packed {
        let mut out = GzEncoder::new(BufWriter::new(out), Compression::fast());
        let records = write(&mut out)?;
        let out = out
            .finish()
            .and_then(|out| out.into_inner().map_err(io::IntoInnerError::into_error));
        out.and_then(|file| file.sync_all()).map_err(failed)?;
        Ok(records)
    } else {
        let mut out = BufWriter::new(out);
        let records = write(&mut out)?;
        let out = out.into_inner().map_err(io::IntoInnerError::into_error);
        out.and_then(|file| file.sync_all()).map_err(failed)?;
        Ok(records)
    }
}
