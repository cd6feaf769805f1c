//! The command line.

mod alike_again;
mod args;
mod check;
mod coupon;
mod earlier_split;
mod failure;
mod finish;
mod joints;
mod model_file;
mod printers;
mod progress;
mod report;
mod resplit;

mod same_piece;
mod split;
mod summary;
mod survey;
mod table;
mod take_ids;
mod take_over;

use std::process::ExitCode;

use clap::Parser;

use args::{Args, Command};

fn main() -> ExitCode {
    let args = Args::parse();
    let outcome = match args.command {
        Command::Split(args) => split::run(&args),
        Command::Resplit(args) => resplit::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Survey(args) => survey::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Coupon(args) => coupon::run(&args),
        Command::Joints(args) => joints::run(&args),
    };
    match outcome {
        Ok(code) => code,
        Err(failure) => {
            eprintln!("seamwright: {failure}");
            ExitCode::from(failure.exit_code())
        }
    }
}
