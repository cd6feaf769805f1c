//! Shell completions and the manual page, made from the arguments themselves.

use std::io::Write;
use std::process::ExitCode;

use clap::CommandFactory;
use clap_complete::Shell;
use seamwright::Failure;

use crate::cli::args::Args;

/// Prints what a shell needs to complete this program's words.
pub(crate) fn completions(shell: Shell) -> Result<ExitCode, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), "seamwright", &mut text);
    printed(&text)
}

/// Prints the manual page.
pub(crate) fn manual() -> Result<ExitCode, Failure> {
    let mut text = Vec::new();
    clap_mangen::Man::new(Args::command())
        .render(&mut text)
        .map_err(Failure::output)?;
    printed(&text)
}

fn printed(text: &[u8]) -> Result<ExitCode, Failure> {
    std::io::stdout().write_all(text).map_err(Failure::output)?;
    Ok(ExitCode::SUCCESS)
}
