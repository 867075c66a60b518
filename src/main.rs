//! The binary: hands the command line over to `clutchline::cli`.

use std::process::ExitCode;

fn main() -> ExitCode {
    clutchline::cli::run(std::env::args_os())
}
