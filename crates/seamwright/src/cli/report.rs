//! `report`: the page of a folder, made again.

use std::process::ExitCode;

use seamwright::{Failure, SplitFolder};

use crate::cli::args::ReportArgs;

pub(crate) fn run(args: &ReportArgs) -> Result<ExitCode, Failure> {
    let folder = SplitFolder::read(&args.folder)?;
    let page = paperwork::page(&folder.report, &folder.assembly, &folder.joints()?)
        .map_err(Failure::output)?;
    let place = folder.path.join("report.html");
    // Beside its place first, so that a full disk leaves the old page.
    let staged = folder.path.join(".report.html.new");
    std::fs::write(&staged, page)
        .and_then(|()| std::fs::rename(&staged, &place))
        .map_err(|e| Failure::output(format!("{}: {e}", place.display())))?;
    println!("{}", place.display());
    Ok(ExitCode::SUCCESS)
}
