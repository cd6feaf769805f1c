//! Ids, files and placements of unchanged pieces, taken over from the earlier
//! split.

use std::collections::BTreeSet;

use design::{LyingWish, PieceEntry, PieceId, Plan, PrinterId, Recall, ResplitEntry};
use exchange::PieceFormat;
use printing::{Placement, Printer, Stance, excess_as_it_lies};
use solid::{Point, RayCaster, Vector};
use workshop::{BadFile, Build, Congruent, Piece, PieceFile, Written, engrave, written};

use crate::congruent_again::congruent_again;
use crate::earlier::Earlier;
use crate::no_resplit::NoResplit;
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
///
/// # Errors
///
/// When the kernel refuses a label, or a new piece has no form as a file.
pub(crate) fn take_over(
    build: &mut Build,
    earlier: &Earlier,
    (plan, printers): (&Plan, &[Printer]),
) -> Result<(Vec<PieceFile>, ResplitEntry), NoResplit> {
    let same = matched(build, earlier)?;
    let entry = take_ids(build, earlier, &same);
    let files = Files {
        kept: kept(&same, (earlier, build), (plan, printers)),
        earlier,
    };
    for (piece, kept) in build.pieces.iter_mut().zip(&files.kept) {
        if let Some(kept) = kept {
            piece
                .labels
                .clone_from(&earlier.pieces[kept.piece].entry.labels);
        }
    }
    // A file with the label of another piece does not serve.
    let serves = |k: usize| {
        let kept = files.kept[k].as_ref();
        let bare = |f: &FileKept| earlier.pieces[f.piece].entry.labels.is_empty();
        kept.is_some_and(|f| f.printer.is_some() && bare(f))
    };
    let served = congruent_again(build, |k| files.kept[k].is_some(), serves);
    let both = files.kept.iter().zip(&served);
    let leave: Vec<bool> = both.map(|(k, s)| k.is_some() || s.is_some()).collect();
    if plan.settings().labels {
        engrave(build, plan, &leave).map_err(NoResplit::Labels)?;
    }
    let fresh = written(build, files.format(), &Recall::none())?;
    let mut out: Vec<Option<PieceFile>> = vec![None; build.pieces.len()];
    files.keep(build, &mut out);
    files.serve(build, &served, &mut out);
    files.name(build, fresh, &mut out)?;
    Ok((out.into_iter().flatten().collect(), entry))
}

/// The pieces whose files stay as they are. What fits only another way round
/// than it lies in its file gets its own file and labels.
fn kept(
    same: &[Option<usize>],
    (earlier, build): (&Earlier, &Build),
    (plan, printers): (&Plan, &[Printer]),
) -> Vec<Option<FileKept>> {
    let lying = &plan.settings().wishes.lying;
    same.iter()
        .zip(&build.pieces)
        .map(|(e, own)| {
            let piece = (*e)?;
            let disk = &earlier.pieces[piece];
            let printer = printers
                .iter()
                .position(|p| excess_as_it_lies(&disk.as_printed, p) <= 0.0);
            let is_free = || printer.is_some() && !is_to_lie_otherwise(own, &disk.entry, lying);
            (earlier.is_printed(piece) || is_free()).then_some(FileKept { piece, printer })
        })
        .collect()
}

/// What looks up is the same where the cosine is above this.
const SAME_UP: f64 = 1.0 - 1e-6;

/// Whether the maker says how a piece is to lie, and it lies otherwise now than in its file.
fn is_to_lie_otherwise(own: &Piece, was: &PieceEntry, lying: &[LyingWish]) -> bool {
    let Some(in_place) = was.motion() else {
        return false;
    };
    let before = in_place.rotation * Vector::z();
    let now = own.onto_bed().rotation.inverse() * Vector::z();
    let names_it = || {
        let own = RayCaster::new(&own.solid);
        own.is_some_and(|own| lying.iter().any(|w| own.contains(&Point::from(w.at_mm))))
    };
    before.dot(&now) < SAME_UP && names_it()
}

/// Which files stay, and where they are.
struct Files<'a> {
    /// For each piece its file, where that stays.
    kept: Vec<Option<FileKept>>,
    earlier: &'a Earlier,
}

