//! The binary: hands over to `clutchline::cli`.

/// A message makes some hundred small values on two threads; the system's allocator spends a fifth of the writer's time on them
/// (`cargo bench --bench http` shows the difference).
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    clutchline::cli::run()
}
