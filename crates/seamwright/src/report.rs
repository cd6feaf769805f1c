use std::process::ExitCode;

use crate::args::ReportArgs;
use crate::failure::Failure;

pub(crate) fn run(args: &ReportArgs) -> Result<ExitCode, Failure> {
    let folder = &args.folder;
    let advice = "Split the model again, or put the missing or changed file back.";
    let report = paperwork::read_report(folder).map_err(|e| Failure::input(folder, e, advice))?;
    let assembly =
        paperwork::read_back(folder, &report).map_err(|e| Failure::input(folder, e, advice))?;
    let joints = paperwork::read_joints(folder).map_err(|e| Failure::input(folder, e, advice))?;
    let page =
        paperwork::page(&report, &assembly, &joints).map_err(|e| Failure::Usage(e.to_string()))?;
    let place = folder.join("report.html");
    // Beside its place first, so that a full disk leaves the old page.
    let staged = folder.join(".report.html.new");
    std::fs::write(&staged, page)
        .and_then(|()| std::fs::rename(&staged, &place))
        .map_err(|e| Failure::input(&place, e, "Make room on the disk, or allow writing there."))?;
    println!("{}", place.display());
    Ok(ExitCode::SUCCESS)
}
