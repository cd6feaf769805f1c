//! The command line: arguments, printing and exit codes.

mod cli;

use std::process::ExitCode;

// The boolean kernel and the planner ask for many small pieces of memory from all
// threads at once.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    cli::run()
}
