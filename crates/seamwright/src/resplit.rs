//! `resplit`: the same furniture for other printers, around what is printed.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use inspection::{Assembly, Finding, Severity};
use paperwork::{ModelEntry, OutputFolder, Report, ResplitEntry, Written};
use planner::{Placement, Plan, Printer, excess_as_it_lies};
use workshop::{Build, Kept, Resplit, SeamRecord};

use crate::args::{PieceFormat, ResplitArgs};
use crate::failure::Failure;
use crate::finish::{self, Outcome, PieceFile};
use crate::model_file;
use crate::progress::Progress;
use crate::same_piece::{matched, mostly_shared};
use crate::split::{bed_takes_a_joint, read_plan};

/// A folder of a split, read back.
struct Earlier {
    plan: Plan,
    records: Vec<SeamRecord>,
    report: Report,
    assembly: Assembly,
}

pub(crate) fn run(args: &ResplitArgs) -> Result<ExitCode, Failure> {
    let out = args.out.clone().unwrap_or_else(|| {
        let mut name = args.folder.clone().into_os_string();
        name.push("-again");
        PathBuf::from(name)
    });
    OutputFolder::may_begin(&out, args.force)?;
    let progress = Progress::new(5, args.voice);
    progress.stage(&format!("reading {}", args.folder.display()));
    let earlier = read(&args.folder)?;
    for known in &args.bed {
        bed_takes_a_joint(&known.printer, &earlier.plan.settings)?;
    }
    let printed = printed(args, &earlier.report)?;
    let path = model_path(args, &earlier)?;
    let unit = earlier.plan.model.unit.parse().unwrap_or_default();
    let model = model_file::read(&path, unit)?;
    if model.sha256 != earlier.plan.model.sha256 {
        return Err(Failure::input(
            &path,
            "this is not the model that the folder was split from",
            "Give the same file with --model, or split the new model from the start.",
        ));
    }

    progress.stage("planning around what is printed");
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
        ..
    }) = best
    else {
        return Err(failed(&"no plan was found"));
    };
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
        let lost = printed.len() - entry.printed.len();
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
            errors: errors + lost,
        })
    }
}

