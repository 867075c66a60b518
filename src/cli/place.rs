//! Where a command works: the settings file and the data folder, and who has the folder now.
//!
//! A command tries the side door first; where no gateway runs on the folder, it opens the folder itself.

use crate::cli::Failure;
use crate::cli::errand::{self, Errand};
use crate::cli::fitting::counter_settings;
use crate::clock::Clock;
use crate::config::Settings;
use crate::config::layers::PREFIX;
use crate::counter::Counter;
use crate::counter::side_door::{self, DoorError};
use crate::demo::seed::{self, Mark};
use crate::domain::message::{CoopId, LinkName};
use chrono::{DateTime, Duration, Utc};
use std::path::{Path, PathBuf};

/// The link of messages that an operator says where the settings name none.
const OPERATORS_LINK: &str = "say";

/// Which folder, by which settings.
#[derive(Clone, Debug, clap::Args)]
pub struct Place {
    /// The data folder; without it the settings' `store.folder`.
    #[arg(long, value_name = "FOLDER")]
    pub data: Option<PathBuf>,
    /// The settings file.
    #[arg(long, value_name = "FILE", env = "CLUTCHLINE_CONFIG")]
    pub config: Option<PathBuf>,
    /// The cooperative's number in the folder.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub coop: u16,
}

impl Place {
    /// The effective settings, `--data` included.
    ///
    /// # Errors
    /// Says which key is wrong.
    pub fn settings(&self) -> Result<Settings, Failure> {
        let variables = std::env::vars_os().filter_map(|(name, value)| {
            let name = name.into_string().ok()?;
            if !name.starts_with(PREFIX) {
                return None;
            }
            Some((name, value.to_string_lossy().into_owned()))
        });
        let mut settings = Settings::read(self.config.as_deref(), variables)?;
        if let Some(data) = &self.data {
            settings.store.folder.clone_from(data);
        }
        Ok(settings)
    }

    /// The cooperative.
    #[must_use]
    pub const fn coop(&self) -> CoopId {
        CoopId(self.coop)
    }

    /// Has an errand done, by the running gateway or here; what it prints goes to standard output.
    ///
    /// # Errors
    /// In words for the operator.
    pub fn carry(&self, errand: Errand) -> Result<(), Failure> {
        let settings = self.settings()?;
        let dir = &settings.store.folder;
        let mut out = std::io::stdout().lock();
        match side_door::call(dir, &serde_json::to_vec(&errand)?, &mut out) {
            Ok(()) => {
                eprintln!("done by the gateway that runs on {}", dir.display());
                return Ok(());
            }
            Err(DoorError::Nobody) => {}
            Err(error) => return Err(error.into()),
        }
        if !founds(&errand) && !dir.join("store").exists() {
            return Err(format!(
                "{} is no data folder yet; found a cooperative with `coop init`, or fill it with `serve --demo --data {}`",
                dir.display(),
                dir.display()
            )
            .into());
        }
        let counter = open(&settings, said_at(&errand))?;
        let done = errand::run(&counter, errand, &mut out);
        counter.close()?;
        Ok(done?)
    }

    /// The link by which an operator speaks, and how old a message may be: the demo's in a demo's folder.
    ///
    /// # Errors
    /// When the settings or the folder's mark do not read.
    pub fn link(&self) -> Result<(LinkName, Option<Duration>), Failure> {
        let settings = self.settings()?;
        if Mark::of(&settings.store.folder)?.is_some() {
            return Ok((LinkName(seed::LINK.to_owned()), None));
        }
        let oldest = counter_settings(&settings).oldest_sent_at;
        Ok((LinkName(OPERATORS_LINK.to_owned()), oldest))
    }
}

const fn founds(errand: &Errand) -> bool {
    use crate::counter::answers::OfficeRequest;
    matches!(errand, Errand::Office(OfficeRequest::Found { .. }))
}

const fn said_at(errand: &Errand) -> Option<DateTime<Utc>> {
    match errand {
        Errand::Say(saying) => saying.at,
        _ => None,
    }
}

/// Opens a folder that nobody has. A message that is said to be of a moment meets a clock that stands there: nobody waits for anything else.
fn open(settings: &Settings, at: Option<DateTime<Utc>>) -> Result<Counter, Failure> {
    let dir: &Path = &settings.store.folder;
    let (fitted, now) = match Mark::of(dir)? {
        Some(mark) => (crate::cli::demo::settings(), mark.now()),
        None => (counter_settings(settings), None),
    };
    let clock = match (now, at) {
        (Some(now), at) => Clock::standing(at.unwrap_or(now).max(now)),
        (None, Some(at)) => Clock::standing(at),
        (None, None) => Clock::System,
    };
    Ok(Counter::open(dir, fitted, clock)?)
}
