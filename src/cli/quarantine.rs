//! `links quarantine`: what networks sent and nobody could read, as the links kept it.
//!
//! Reads the files beside the store, whether a gateway runs or not; changes nothing. The octets may hold numbers and texts of members: they are
//! printed only where asked for.

use crate::cli::Trouble;
use crate::cli::folder::Place;
use crate::links::journal::{RawLine, raw_lines};
use clap::Args;
use std::io::Write;

/// `links quarantine`
#[derive(Args)]
pub struct QuarantineArgs {
    /// Of this link only
    #[arg(long)]
    link: Option<String>,
    /// Print the octets too: they may hold numbers and texts of members
    #[arg(long)]
    octets: bool,
    /// The newest so many of each link
    #[arg(long, default_value_t = 20)]
    most: usize,
}

/// Prints the newest of each link, oldest first.
///
/// # Errors
/// When the settings or a file cannot be read, or there is no such link.
pub fn run(place: &Place, args: &QuarantineArgs) -> Result<(), Trouble> {
    let settings = place.settings()?;
    let folder = settings.store.folder.join("links");
    if let Some(wanted) = &args.link
        && !settings.links.contains_key(wanted)
    {
        let known: Vec<&str> = settings.links.keys().map(String::as_str).collect();
        return Err(Trouble(format!(
            "expected one of the links {}",
            known.join(", ")
        )));
    }
    let wanted = |name: &&String| args.link.as_ref().is_none_or(|link| link == *name);
    let mut out = std::io::stdout().lock();
    for name in settings.links.keys().filter(wanted) {
        let lines = raw_lines(&folder, name).map_err(Trouble::of)?;
        let from = lines.len().saturating_sub(args.most);
        for line in lines.iter().skip(from) {
            writeln!(out, "{}", shown(name, line, args.octets)).map_err(Trouble::of)?;
        }
        let shown = lines.len() - from;
        let total = lines.len();
        writeln!(
            out,
            "{name}: {shown} of {total} shown; {}",
            folder.join(format!("{name}.raw")).display()
        )
        .map_err(Trouble::of)?;
    }
    let short = settings.links.values().any(|link| link.kind == "modem");
    if args.octets && short {
        let hint = "a modem's octets read with: clutchline pdu decode OCTETS";
        writeln!(out, "{hint}").map_err(Trouble::of)?;
    }
    Ok(())
}

fn shown(link: &str, line: &RawLine, octets: bool) -> String {
    let count = line.hex.len() / 2;
    let more = if octets {
        format!(": {}", line.hex)
    } else {
        String::new()
    };
    format!("{} {link}, {count} octets: {}{more}", line.at, line.why)
}
