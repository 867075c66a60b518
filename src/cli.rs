//! The command line: what an operator types, read by `clap`, carried out by the room of each command.
//!
//! What a command answers goes to standard output; what people are told beside it, to standard error. Exit codes: 0 done, 1 not done, 2 not understood.

mod gateway;
pub mod serve;

use clap::{Parser, Subcommand};
use std::ffi::OsString;
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
        Verb::Serve(args) => serve::run(args),
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
