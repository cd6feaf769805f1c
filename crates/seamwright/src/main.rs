//! The command line: arguments, printing and exit codes.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
