use std::collections::BTreeSet;
use std::path::Path;

use paperwork::{ResplitEntry, Written};
use planner::{Placement, Plan, Printer, excess_as_it_lies};
use workshop::Build;

use crate::alike_again::alike_again;
use crate::args::PieceFormat;
use crate::earlier_split::Earlier;
use crate::failure::Failure;
use crate::finish::{self, PieceFile};
use crate::same_piece::{matched, mostly_shared};

/// An earlier piece whose file stays as it is.
struct FileKept {
    /// The earlier piece, by index.
    piece: usize,
    /// The new printer that it fits as it lies in the file.
    printer: Option<usize>,
}

/// Takes ids, files and placements of unchanged pieces over from the earlier
/// split, and gives the others ids that were free.
pub(crate) fn take_over(
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

    // What fits only another way round than it lies in its file gets a file of its
    // own, with labels of its own.
    let files_kept: Vec<Option<FileKept>> = same
        .iter()
        .map(|e| {
            let piece = (*e)?;
            let disk = &earlier.assembly.pieces[piece];
            let printer = printers
                .iter()
                .position(|p| excess_as_it_lies(&disk.as_printed, p) <= 0.0);
            let is_printed = printed.contains(&old[piece].id);
            (is_printed || printer.is_some()).then_some(FileKept { piece, printer })
        })
        .collect();
    for k in 0..build.pieces.len() {
        if let Some(kept) = &files_kept[k] {
            build.pieces[k].labels.clone_from(&old[kept.piece].labels);
        }
    }
    // A file with the label of another piece does not serve.
    let served = alike_again(
        build,
        |k| files_kept[k].is_some(),
        |k| {
            let kept = files_kept[k].as_ref();
            kept.is_some_and(|f| f.printer.is_some() && old[f.piece].labels.is_empty())
        },
    );
    let mut files: BTreeSet<String> = files_kept
        .iter()
        .flatten()
        .map(|kept| old[kept.piece].file.clone())
        .collect();
    let leave: Vec<bool> = files_kept
        .iter()
        .zip(&served)
        .map(|(kept, served)| kept.is_some() || served.is_some())
        .collect();
    finish::label(build, plan, &leave)?;
    let fresh = finish::written(build, format)?;
    for k in 0..build.pieces.len() {
        let Some(FileKept { piece: e, printer }) = files_kept[k] else {
            continue;
        };
        let disk = &earlier.assembly.pieces[e];
        let is_printed = printed.contains(&old[e].id);
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
    for k in 0..build.pieces.len() {
        let Some(twin) = served[k] else { continue };
        let Some(FileKept { piece: e, printer }) = files_kept[twin.of] else {
            continue;
        };
        let placement = build.pieces[twin.of].placement.clone();
        let piece = &mut build.pieces[k];
        piece.placement = placement.map(|placed| Placement {
            onto_bed: placed.onto_bed * twin.motion.inverse(),
            ..placed
        });
        piece.printer = printer.map_or(piece.printer, |p| earlier.plan.printers.len() + p);
        let written = Written {
            file: old[e].file.clone(),
            as_printed: earlier.assembly.pieces[e].as_printed.clone(),
        };
        out[k] = Some((written, None));
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