fn read(folder: &Path) -> Result<Earlier, Failure> {
    let advice = "Give the folder that `seamwright split` wrote, as it wrote it.";
    let report = paperwork::read_report(folder).map_err(|e| Failure::input(folder, e, advice))?;
    let assembly =
        paperwork::read_back(folder, &report).map_err(|e| Failure::input(folder, e, advice))?;
    let plan = read_plan(&folder.join("plan.toml"))?;
    let records = paperwork::read_joints(folder).map_err(|e| Failure::input(folder, e, advice))?;
    Ok(Earlier {
        plan,
        records,
        report,
        assembly,
    })
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

/// The model that a folder was split from: where it is said to be, else in the
/// working folder, the split's own or the one above it.
fn model_path(args: &ResplitArgs, earlier: &Earlier) -> Result<PathBuf, Failure> {
    if let Some(path) = &args.model {
        return Ok(path.clone());
    }
    let name = &earlier.plan.model.file;
    let above = args.folder.join("..");
    let places = [
        PathBuf::from("."),
        args.folder.clone(),
        above,
        "fixtures".into(),
    ];
    places
        .iter()
        .map(|p| p.join(name))
        .find(|p| p.is_file())
        .ok_or_else(|| {
            Failure::input(
                &args.folder,
                format!("the model {name} is not in this folder, in the split's or above it"),
                "Say where it is with --model.",
            )
        })
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

/// Takes ids, files and placements of unchanged pieces over from the earlier
/// split, and gives the others ids that were free.
fn take_over(
    build: &mut Build,
    earlier: &Earlier,
    printed: &BTreeSet<String>,
    (plan, printers): (&Plan, &[Printer]),
    folder: &Path,
) -> Result<(Vec<PieceFile>, ResplitEntry), Failure> {
    let threemf = earlier
        .report
        .pieces
        .iter()
        .any(|p| p.file.ends_with("3mf"));
    let format = if threemf {
        PieceFormat::Threemf
    } else {
        PieceFormat::Stl
    };
    let same = matched(build, &earlier.report, &earlier.assembly)
        .map_err(|e| Failure::input(folder, e, "Split the model from the start."))?;
    let old = &earlier.report.pieces;
    let mut entry = ResplitEntry::default();
    let mut taken: BTreeSet<String> = old.iter().map(|p| p.id.clone()).collect();
    let mut files: BTreeSet<String> = same
        .iter()
        .flatten()
        .map(|&e| old[e].file.clone())
        .collect();
    let mut out: Vec<Option<PieceFile>> = vec![None; build.pieces.len()];

    // A changed piece is one that is mostly what an earlier one was.
    let mut changed: Vec<Option<usize>> = vec![None; build.pieces.len()];
    for (k, piece) in build
        .pieces
        .iter()
        .enumerate()
        .filter(|(k, _)| same[*k].is_none())
    {
        changed[k] = (0..old.len()).find(|&e| {
            !same.contains(&Some(e))
                && !changed.contains(&Some(e))
                && mostly_shared(&piece.solid, &earlier.assembly.pieces[e].in_place)
        });
    }
    for k in 0..build.pieces.len() {
        let key = build.pieces[k].id.starts_with('K');
        build.pieces[k].id = match (same[k], changed[k]) {
            (Some(e), _) => {
                let id = &old[e].id;
                if printed.contains(id) {
                    entry.printed.push(id.clone());
                } else {
                    entry.kept.push(id.clone());
                }
                id.clone()
            }
            (None, Some(e)) => {
                entry.changed.push(old[e].id.clone());
                old[e].id.clone()
            }
            (None, None) => {
                let id = free_id(&taken, if key { 'K' } else { 'P' });
                taken.insert(id.clone());
                entry.new.push(id.clone());
                id
            }
        };
    }
    entry.gone = (0..old.len())
        .filter(|e| !same.contains(&Some(*e)) && !changed.contains(&Some(*e)))
        .map(|e| old[e].id.clone())
        .collect();

    for k in 0..build.pieces.len() {
        match same[k] {
            Some(e) => build.pieces[k].labels.clone_from(&old[e].labels),
            // A file with another label does not serve for it.
            None if build.pieces[k].twin.is_some_and(|t| same[t.of].is_some()) => {
                build.pieces[k].twin = None;
            }
            None => {}
        }
    }
    let leave: Vec<bool> = same.iter().map(Option::is_some).collect();
    finish::label(build, plan, &leave)?;
    let fresh = finish::written(build, format)?;
    for k in 0..build.pieces.len() {
        let Some(e) = same[k] else { continue };
        let disk = &earlier.assembly.pieces[e];
        let is_printed = printed.contains(&old[e].id);
        let printer = printers
            .iter()
            .position(|p| excess_as_it_lies(&disk.as_printed, p) <= 0.0);
        if !is_printed && printer.is_none() {
            // It fits another way round: a file of its own, below.
            continue;
        }
        let motion = old[e].motion().map(|m| m.inverse());
        let Some(onto_bed) = motion else { continue };
        let piece = &mut build.pieces[k];
        piece.twin = None;
        piece.printer = match printer {
            Some(p) if !is_printed => earlier.plan.printers.len() + p,
            _ => disk.printer,
        };
        piece.placement = Ok(Placement {
            onto_bed,
            size_mm: old[e].size_mm,
            slenderness: old[e].slenderness,
            overhang_mm2: old[e].overhang_mm2,
            joints_across: old[e].joints_across,
        });
        let path = folder.join(&old[e].file);
        let bytes = std::fs::read(&path)
            .map_err(|e| Failure::input(&path, e, "Put the file of the piece back."))?;
        let written = Written {
            file: old[e].file.clone(),
            as_printed: disk.as_printed.clone(),
        };
        let first = !out.iter().flatten().any(|(w, _)| w.file == written.file);
        out[k] = Some((written, first.then_some(bytes)));
    }
    // New files, each named after the first piece that has it.
    let mut named: Vec<(String, String)> = Vec::new();
    for (k, (written, bytes)) in fresh.into_iter().enumerate() {
        if out[k].is_some() {
            continue;
        }
        let known = named.iter().find(|(from, _)| *from == written.file);
        let (file, first) = match known {
            Some((_, to)) => (to.clone(), false),
            None => {
                let file = free_file(&files, &build.pieces[k].id, format);
                files.insert(file.clone());
                named.push((written.file.clone(), file.clone()));
                (file, true)
            }
        };
        let bytes = match bytes {
            Some(bytes) if first => Some(bytes),
            _ if first => Some(
                finish::piece_bytes(&build.pieces[k].id, &written.as_printed, format)
                    .map_err(Failure::Usage)?,
            ),
            _ => None,
        };
        out[k] = Some((
            Written {
                file,
                as_printed: written.as_printed,
            },
            bytes,
        ));
    }
    Ok((out.into_iter().flatten().collect(), entry))
}

fn free_id(taken: &BTreeSet<String>, letter: char) -> String {
    (1..)
        .map(|n| format!("{letter}{n:02}"))
        .find(|id| !taken.contains(id))
        .unwrap_or_default()
}

fn free_file(taken: &BTreeSet<String>, id: &str, format: PieceFormat) -> String {
    let end = format.extension();
    let plain = format!("pieces/{id}.{end}");
    if !taken.contains(&plain) {
        return plain;
    }
    (2..)
        .map(|n| format!("pieces/{id}-{n}.{end}"))
        .find(|file| !taken.contains(file))
        .unwrap_or(plain)
}