impl Files<'_> {
    fn format(&self) -> PieceFormat {
        let mut pieces = self.earlier.pieces.iter();
        if pieces.any(|p| p.entry.file.ends_with("3mf")) {
            PieceFormat::Threemf
        } else {
            PieceFormat::Stl
        }
    }

    /// An earlier piece as its file has it.
    fn on_disk(&self, piece: usize) -> Written {
        Written {
            file: self.earlier.pieces[piece].entry.file.clone(),
            as_printed: self.earlier.pieces[piece].as_printed.clone(),
        }
    }

    /// A new printer among those of the new plan.
    fn new_printer(&self, printer: usize) -> PrinterId {
        PrinterId::at(self.earlier.plan.printers().len() + printer)
    }

    /// Leaves the files that stay as they are, and what is said of them.
    fn keep(&self, build: &mut Build, out: &mut [Option<PieceFile>]) {
        for (k, kept) in self.kept.iter().enumerate() {
            let Some(FileKept { piece, printer }) = *kept else {
                continue;
            };
            let was = &self.earlier.pieces[piece];
            let Some(in_place) = was.entry.motion() else {
                continue;
            };
            let own = &mut build.pieces[k];
            own.congruent = None;
            own.printer = match printer {
                Some(p) if !self.earlier.is_printed(piece) => self.new_printer(p),
                _ => was.printer,
            };
            let profile = self.earlier.plan.profile(was.printer);
            let printer = self.earlier.plan.printer(was.printer);
            let stance = Stance::of(&was.as_printed, printer, profile);
            own.placement = Ok(Placement {
                standing: stance.standing(),
                lies: stance.footing.lies(),
                support_mm3: stance.support.space_mm3,
                scraped_mm2: stance.support.marked_mm2(),
                brim_mm3: stance.brim_mm3(profile),
                marked_clean_mm2: 0.0,
                onto_bed: in_place.inverse(),
                size_mm: was.entry.size_mm,
                joints_across: was.entry.joints_across,
            });
            let written = self.on_disk(piece);
            let mut before = out.iter().flatten();
            let first = !before.any(|f| f.written.file == written.file);
            out[k] = Some(PieceFile {
                written,
                bytes: first.then(|| was.bytes.clone()),
            });
        }
    }

    /// Has pieces printed from kept files of their shape.
    fn serve(
        &self,
        build: &mut Build,
        served: &[Option<Congruent>],
        out: &mut [Option<PieceFile>],
    ) {
        for (k, first) in served.iter().enumerate() {
            let Some(first) = first else { continue };
            let Some(FileKept { piece, printer }) = self.kept[first.of] else {
                continue;
            };
            let placement = build.pieces[first.of].placement.clone();
            let own = &mut build.pieces[k];
            own.placement = placement.map(|placed| Placement {
                onto_bed: placed.onto_bed * first.motion.inverse(),
                ..placed
            });
            own.printer = printer.map_or(own.printer, |p| self.new_printer(p));
            out[k] = Some(PieceFile {
                written: self.on_disk(piece),
                bytes: None,
            });
        }
    }

    /// New files, each named after the first piece that has it.
    fn name(
        &self,
        build: &Build,
        fresh: Vec<PieceFile>,
        out: &mut [Option<PieceFile>],
    ) -> Result<(), NoResplit> {
        let format = self.format();
        let mut taken: BTreeSet<String> = self
            .kept
            .iter()
            .flatten()
            .map(|kept| self.earlier.pieces[kept.piece].entry.file.clone())
            .collect();
        let mut named: Vec<(String, String)> = Vec::new();
        for (k, PieceFile { written, bytes }) in fresh.into_iter().enumerate() {
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
                    let bytes = format.write(id.as_str(), &as_printed, |surface| {
                        surface.touches_itself().is_none()
                    });
                    Some(bytes.map_err(|why| BadFile {
                        piece: id.clone(),
                        why,
                    })?)
                }
            };
            out[k] = Some(PieceFile {
                written: Written { file, as_printed },
                bytes,
            });
        }
        Ok(())
    }
}

fn free_file(taken: &BTreeSet<String>, id: &PieceId, format: PieceFormat) -> String {
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
