//! `report`: the page of a folder, made again.

use std::process::ExitCode;

use paperwork::{OutputFolder, Pictures};
use seamwright::{Failure, SplitFolder};

use crate::cli::args::ReportArgs;

pub(crate) fn run(args: &ReportArgs) -> Result<ExitCode, Failure> {
    let folder = SplitFolder::read(&args.folder)?;
    let recall = folder.recall();
    let SplitFolder {
        report, assembly, ..
    } = &folder;
    let pictures =
        Pictures::of(assembly, report.made_of.as_ref(), &recall).map_err(Failure::output)?;
    let page =
        paperwork::page(report, assembly, &folder.joints()?, &pictures).map_err(Failure::output)?;
    let place = folder.path.join("report.html");
    let mut amended = OutputFolder::amend(&folder.path)?;
    amended.write("report.html", page.as_bytes())?;
    amended.finish()?;
    sayln!("{}", place.display());
    Ok(ExitCode::SUCCESS)
}
