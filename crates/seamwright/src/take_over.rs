use std::collections::BTreeSet;
use std::path::Path;

use paperwork::{ResplitEntry, Written};
use planner::{Placement, Plan, Printer, excess_as_it_lies};
use workshop::{Build, Twin};

use crate::alike_again::alike_again;
use crate::args::PieceFormat;
use crate::earlier_split::Earlier;
use crate::failure::Failure;
use crate::finish::{self, PieceFile};
use crate::same_piece::matched;
use crate::take_ids::take_ids;

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
    let old = &earlier.report.pieces;
    let same = matched(build, &earlier.report, &earlier.assembly)
        .map_err(|e| Failure::input(folder, e, "Split the model from the start."))?;
    let entry = take_ids(build, (old, &earlier.assembly), &same, printed);
    let files = Files {
        kept: kept(&same, earlier, printed, printers),
        earlier,
        printed,
        folder,
    };
    for (piece, kept) in build.pieces.iter_mut().zip(&files.kept) {
        if let Some(kept) = kept {
            piece.labels.clone_from(&old[kept.piece].labels);
        }
    }
    // A file with the label of another piece does not serve.
    let serves = |k: usize| {
        let kept = files.kept[k].as_ref();
        kept.is_some_and(|f| f.printer.is_some() && old[f.piece].labels.is_empty())
    };
    let served = alike_again(build, |k| files.kept[k].is_some(), serves);
    let both = files.kept.iter().zip(&served);
    let leave: Vec<bool> = both.map(|(k, s)| k.is_some() || s.is_some()).collect();
    finish::label(build, plan, &leave)?;
    let fresh = finish::written(build, files.format())?;
    let mut out: Vec<Option<PieceFile>> = vec![None; build.pieces.len()];
    files.keep(build, &mut out)?;
    files.serve(build, &served, &mut out);
    files.name(build, fresh, &mut out)?;
    Ok((out.into_iter().flatten().collect(), entry))
}

/// The pieces whose files stay as they are. What fits only another way round
/// than it lies in its file gets a file of its own, with labels of its own.
fn kept(
    same: &[Option<usize>],
    earlier: &Earlier,
    printed: &BTreeSet<String>,
    printers: &[Printer],
) -> Vec<Option<FileKept>> {
    same.iter()
        .map(|e| {
            let piece = (*e)?;
            let disk = &earlier.assembly.pieces[piece];
            let printer = printers
                .iter()
                .position(|p| excess_as_it_lies(&disk.as_printed, p) <= 0.0);
            let is_printed = printed.contains(&earlier.report.pieces[piece].id);
            (is_printed || printer.is_some()).then_some(FileKept { piece, printer })
        })
        .collect()
}

/// Which files stay, and where they are.
struct Files<'a> {
    /// For each piece its file, where that stays.
    kept: Vec<Option<FileKept>>,
    earlier: &'a Earlier,
    printed: &'a BTreeSet<String>,
    folder: &'a Path,
}

impl Files<'_> {
    fn format(&self) -> PieceFormat {
        let mut pieces = self.earlier.report.pieces.iter();
        if pieces.any(|p| p.file.ends_with("3mf")) {
            PieceFormat::Threemf
        } else {
            PieceFormat::Stl
        }
    }

    /// An earlier piece as its file has it.
    fn on_disk(&self, piece: usize) -> Written {
        Written {
            file: self.earlier.report.pieces[piece].file.clone(),
            as_printed: self.earlier.assembly.pieces[piece].as_printed.clone(),
        }
    }

    /// A new printer among those of the new plan.
    fn new_printer(&self, printer: usize) -> usize {
        self.earlier.plan.printers.len() + printer
    }

    /// Leaves the files that stay as they are, and what is said of them.
    fn keep(&self, build: &mut Build, out: &mut [Option<PieceFile>]) -> Result<(), Failure> {
        for (k, kept) in self.kept.iter().enumerate() {
            let Some(FileKept { piece, printer }) = *kept else {
                continue;
            };
            let was = &self.earlier.report.pieces[piece];
            let Some(in_place) = was.motion() else {
                continue;
            };
            let own = &mut build.pieces[k];
            own.twin = None;
            own.printer = match printer {
                Some(p) if !self.printed.contains(&was.id) => self.new_printer(p),
                _ => self.earlier.assembly.pieces[piece].printer,
            };
            own.placement = Ok(Placement {
                onto_bed: in_place.inverse(),
                size_mm: was.size_mm,
                slenderness: was.slenderness,
                overhang_mm2: was.overhang_mm2,
                joints_across: was.joints_across,
            });
            let path = self.folder.join(&was.file);
            let bytes = std::fs::read(&path)
                .map_err(|e| Failure::input(&path, e, "Put the file of the piece back."))?;
            let written = self.on_disk(piece);
            let first = !out.iter().flatten().any(|(w, _)| w.file == written.file);
            out[k] = Some((written, first.then_some(bytes)));
        }
        Ok(())
    }

    /// Has pieces printed from kept files of their shape.
    fn serve(&self, build: &mut Build, served: &[Option<Twin>], out: &mut [Option<PieceFile>]) {
        for (k, twin) in served.iter().enumerate() {
            let Some(twin) = twin else { continue };
            let Some(FileKept { piece, printer }) = self.kept[twin.of] else {
                continue;
            };
            let placement = build.pieces[twin.of].placement.clone();
            let own = &mut build.pieces[k];
            own.placement = placement.map(|placed| Placement {
                onto_bed: placed.onto_bed * twin.motion.inverse(),
                ..placed
            });
            own.printer = printer.map_or(own.printer, |p| self.new_printer(p));
            out[k] = Some((self.on_disk(piece), None));
        }
    }

    /// New files, each named after the first piece that has it.
    fn name(
        &self,
        build: &Build,
        fresh: Vec<PieceFile>,
        out: &mut [Option<PieceFile>],
    ) -> Result<(), Failure> {
        let format = self.format();
        let mut taken: BTreeSet<String> = self
            .kept
            .iter()
            .flatten()
            .map(|kept| self.earlier.report.pieces[kept.piece].file.clone())
            .collect();
        let mut named: Vec<(String, String)> = Vec::new();
        for (k, (written, bytes)) in fresh.into_iter().enumerate() {
            if out[k].is_some() {
                continue;
            }
            let id = &build.pieces[k].id;
            let known = named.iter().find(|(from, _)| *from == written.file);
            let (file, first) = match known {
                Some((_, to)) => (to.clone(), false),
                None => {
                    let file = free_file(&taken, id, format);
                    taken.insert(file.clone());
                    named.push((written.file.clone(), file.clone()));
                    (file, true)
                }
            };
            let as_printed = written.as_printed;
            let bytes = match bytes {
                _ if !first => None,
                Some(bytes) => Some(bytes),
                None => {
                    let bytes = finish::piece_bytes(id, &as_printed, format);
                    Some(bytes.map_err(Failure::Usage)?)
                }
            };
            out[k] = Some((Written { file, as_printed }, bytes));
        }
        Ok(())
    }
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
