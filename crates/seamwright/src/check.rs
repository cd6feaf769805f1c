use std::process::ExitCode;

use inspection::Limits;

use crate::args::CheckArgs;
use crate::failure::Failure;
use crate::progress::Progress;
use crate::summary::summary;

pub(crate) fn run(args: &CheckArgs) -> Result<ExitCode, Failure> {
    let progress = Progress::new(2, args.voice);
    progress.stage(&format!("reading {}", args.folder.display()));
    let advice = "Split the model again, or put the missing or changed file back.";
    let mut report = paperwork::read_report(&args.folder)
        .map_err(|e| Failure::input(&args.folder, e, advice))?;
    let assembly = paperwork::read_back(&args.folder, &report)
        .map_err(|e| Failure::input(&args.folder, e, advice))?;
    progress.stage("judging the pieces");
    let limits = Limits {
        min_wall_mm: report.settings.min_wall_mm,
    };
    let verdict = inspection::inspect(&assembly, &limits);
    progress.done();

    for (entry, thinnest) in report.pieces.iter_mut().zip(&verdict.thinnest_mm) {
        entry.thinnest_mm = *thinnest;
    }
    report.findings = verdict.findings.clone();
    if args.voice.json {
        let text =
            serde_json::to_string_pretty(&report).map_err(|e| Failure::Usage(e.to_string()))?;
        println!("{text}");
    } else if !args.voice.quiet {
        print!("{}", summary(&report, &args.folder, false));
    }
    Ok(ExitCode::from(u8::from(!verdict.is_sound())))
}
