//! `check`, `export`, `import`, `compact`, `archive`, `backup`, `restore`: keeping a data folder well.

use crate::cli::Failure;
use crate::cli::errand::Errand;
use crate::cli::place::Place;
use crate::clock::Clock;
use crate::counter::keeping;
use chrono::{Duration, NaiveTime};
use clap::ValueEnum;
use std::fs::File;
use std::path::{Path, PathBuf};

/// `check`'s words.
#[derive(Debug, clap::Args)]
pub struct Check {
    #[command(flatten)]
    place: Place,
}

/// `export`'s words.
#[derive(Debug, clap::Args)]
pub struct Export {
    #[command(flatten)]
    place: Place,
    /// What to export.
    #[arg(long, value_enum, default_value_t = What::All)]
    what: What,
    /// The file for `all`, packed where its name ends in .gz; else standard output.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// What can be exported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum What {
    /// Every record, a JSON line each, to be read by `import`.
    All,
    /// CSV of every harvest that stands: member,cage,day,grams,entered_by,message_id.
    Harvests,
}

/// `import`'s and `restore`'s words.
#[derive(Debug, clap::Args)]
pub struct Import {
    #[command(flatten)]
    place: Place,
    /// An export or a backup.
    file: PathBuf,
}

/// `compact`'s words.
#[derive(Debug, clap::Args)]
pub struct Compact {
    #[command(flatten)]
    place: Place,
}

/// `archive`'s words.
#[derive(Debug, clap::Args)]
pub struct Archive {
    #[command(flatten)]
    place: Place,
    /// Messages received more than so many days ago go; else the settings' `archive.after_days`.
    #[arg(long, value_name = "DAYS")]
    older_than: Option<u32>,
    /// Where the file goes; else the settings' `archive.folder`, or `archive` in the data folder.
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
}

/// `backup`'s words.
#[derive(Debug, clap::Args)]
pub struct Backup {
    #[command(flatten)]
    place: Place,
    /// Where the file goes; else the settings' `backup.folder`.
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
}

/// Carries out `check`.
///
/// # Errors
/// In words for the operator.
pub fn check(args: &Check) -> Result<(), Failure> {
    args.place.carry(Errand::Check)
}

/// Carries out `export`.
///
/// # Errors
/// In words for the operator.
pub fn export(args: &Export) -> Result<(), Failure> {
    match (args.what, &args.out) {
        (What::Harvests, None) => args.place.carry(Errand::Harvests(args.place.coop())),
        (What::Harvests, Some(_)) => {
            Err("harvests go to standard output; expected `export --what harvests > FILE`".into())
        }
        (What::All, Some(file)) => args.place.carry(Errand::Export(absolute(file)?)),
        (What::All, None) => {
            // The gateway that runs writes a file of its own, so that its batches do not wait for our reader.
            let aside = tempfile::tempdir()?;
            let file = aside.path().join("export.ndjson");
            args.place.carry(Errand::Export(file.clone()))?;
            std::io::copy(&mut File::open(file)?, &mut std::io::stdout().lock())?;
            Ok(())
        }
    }
}

/// Carries out `import` and `restore`: both fill an empty folder from a file.
///
/// # Errors
/// In words for the operator.
pub fn import(args: &Import) -> Result<(), Failure> {
    let dir = args.place.settings()?.store.folder;
    let records = keeping::import(&dir, &args.file)?;
    eprintln!("{records} records are now in {}", dir.display());
    Ok(())
}

/// Carries out `compact`, which needs the folder for itself.
///
/// # Errors
/// In words for the operator.
pub fn compact(args: &Compact) -> Result<(), Failure> {
    let dir = args.place.settings()?.store.folder;
    if !dir.join("store").exists() {
        return Err(format!("{} is no data folder", dir.display()).into());
    }
    let (before, after) = keeping::compact(&dir)?;
    eprintln!("{before} bytes before, {after} after");
    Ok(())
}

/// Carries out `archive`.
///
/// # Errors
/// In words for the operator.
pub fn archive(args: &Archive) -> Result<(), Failure> {
    let settings = args.place.settings()?;
    let days = args.older_than.unwrap_or(settings.archive.after_days);
    if days == 0 {
        return Err("expected an age, such as --older-than 90".into());
    }
    let folder = match (&args.to, settings.archive.folder.as_str()) {
        (Some(folder), _) => folder.clone(),
        (None, "") => settings.store.folder.join("archive"),
        (None, folder) => PathBuf::from(folder),
    };
    let day = Clock::System.now() - Duration::days(i64::from(days));
    args.place.carry(Errand::Archive {
        folder: absolute(&folder)?,
        before: day.date_naive().and_time(NaiveTime::MIN).and_utc(),
    })
}

/// Carries out `backup`.
///
/// # Errors
/// In words for the operator.
pub fn backup(args: &Backup) -> Result<(), Failure> {
    let settings = args.place.settings()?;
    let folder = match (&args.to, settings.backup.folder.as_str()) {
        (Some(folder), _) => folder.clone(),
        (None, "") => return Err("expected a folder, such as --to /mnt/backup".into()),
        (None, folder) => PathBuf::from(folder),
    };
    args.place.carry(Errand::Backup {
        folder: absolute(&folder)?,
        keep: settings.backup.keep as usize,
        keep_days: settings.backup.keep_days,
    })
}

/// The running gateway has another working folder than the caller.
fn absolute(path: &Path) -> Result<PathBuf, Failure> {
    Ok(std::path::absolute(path)?)
}
