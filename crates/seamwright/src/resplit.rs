//! The same furniture for other printers, around what is printed.

use std::path::Path;

use design::{PieceId, Recall};
use inspection::{Code, Finding};
use printing::Printer;
use resplit::{Candidate, Earlier, Resplit, resplit as candidates};

use crate::failure::Failure;
use crate::folder::SplitFolder;
use crate::model::Model;
use crate::outcome::{Context, Outcome};
use crate::split::Stages;

/// Splits the model of a folder again for other printers, around the pieces that
/// are printed, and judges the pieces as they will lie on disk.
///
/// # Errors
///
/// When the folder is not as it was written, when the model is not the one that it
/// was split from, and when no plan goes around what is printed.
pub fn resplit(
    folder: &SplitFolder,
    model: &Model,
    printed: &[PieceId],
    printers: &[Printer],
    stage: Stages,
) -> Result<Outcome, Failure> {
    let earlier = folder.earlier(printed)?;
    if model.sha256 != earlier.plan.model().sha256 {
        return Err(Failure::input(
            &model.path,
            "this is not the model that the folder was split from",
            "Give the same file with --model, or split the new model from the start.",
        ));
    }
    stage("planning around what is printed, cutting and joining");
    let named = numbered(printers, earlier.plan.printers().len());
    let found = candidates(&model.solid, &earlier, &named).map_err(|e| failed(&folder.path, &e))?;
    stage("judging the pieces");
    best_of(found, &earlier, (model, &folder.path), &folder.recall())
}

/// Printers under the names that come after some.
fn numbered(printers: &[Printer], before: usize) -> Vec<Printer> {
    let each = printers.iter().enumerate();
    each.map(|(k, printer)| Printer {
        name: format!("bed-{}", before + k + 1),
        ..printer.clone()
    })
    .collect()
}

fn failed(folder: &Path, why: &dyn std::fmt::Display) -> Failure {
    Failure::input(
        folder,
        why,
        "Try another --bed, or name fewer pieces in --printed.",
    )
}

/// The first candidate without errors, or that with the fewest: what is planned
/// with more freedom is not always as sound.
fn best_of(
    found: Vec<Candidate>,
    earlier: &Earlier,
    (model, folder): (&Model, &Path),
    recall: &Recall,
) -> Result<Outcome, Failure> {
    let mut best: Option<(usize, Outcome, Vec<PieceId>)> = None;
    let mut recall = recall.clone();
    for candidate in found {
        let again = candidate
            .taken_over(earlier)
            .map_err(|e| failed(folder, &e))?;
        let lost = again.lost(earlier);
        let outcome = judged(again, earlier, model, &recall)?;
        recall = outcome.recall().anew();
        let faults = outcome.errors() + lost.len();
        if best.as_ref().is_none_or(|b| faults < b.0) {
            best = Some((faults, outcome, lost));
        }
        if best.as_ref().is_some_and(|b| b.0 == 0) {
            break;
        }
    }
    match best {
        None => Err(failed(folder, &"no plan was found")),
        Some((_, _, lost)) if !lost.is_empty() => {
            let ids: Vec<&str> = lost.iter().map(PieceId::as_str).collect();
            let why = format!(
                "no new plan has a place for {}, which is printed",
                ids.join(", ")
            );
            Err(failed(folder, &why))
        }
        Some((_, outcome, _)) => Ok(outcome),
    }
}

fn judged(
    again: Resplit,
    earlier: &Earlier,
    model: &Model,
    recall: &Recall,
) -> Result<Outcome, Failure> {
    let Resplit {
        plan,
        build,
        files,
        entry,
    } = again;
    let is_printed = |id: &PieceId| earlier.printed.contains(id);
    let plan = plan.around_printed(earlier.printed.iter().cloned().collect());
    let context = Context {
        extra: model.notes.clone(),
        printed: (0..build.pieces.len())
            .filter(|&k| is_printed(&build.pieces[k].id))
            .collect(),
        ..Context::of(recall)
    };
    let mut outcome = Outcome::of(model, plan, build, files, context)?;
    outcome.report.findings.retain(|f: &Finding| {
        // What is printed already needs no bed.
        f.code != Code::DoesNotFit || !f.piece.as_ref().is_some_and(is_printed)
    });
    for piece in &mut outcome.report.pieces {
        piece.printed = is_printed(&piece.id);
    }
    outcome.report.resplit = Some(entry);
    Ok(outcome)
}
