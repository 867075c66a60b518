//! The data folder of a command, and who does its errand: the gateway that runs on it, or this process.
//!
//! This room does not know what errands there are beyond handing them on.

use crate::cli::Trouble;
use crate::cli::errand::{self, Errand, Here};
use crate::cli::ways;
use crate::clock::Clock;
use crate::config::Settings;
use crate::config::layers::PREFIX;
use crate::counter::Counter;
use crate::counter::answers::CounterError;
use crate::counter::keeping;
use crate::counter::side_door::{self, DoorError};
use crate::demo::seed::{self, Mark};
use chrono::{DateTime, Utc};
use clap::Args;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Which data folder.
#[derive(Args, Clone, Debug)]
pub struct Place {
    /// The data folder; the settings' one, where not given
    #[arg(long, global = true)]
    pub data: Option<PathBuf>,
    /// The settings file
    #[arg(long, global = true)]
    pub config: Option<PathBuf>,
}

impl Place {
    /// The settings of this command line and its environment.
    ///
    /// # Errors
    /// As the settings say.
    pub fn settings(&self) -> Result<Settings, Trouble> {
        // A name or value that is no UTF-8 is none of ours, or is refused by its key as it then reads.
        let variables = std::env::vars_os().filter_map(|(name, value)| {
            let name = name.into_string().ok()?;
            name.starts_with(PREFIX)
                .then(|| (name, value.to_string_lossy().into_owned()))
        });
        let mut settings =
            Settings::read(self.config.as_deref(), variables).map_err(Trouble::of)?;
        if let Some(data) = &self.data {
            settings.store.folder.clone_from(data);
        }
        Ok(settings)
    }

    /// What the next command needs to reach the same folder, such as ` --data DIR`; empty where the defaults do.
    #[must_use]
    pub fn again(&self) -> String {
        let flag = |name: &str, path: &Option<PathBuf>| {
            let path = path.as_ref()?;
            Some(format!(" --{name} {}", path.display()))
        };
        let flags = [flag("data", &self.data), flag("config", &self.config)];
        flags.into_iter().flatten().collect()
    }

    /// The folder named on the command line, else the settings' default.
    #[must_use]
    pub fn folder(&self) -> PathBuf {
        self.settings()
            .map_or_else(|_| PathBuf::from("."), |settings| settings.store.folder)
    }
}

/// The path from the root: the running gateway stands in another folder than this command.
///
/// # Errors
/// When the current folder is gone.
pub fn absolute(path: &Path) -> Result<PathBuf, Trouble> {
    std::path::absolute(path).map_err(Trouble::of)
}

/// Does the errand and prints what it prints: through the gateway that holds the folder, or here.
///
/// # Errors
/// When it was not done; the message says why.
pub fn reach(place: &Place, errand: &Errand) -> Result<(), Trouble> {
    let settings = place.settings()?;
    let dir = &settings.store.folder;
    if !errand.may_make_folder() && !dir.join("lock").exists() {
        return Err(Trouble(format!(
            "{} is not a data folder; make one with `clutchline coop init --data {}`, or name another with --data",
            dir.display(),
            dir.display()
        )));
    }
    let mut out = io::stdout().lock();
    let bytes = serde_json::to_vec(errand).map_err(Trouble::of)?;
    match side_door::call(dir, &bytes, &mut out) {
        Ok(()) => eprintln!("(done by the gateway that runs on {})", dir.display()),
        Err(DoorError::Nobody) => {
            let counter = open(&settings, errand.moment())?;
            let here = Here {
                counter,
                board: None,
            };
            let done = errand::run(errand, &here, &mut out);
            here.counter.close().map_err(Trouble::of)?;
            done.map_err(Trouble)?;
        }
        Err(error) => return Err(Trouble::of(error)),
    }
    out.flush().map_err(Trouble::of)
}

/// Opens the folder for this process alone. A message that is said to be of a moment meets a clock that stands there: nobody else waits for it. A
/// demo's folder keeps the demo's day and rules.
fn open(settings: &Settings, moment: Option<DateTime<Utc>>) -> Result<Counter, Trouble> {
    let dir = &settings.store.folder;
    let mark = Mark::of(dir).map_err(|why| Trouble(format!("{}: {why}", dir.display())))?;
    let choices = match mark {
        Some(_) => seed::settings(),
        None => settings.counter(),
    };
    let clock = match (mark.and_then(|mark| mark.now()), moment) {
        (Some(now), moment) => Clock::standing(moment.unwrap_or(now).max(now)),
        (None, Some(moment)) => Clock::standing(moment),
        (None, None) => Clock::System,
    };
    let counter = Counter::open(dir, choices, clock).map_err(|error| explain(&error))?;
    ways::look_after(settings, &counter, false);
    Ok(counter)
}

fn explain(error: &CounterError) -> Trouble {
    match error {
        CounterError::InUse(dir) => Trouble(format!(
            "{dir} is in use by another process that does not answer at its side door; wait until it ends, or stop it"
        )),
        other => Trouble::of(other),
    }
}

/// Fills an empty folder; only where no gateway runs on it.
///
/// # Errors
/// When the folder is not empty or the file is not a whole export.
pub fn import(place: &Place, file: &Path) -> Result<(), Trouble> {
    let dir = place.settings()?.store.folder;
    let records = keeping::import(&dir, file).map_err(|error| explain(&error))?;
    println!("{records} records read into {}", dir.display());
    println!("Next: clutchline check --data {}", dir.display());
    Ok(())
}

/// Writes the store anew; only where no gateway runs on it.
///
/// # Errors
/// When the folder is in use or the copy is not the same.
pub fn compact(place: &Place) -> Result<(), Trouble> {
    let dir = place.settings()?.store.folder;
    let (before, after) = keeping::compact(&dir).map_err(|error| explain(&error))?;
    println!("{} kB before, {} kB now", before / 1024, after / 1024);
    Ok(())
}
