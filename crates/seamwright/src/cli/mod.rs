//! What each command does: reads its arguments, calls the library, prints.

mod args;
mod check;
mod coupon;
mod joints;
mod paper;
mod printers;
mod progress;
mod report;
mod resplit;
mod split;
mod summary;
mod survey;
mod table;

use std::process::ExitCode;

use clap::Parser;

use args::{Args, Command};

/// Runs the command that was asked for.
pub(crate) fn run() -> ExitCode {
    let args = Args::parse();
    let outcome = match args.command {
        Command::Split(args) => split::run(&args),
        Command::Resplit(args) => resplit::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Survey(args) => survey::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Coupon(args) => coupon::run(&args),
        Command::Joints(args) => joints::run(&args),
        Command::Completions { shell } => paper::completions(shell),
        Command::Manual => paper::manual(),
    };
    match outcome {
        Ok(code) => code,
        Err(failure) => {
            eprintln!("seamwright: {failure}");
            ExitCode::from(failure.exit_code())
        }
    }
}
