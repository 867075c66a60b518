//! The command line: what an operator types, read by `clap`, carried out by the room of each command.
//!
//! What a command answers goes to standard output; what people are told beside it, to standard error. Exit codes: 0 done, 1 not done, 2 not understood.

pub mod demo;
pub mod errand;
pub mod fitting;
pub mod forecast;
mod gateway;
pub mod keep;
pub mod links;
pub mod pdu;
pub mod people;
pub mod place;
pub mod plan;
pub mod say;
pub mod serve;

use crate::cli::pdu::PduCommand;
use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::io::Read;
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;

/// Why a command was not carried out, in words for an operator.
pub type Failure = Box<dyn std::error::Error + Send + Sync>;

/// Black soldier fly cage records by text message.
#[derive(Debug, Parser)]
#[command(name = "clutchline", version, about, long_about = None)]
struct Line {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Run the gateway; with --demo, an invented cooperative to try it with.
    Serve(serve::Args),
    /// Put one message through the whole engine and print the reply.
    Say(say::Args),
    /// Found a cooperative.
    #[command(subcommand)]
    Coop(people::Coop),
    /// Members, their phones, roles and wards.
    #[command(subcommand)]
    Member(people::Members),
    /// Networks in the settings file.
    #[command(subcommand)]
    Link(links::Links),
    /// See whether the data folder holds together.
    Check(keep::Check),
    /// Write everything, or the harvests, in an open format.
    Export(keep::Export),
    /// Fill an empty data folder from an export.
    Import(keep::Import),
    /// Write the store anew, without the slack; needs the folder for itself.
    Compact(keep::Compact),
    /// Move old messages out of the store into a dated file.
    Archive(keep::Archive),
    /// Write a dated backup and remove old ones.
    Backup(keep::Backup),
    /// Fill an empty data folder from a backup.
    Restore(keep::Import),
    /// Eggs of the coming days, from files.
    Forecast(forecast::ForecastArgs),
    /// What to stock, how often and in how many cages, for a wanted supply.
    Plan(plan::PlanArgs),
    /// One short message as octets or as JSON.
    #[command(subcommand)]
    Pdu(PduCommand),
}

/// Reads a command line and carries it out.
#[must_use]
pub fn run(words: impl IntoIterator<Item = OsString>) -> ExitCode {
    let line = match Line::try_parse_from(words) {
        Ok(line) => line,
        Err(error) => {
            // Help and the version are asked for, too, and go to standard output.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    log_to_stderr();
    let done = match line.verb {
        Verb::Serve(args) => serve::run(&args),
        Verb::Say(args) => say::run(args),
        Verb::Coop(command) => people::coop(command),
        Verb::Member(command) => people::members(command),
        Verb::Link(command) => links::run(&command),
        Verb::Check(args) => keep::check(&args),
        Verb::Export(args) => keep::export(&args),
        Verb::Import(args) | Verb::Restore(args) => keep::import(&args),
        Verb::Compact(args) => keep::compact(&args),
        Verb::Archive(args) => keep::archive(&args),
        Verb::Backup(args) => keep::backup(&args),
        Verb::Forecast(args) => forecast::run(args).map_err(Failure::from),
        Verb::Plan(args) => plan::run(args).map_err(Failure::from),
        Verb::Pdu(command) => puzzle(&command),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("clutchline: {why}");
            ExitCode::FAILURE
        }
    }
}

/// `CLUTCHLINE_LOG` says how much, such as `debug` or `clutchline::web=debug`; warnings of other crates and our own news else.
fn log_to_stderr() {
    let filter = EnvFilter::try_from_env("CLUTCHLINE_LOG")
        .unwrap_or_else(|_| EnvFilter::new("warn,clutchline=info"));
    // A second start in one process keeps the first one's log.
    let _ = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .try_init();
}

/// `pdu`: prints JSON; what `encode` may read stands on standard input.
fn puzzle(command: &PduCommand) -> Result<(), Failure> {
    let shown = match command {
        PduCommand::Decode(args) => pdu::decode(args)?,
        PduCommand::Encode(args) => pdu::encode(args, || {
            let mut input = String::new();
            let _ = std::io::stdin()
                .take(pdu::MOST_INPUT as u64 + 1)
                .read_to_string(&mut input);
            input
        })?,
    };
    println!("{shown:#}");
    Ok(())
}
