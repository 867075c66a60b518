//! The binary: hands over to `clutchline::cli`.

fn main() -> std::process::ExitCode {
    clutchline::cli::run()
}
