//! What each command does: reads its arguments, calls the library, prints.

/// Prints to the standard output. Where that is closed or full, whoever reads it
/// has seen enough: the run ends as it would have.
macro_rules! say {
    ($($word:tt)*) => {{
        use std::io::Write;
        let _ = write!(std::io::stdout().lock(), $($word)*);
    }};
}

/// The same, and a line end.
macro_rules! sayln {
    ($($word:tt)*) => {{
        use std::io::Write;
        let _ = writeln!(std::io::stdout().lock(), $($word)*);
    }};
}

/// Prints to the standard error, if anybody listens.
macro_rules! warn {
    ($($word:tt)*) => {{
        use std::io::Write;
        let _ = writeln!(std::io::stderr().lock(), $($word)*);
    }};
}

mod args;
mod check;
mod coupon;
mod joints;
mod paper;
mod printers;
mod report;
mod resplit;
mod split;
mod summary;
mod survey;
mod survey_pictures;
mod terminal;

use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches};

use args::{Args, Command};

/// Runs the command that was asked for.
pub(crate) fn run() -> ExitCode {
    // Said of all at once it holds for none of the commands below.
    let words = Args::command().mut_subcommands(|c| c.allow_negative_numbers(true));
    let args = match Args::from_arg_matches(&words.get_matches()) {
        Ok(args) => args,
        Err(e) => e.exit(),
    };
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
            warn!(
                "{}",
                terminal::wrapped::for_stderr(&format!("seamwright: {failure}"))
            );
            ExitCode::from(failure.exit_code())
        }
    }
}
