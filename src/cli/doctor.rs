//! `doctor`: looks at what usually goes wrong with a gateway, and says what to do about each.
//!
//! Reads only. This room does not know how anything is mended.

use crate::cli::Trouble;
use crate::cli::errand::Errand;
use crate::cli::folder::{Place, reach};
use crate::clock::Clock;
use crate::config::{Link, Settings};
use crate::links::modem::{pin, port};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, SystemTime};

/// Below this a night's backup or a database's growth may not fit.
const FREE_KB_LEAST: u64 = 500 * 1024;
/// A nightly backup that is older was missed.
const BACKUP_AGE_MOST: Duration = Duration::from_secs(26 * 3_600);
/// Nobody has this program on a machine that is right about an earlier year.
const YEAR_LEAST: i32 = 2026;
/// Letters below which a secret can be guessed.
const SECRET_LEAST: usize = 16;

/// What was looked at: fine, or what is wrong and what to do.
type Finding = Result<String, String>;

/// Looks at everything and prints a line for each; fails where something is wrong.
///
/// # Errors
/// When something is wrong.
pub fn run(place: &Place) -> Result<(), Trouble> {
    let settings = place.settings()?;
    let mut findings = vec![Ok("settings: they read".to_owned())];
    if let Some(config) = &place.config {
        findings.push(secrets_are_private(config));
    }
    findings.push(clock(&settings));
    findings.push(disk(&settings.store.folder));
    findings.extend(links(&settings));
    findings.push(backups(&settings));
    let mut wrong = 0;
    for finding in &findings {
        match finding {
            Ok(fine) => println!("ok    {fine}"),
            Err(why) => {
                wrong += 1;
                println!("WRONG {why}");
            }
        }
    }
    println!("store:");
    reach(place, &Errand::Check)?;
    match wrong {
        0 => Ok(()),
        _ => Err(Trouble(format!("{wrong} things need care; see above"))),
    }
}

fn secrets_are_private(config: &Path) -> Finding {
    let shown = config.display();
    let mode = std::fs::metadata(config)
        .map_err(|why| format!("settings: {shown}: {why}"))?
        .permissions()
        .mode();
    if mode & 0o077 == 0 {
        Ok(format!("settings: only their owner reads {shown}"))
    } else {
        Err(format!(
            "settings: others can read the secrets in {shown}; do: chmod 600 {shown}"
        ))
    }
}

fn clock(settings: &Settings) -> Finding {
    let now = Clock::System.now();
    let year = chrono::Datelike::year(&now);
    if year < YEAR_LEAST {
        return Err(format!(
            "clock: it shows {year}; set it, and turn on time synchronisation (timedatectl set-ntp true)"
        ));
    }
    let store = settings.store.folder.join("store/db");
    let written = std::fs::metadata(store).and_then(|meta| meta.modified());
    if written.is_ok_and(|written| written > SystemTime::from(now) + Duration::from_secs(60)) {
        return Err("clock: the store was last written in the future; the clock was put back. Messages would be dated wrongly: set it".to_owned());
    }
    Ok(format!("clock: {}", now.format("%Y-%m-%dT%H:%M:%SZ")))
}

/// Asks `df` (POSIX): the fourth field of its second line is what is free, in kB.
fn disk(folder: &Path) -> Finding {
    let shown = folder.display();
    let output = Command::new("df").arg("-Pk").arg(folder).output();
    let text = output
        .map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
        .unwrap_or_default();
    let free = text
        .lines()
        .nth(1)
        .and_then(|line| line.split_whitespace().nth(3)?.parse::<u64>().ok());
    match free {
        None => Err(format!(
            "disk: {shown} is not there yet; do: clutchline coop init --data {shown} ..."
        )),
        Some(free) if free < FREE_KB_LEAST => Err(format!(
            "disk: only {} MB are free at {shown}; make room: old backups first, then clutchline archive and clutchline compact",
            free / 1024
        )),
        Some(free) => Ok(format!("disk: {} MB are free at {shown}", free / 1024)),
    }
}

fn links(settings: &Settings) -> Vec<Finding> {
    if settings.links.is_empty() {
        let why = "links: there is none, so nothing can come in; do: clutchline link add north";
        return vec![Err(why.to_owned())];
    }
    let sends = settings
        .links
        .values()
        .any(|link| link.kind != "http" || !link.send_url.is_empty());
    let mut findings = Vec::new();
    if !sends {
        findings.push(Err("links: none has a way out (send_url), so no reminder leaves; set links.NAME.send_url to your aggregator's address".to_owned()));
    }
    for (name, link) in &settings.links {
        if link.kind == "modem" {
            findings.push(modem(name, link));
            continue;
        }
        findings.push(if (1..SECRET_LEAST).contains(&link.secret.len()) {
            Err(format!(
                "links: the secret of {name} is short; do: clutchline link add {name} makes a new one"
            ))
        } else {
            Ok(format!("links: {name}"))
        });
    }
    findings
}

/// Whether the port is there and can be opened, and whether the PIN's file is for its owner only. Says nothing to the modem.
fn modem(name: &str, link: &Link) -> Finding {
    let shown = &link.modem.path;
    if let Some(file) = link.modem.pin_file() {
        pin::from_file(file).map_err(|why| format!("links: {name}: {why}"))?;
    }
    let path = Path::new(shown);
    if !path.exists() {
        return Err(format!(
            "links: {name}: {shown} is not there; is the modem plugged in? ls /dev/serial/by-id shows what is"
        ));
    }
    match port::open(path, link.modem.baud) {
        Ok(_) => Ok(format!("links: {name}: {shown} can be opened")),
        Err(why) if why.kind() == serialport::ErrorKind::NoDevice => Ok(format!(
            "links: {name}: {shown} is in use; by the gateway, where it runs"
        )),
        Err(why) => Err(format!(
            "links: {name}: {shown} cannot be opened: {why}; is it a serial port, and may this user use it? On Debian: usermod -aG dialout USER"
        )),
    }
}

fn backups(settings: &Settings) -> Finding {
    let folder = &settings.backup.folder;
    if folder.is_empty() {
        return Err(
            "backups: none are made; set backup.folder to a folder on another disk".to_owned(),
        );
    }
    let newest = std::fs::read_dir(folder)
        .map_err(|why| format!("backups: {folder}: {why}; is the disk there?"))?
        .filter_map(|entry| entry.ok()?.metadata().ok()?.modified().ok())
        .max();
    let age = newest.and_then(|newest| {
        SystemTime::from(Clock::System.now())
            .duration_since(newest)
            .ok()
    });
    match age {
        Some(age) if age <= BACKUP_AGE_MOST => Ok(format!(
            "backups: the newest is {} hours old",
            age.as_secs() / 3_600
        )),
        _ => Err(format!(
            "backups: {folder} has none of the last day; do: clutchline backup, and look into the log of the night"
        )),
    }
}
