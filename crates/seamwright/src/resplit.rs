//! `resplit`: the same furniture for other printers, around what is printed.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use inspection::{Finding, Severity};
use paperwork::{ModelEntry, OutputFolder, Report};
use planner::{Plan, Printer};
use workshop::{Build, Kept, Resplit};

use crate::args::ResplitArgs;
use crate::earlier_split::Earlier;
use crate::failure::Failure;
use crate::finish::{self, Outcome};
use crate::model_file;
use crate::progress::Progress;
use crate::same_piece::matched;
use crate::split::bed_takes_a_joint;
use crate::take_over::take_over;

pub(crate) fn run(args: &ResplitArgs) -> Result<ExitCode, Failure> {
    let out = args.out.clone().unwrap_or_else(|| {
        let mut name = args.folder.clone().into_os_string();
        name.push("-again");
        PathBuf::from(name)
    });
    OutputFolder::may_begin(&out, args.force)?;
    let progress = Progress::new(4, args.voice);
    progress.stage(&format!("reading {}", args.folder.display()));
    let earlier = Earlier::read(&args.folder)?;
    for known in &args.bed {
        bed_takes_a_joint(&known.printer, &earlier.plan.settings)?;
    }
    let printed = printed(args, &earlier.report)?;
    let path = earlier.model_path(args)?;
    let unit = earlier.plan.model.unit.parse().unwrap_or_default();
    let model = model_file::read(&path, unit)?;
    if model.sha256 != earlier.plan.model.sha256 {
        return Err(Failure::input(
            &path,
            "this is not the model that the folder was split from",
            "Give the same file with --model, or split the new model from the start.",
        ));
    }

    progress.stage("planning around what is printed, cutting and joining");
    let failed = |e: &dyn std::fmt::Display| {
        Failure::input(
            &args.folder,
            e,
            "Try another --bed, or name fewer pieces in --printed.",
        )
    };
    let as_it_was = Kept {
        records: earlier.records.clone(),
        // Nothing changes: no contact gets a joint that it did not have.
        printed: model.solid.bounds().into_iter().collect(),
    };
    let old =
        workshop::build_upon(&model.solid, &earlier.plan, &as_it_was).map_err(|e| failed(&e))?;
    let was = matched(&old, &earlier.report, &earlier.assembly).map_err(|e| failed(&e))?;
    let indices: Vec<usize> = (0..old.pieces.len())
        .filter(|&k| was[k].is_some_and(|e| printed.contains(&earlier.report.pieces[e].id)))
        .collect();
    let unmatched: Vec<&str> = printed
        .iter()
        .filter(|id| {
            !indices
                .iter()
                .any(|&k| was[k].is_some_and(|e| earlier.report.pieces[e].id == **id))
        })
        .map(String::as_str)
        .collect();
    if !unmatched.is_empty() {
        return Err(failed(&format!(
            "the files of {} are not what the plan makes: they were changed, or the plan was",
            unmatched.join(", ")
        )));
    }
    let mut named = old.clone();
    for (piece, entry) in named.pieces.iter_mut().zip(&was) {
        if let Some(e) = entry {
            piece.id.clone_from(&earlier.report.pieces[*e].id);
        }
    }
    let printers = new_printers(args, &earlier.plan.printers);
    let found = workshop::resplit(&model.solid, &earlier.plan, &named, &indices, &printers)
        .map_err(|e| failed(&e))?;

    progress.stage("judging the pieces");
    let about = ModelEntry::of(&model.solid, &model.name, &model.sha256, unit.sign());
    let judge = |again: Resplit| {
        let task = Task {
            earlier: &earlier,
            printed: &printed,
            printers: &printers,
            folder: &args.folder,
        };
        task.judged(again, about.clone(), &model.notes)
    };
    // What is planned with more freedom is not always as sound.
    let mut best: Option<Judged> = None;
    for again in found {
        let judged = judge(again)?;
        let better = best.as_ref().is_none_or(|b| judged.errors < b.errors);
        if better {
            best = Some(judged);
        }
        if best.as_ref().is_some_and(|b| b.errors == 0) {
            break;
        }
    }
    let Some(Judged {
        plan,
        build,
        outcome,
        lost,
        ..
    }) = best
    else {
        return Err(failed(&"no plan was found"));
    };
    if !lost.is_empty() {
        return Err(failed(&format!(
            "no new plan has a place for {}, which is printed",
            lost.join(", ")
        )));
    }
    progress.stage(&format!("writing {}", out.display()));
    finish::write(&out, args.force, &plan, &build, &outcome)?;
    progress.done();
    finish::tell(&outcome, &out, args.voice)
}

