//! `check`: the pieces of a folder, judged as they lie on disk.

use std::process::ExitCode;

use seamwright::Failure;

use crate::cli::args::CheckArgs;
use crate::cli::summary::{as_json, summary};
use crate::cli::terminal::progress::Progress;
use crate::cli::terminal::wrapped::for_stdout;

pub(crate) fn run(args: &CheckArgs) -> Result<ExitCode, Failure> {
    let progress = Progress::new(2, args.voice);
    progress.stage(&format!("reading {}", args.folder.display()));
    let checked = seamwright::check(&args.folder, &|what| progress.stage(what))?;
    progress.done();
    if args.voice.json {
        sayln!("{}", as_json(&checked.report)?);
    } else if !args.voice.quiet {
        say!("{}", for_stdout(&summary(&checked.report, None)));
    }
    Ok(ExitCode::from(u8::from(!checked.is_sound())))
}
