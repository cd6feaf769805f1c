use inspection::Assembly;
use paperwork::{PieceEntry, Report};
use rayon::prelude::*;
use solid::{KernelError, Solid};
use workshop::Build;

/// For each piece of a build, not engraved yet, the piece on disk that it is
/// with the labels of that, by index.
pub(crate) fn matched(
    build: &Build,
    report: &Report,
    assembly: &Assembly,
) -> Result<Vec<Option<usize>>, KernelError> {
    let disk: Vec<(&PieceEntry, &Solid)> = report
        .pieces
        .iter()
        .zip(assembly.pieces.iter().map(|p| &p.in_place))
        .collect();
    let found = |piece: &Solid| {
        for (k, (entry, solid)) in disk.iter().enumerate() {
            if !same_bounds(piece, solid) {
                continue;
            }
            let mut engraved = piece.clone();
            for label in &entry.labels {
                engraved = engraved.difference(&label.groove()?)?;
            }
            if same_place(&engraved, solid) {
                return Ok(Some(k));
            }
        }
        Ok(None)
    };
    build.pieces.par_iter().map(|p| found(&p.solid)).collect()
}

/// How far two solids may differ and be the same but for the rounding of
/// files.
const NEAR_MM: f64 = 1e-3;

fn same_bounds(a: &Solid, b: &Solid) -> bool {
    match (a.bounds(), b.bounds()) {
        (Some(x), Some(y)) => (x.min - y.min).norm() < NEAR_MM && (x.max - y.max).norm() < NEAR_MM,
        _ => false,
    }
}

/// Whether two solids are the same within the rounding of files.
fn same_place(a: &Solid, b: &Solid) -> bool {
    same_bounds(a, b)
        && (a.volume_mm3() - b.volume_mm3()).abs() < NEAR_MM * a.area_mm2()
        && match (a.moments(), b.moments()) {
            (Some(m), Some(n)) => (m.centroid - n.centroid).norm() < NEAR_MM,
            _ => false,
        }
}

/// Whether two solids share more than half of either.
pub(crate) fn mostly_shared(a: &Solid, b: &Solid) -> bool {
    let near = match (a.bounds(), b.bounds()) {
        (Some(x), Some(y)) => x.overlaps(&y, 0.0),
        _ => false,
    };
    near && a
        .intersection(b)
        .is_ok_and(|s| s.volume_mm3() > 0.5 * a.volume_mm3().max(b.volume_mm3()))
}
