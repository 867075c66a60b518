//! `[links.NAME.modem]`: one GSM modem on a serial port, and its SIM.
//!
//! Says what can be set and what each default is for; [`crate::links::modem::profile`] is what comes of it. Opens nothing.

use crate::config::Link;
use crate::config::smpp::{Misfit, one_of, yes};
use crate::links::modem::pin::Pin;
use crate::links::modem::profile::{Limits, Profile};
use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// Speeds that a serial port commonly has.
const SPEEDS: [u32; 10] = [
    1_200, 2_400, 4_800, 9_600, 19_200, 38_400, 57_600, 115_200, 230_400, 460_800,
];

/// `[links.NAME.modem]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Modem {
    /// The serial port; a name below `/dev/serial/by-id` stays the same when the modem is plugged in again.
    pub path: String,
    /// Its speed in bits a second; modems on USB do not mind.
    pub baud: u32,
    /// The SIM's PIN; empty: the SIM must not want one.
    pub pin: String,
    /// A file with the PIN, which only its owner may read; instead of `pin`.
    pub pin_file: String,
    /// Where messages are stored: `SM` the SIM, `ME` the modem, `MT` both.
    pub storage: String,
    /// Seconds between two looks at storage, signal and registration.
    pub poll_secs: u32,
    /// Seconds that the network may take over a text; then it is unknown.
    pub send_secs: u32,
    /// `yes`: delivery receipts are asked for; `no`: they are not, for operators that charge for them.
    pub receipts: String,
    /// `yes`: the network is told how long a text is worth sending; `no`: it is not.
    pub validity: String,
}

impl Default for Modem {
    fn default() -> Self {
        Self {
            path: String::new(),
            // What most modems begin with (common practice, no source).
            baud: 115_200,
            pin: String::new(),
            pin_file: String::new(),
            // Survives a modem that breaks.
            storage: "SM".to_owned(),
            poll_secs: 30,
            // Networks answer within seconds, at the worst within a minute or two (from memory); a lease of two minutes must outlast the wait.
            send_secs: 60,
            receipts: "yes".to_owned(),
            validity: "yes".to_owned(),
        }
    }
}

impl Modem {
    /// The same as without the section: it is not shown then.
    #[must_use]
    pub fn is_default(&self) -> bool {
        *self == Self::default()
    }

    /// The file that holds the PIN, where one is set.
    #[must_use]
    pub fn pin_file(&self) -> Option<&Path> {
        let path = Some(Path::new(&self.pin_file));
        path.filter(|path| !path.as_os_str().is_empty())
    }

    /// The profile of this modem, for `link`; a PIN that stands in a file is not in it yet.
    ///
    /// # Errors
    /// The first value that does not fit.
    pub fn profile(&self, link: &Link) -> Result<Profile, Misfit> {
        if !self.path.starts_with('/') {
            return Err(("path", "the whole path of a serial port"));
        }
        if !SPEEDS.contains(&self.baud) {
            return Err(("baud", "a serial port's speed"));
        }
        if !self.pin.is_empty() && !self.pin_file.is_empty() {
            return Err(("pin_file", "empty where `pin` is set"));
        }
        let pin = match self.pin.as_str() {
            "" => None,
            text => Some(Pin::new(text).ok_or(("pin", "four to eight digits in quotes"))?),
        };
        let storages = [("SM", "SM"), ("ME", "ME"), ("MT", "MT")];
        let wanted = "\"SM\", \"ME\" or \"MT\"";
        let storage = one_of("storage", wanted, &self.storage, &storages)?;
        if !(1..=600).contains(&self.poll_secs) {
            return Err(("poll_secs", "from 1 to 600"));
        }
        if !(5..=100).contains(&self.send_secs) {
            return Err(("send_secs", "from 5 to 100"));
        }
        Ok(Profile {
            path: PathBuf::from(&self.path),
            baud: self.baud,
            pin,
            per_second: link.rate_per_second,
            country: link.country.clone(),
            receipts: yes("receipts", &self.receipts)?,
            validity: yes("validity", &self.validity)?,
            limits: Limits {
                storage: storage.to_owned(),
                poll_every: TimeDelta::seconds(i64::from(self.poll_secs)),
                send_wait: TimeDelta::seconds(i64::from(self.send_secs)),
            },
        })
    }
}
