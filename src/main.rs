//! The binary: reads the command line and hands over to `clutchline::cli`.

fn main() -> std::process::ExitCode {
    clutchline::cli::main()
}
