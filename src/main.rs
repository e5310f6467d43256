//! The program: runs the command line and gives the shell its exit code.

use std::process::ExitCode;

use stillroom::cli;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    // A panic in a worker is reported once, with unit, version and seed, by the run.
    std::panic::set_hook(Box::new(|_| {}));
    match std::panic::catch_unwind(|| cli::main(std::env::args_os())) {
        Ok(exit) => ExitCode::from(exit as u8),
        Err(panic) => {
            let words = panic
                .downcast_ref::<String>()
                .map(String::as_str)
                .or_else(|| panic.downcast_ref::<&str>().copied())
                .unwrap_or("no reason given");
            cli::fault(words);
            ExitCode::from(cli::Exit::Failed as u8)
        }
    }
}
