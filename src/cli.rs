//! The commands of the binary. This room only reads the command line and hands over.

pub mod forecast;
pub mod plan;

use crate::cli::forecast::ForecastArgs;
use crate::cli::plan::PlanArgs;
use clap::Parser;

/// Black soldier fly cage records by SMS and USSD.
#[derive(Debug, Parser)]
#[command(name = "clutchline", version)]
enum Command {
    /// Eggs of the coming days, from files
    Forecast(ForecastArgs),
    /// What to stock, how often and in how many cages, for a wanted supply
    Plan(PlanArgs),
}

/// Runs the command line.
#[must_use]
pub fn main() -> std::process::ExitCode {
    let outcome = match Command::parse() {
        Command::Forecast(args) => forecast::run(args).map_err(|e| e.to_string()),
        Command::Plan(args) => plan::run(args).map_err(|e| e.to_string()),
    };
    match outcome {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("{reason}");
            std::process::ExitCode::FAILURE
        }
    }
}
