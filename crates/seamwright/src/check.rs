//! The pieces of a folder, judged as they lie on disk.

use std::path::Path;

use design::PieceId;
use inspection::{Code, Finding, Limits, Severity};
use paperwork::Report;

use crate::failure::Failure;
use crate::folder::SplitFolder;
use crate::outcome::spare_printed;
use crate::split::Stages;

/// What came of a check.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The report of the folder with what was found now.
    pub report: Report,
}

impl Checked {
    /// Whether no error was found.
    pub fn is_sound(&self) -> bool {
        self.report.count(Severity::Error) == 0
    }
}

/// That files are not what the split wrote: what else is found may come of that. Plates are
/// looked at no further.
fn changed(folder: &Path) -> Vec<Finding> {
    let are = |files: &[String]| match files {
        [one] => format!("{one} is"),
        _ => format!("{} are", files.join(", ")),
    };
    let pieces = paperwork::changed_pieces(folder);
    let of_pieces = (!pieces.is_empty()).then(|| {
        format!(
            "{} not what the split wrote: put back what it wrote, or split again, before you look \
             for the cause of anything else in the plan",
            are(&pieces)
        )
    });
    let [edited, gone] = paperwork::changed_plates(folder);
    let of_edited = (!edited.is_empty()).then(|| {
        format!(
            "{} not what the split wrote, and nothing of what is on it was judged: put back what \
             it wrote, or split again, before you print it",
            are(&edited)
        )
    });
    let of_gone = (!gone.is_empty()).then(|| {
        format!(
            "{} gone: split again by the plan to have it back, if what is on it is not printed yet",
            are(&gone)
        )
    });
    let told = of_pieces.into_iter().chain(of_edited).chain(of_gone);
    told.map(|message| Finding::new(Code::ChangedFile, message))
        .collect()
}

/// Judges the pieces of a folder as they lie on disk.
///
/// # Errors
///
/// When a file is missing, or not what a split writes.
pub fn check(folder: &Path, stage: Stages) -> Result<Checked, Failure> {
    let read = SplitFolder::read(folder)?;
    // Nothing is judged by them, but a folder whose joints are broken can be
    // neither split again nor shown.
    read.joints()?;
    let plan = read.plan()?;
    let SplitFolder {
        mut report,
        assembly,
        ..
    } = read;
    stage("judging the pieces");
    let limits = Limits {
        min_wall_mm: report.settings.min_wall_mm,
        print: report.settings.print,
        density_g_cm3: report.settings.density_g_cm3,
        up: report.settings.up.direction(),
        wishes: plan.settings().wishes.clone(),
    };
    let verdict = inspection::inspect(&assembly, &limits);
    for (entry, thinnest) in report.pieces.iter_mut().zip(&verdict.thinnest_mm) {
        entry.thinnest_mm = *thinnest;
    }
    let printed = report.pieces.iter().filter(|p| p.printed);
    let printed: Vec<&PieceId> = printed.map(|p| &p.id).collect();
    let mut findings = verdict.findings;
    spare_printed(&mut findings, &printed);
    let told = report.findings.into_iter();
    findings.extend(told.filter(|f| f.code.is_of_the_split()));
    findings.sort_by_key(|f| f.severity);
    // Before all that may come of it.
    findings.splice(..0, changed(folder));
    report.findings = findings;
    Ok(Checked { report })
}