/// What a new split is judged by.
struct Task<'a> {
    earlier: &'a Earlier,
    printed: &'a BTreeSet<String>,
    printers: &'a [Printer],
    folder: &'a Path,
}

/// A new split, judged.
struct Judged {
    plan: Plan,
    build: Build,
    outcome: Outcome,
    errors: usize,
    /// Printed pieces that it does not have.
    lost: Vec<String>,
}

impl Task<'_> {
    fn judged(
        &self,
        again: Resplit,
        about: ModelEntry,
        notes: &[Finding],
    ) -> Result<Judged, Failure> {
        let Self {
            earlier,
            printed,
            printers,
            folder,
        } = *self;
        let Resplit {
            mut plan,
            mut build,
            ..
        } = again;
        let offset = earlier.plan.printers.len();
        plan.printers = [earlier.plan.printers.clone(), printers.to_vec()].concat();
        for piece in &mut build.pieces {
            piece.printer += offset;
        }
        let (pieces, entry) = take_over(&mut build, earlier, printed, (&plan, printers), folder)?;
        let is_lost = |id: &&String| !entry.printed.contains(*id);
        let lost: Vec<String> = printed.iter().filter(is_lost).cloned().collect();
        let printed_now: Vec<usize> = (0..build.pieces.len())
            .filter(|&k| printed.contains(&build.pieces[k].id))
            .collect();
        let mut outcome = finish::judge(&plan, &build, pieces, about, notes.to_vec(), &printed_now);
        outcome.report.findings.retain(|f: &Finding| {
            // What is printed already needs no bed.
            f.code != "does-not-fit" || !f.piece.as_ref().is_some_and(|p| printed.contains(p))
        });
        for piece in &mut outcome.report.pieces {
            piece.printed = printed.contains(&piece.id);
        }
        outcome.report.resplit = Some(entry);
        let errors = outcome
            .report
            .findings
            .iter()
            .filter(|f| f.severity == Severity::Error)
            .count();
        Ok(Judged {
            plan,
            build,
            outcome,
            errors: errors + lost.len(),
            lost,
        })
    }
}

/// The ids of the printed pieces: those given, and those printed before.
fn printed(args: &ResplitArgs, report: &Report) -> Result<BTreeSet<String>, Failure> {
    let given = args.printed.iter().map(|id| id.trim().to_owned());
    let before = report.pieces.iter().filter(|p| p.printed);
    let all: BTreeSet<String> = given.chain(before.map(|p| p.id.clone())).collect();
    for id in &all {
        if !report.pieces.iter().any(|p| p.id == *id) {
            return Err(Failure::Usage(format!(
                "there is no piece {id} in this split; its pieces are {}",
                report
                    .pieces
                    .iter()
                    .map(|p| p.id.as_str())
                    .collect::<Vec<_>>()
                    .join(", ")
            )));
        }
    }
    Ok(all)
}

fn new_printers(args: &ResplitArgs, old: &[Printer]) -> Vec<Printer> {
    args.bed
        .iter()
        .enumerate()
        .map(|(k, known)| Printer {
            name: format!("bed-{}", old.len() + k + 1),
            ..known.printer.clone()
        })
        .collect()
}
