//! Which pieces are the same, and which are mostly what another was.

use design::PieceEntry;
use rayon::prelude::*;
use solid::{KernelError, Solid};
use workshop::{Build, engraved};

use crate::earlier::Earlier;

/// For each piece of a build, not engraved yet, the earlier piece that it is with
/// the labels of that, by index.
///
/// # Errors
///
/// When the kernel refuses to cut a label.
pub(crate) fn matched(build: &Build, earlier: &Earlier) -> Result<Vec<Option<usize>>, KernelError> {
    let disk: Vec<(&PieceEntry, &Solid)> = earlier
        .pieces
        .iter()
        .map(|p| (&p.entry, &p.in_place))
        .collect();
    let found = |piece: &Solid| {
        for (k, (entry, solid)) in disk.iter().enumerate() {
            if !same_bounds(piece, solid) {
                continue;
            }
            if same_place(&engraved(piece, &entry.labels)?, solid) {
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
pub(crate) fn same_place(a: &Solid, b: &Solid) -> bool {
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

#[cfg(test)]
mod tests {
    use solid::{Point, Vector};

    use super::*;

    #[test]
    fn a_notch_makes_another_piece_of_the_same_box() {
        let block = Solid::cuboid(Point::origin(), Point::new(40.0, 30.0, 20.0));
        let notch = Solid::cuboid(Point::new(10.0, 10.0, 15.0), Point::new(20.0, 20.0, 25.0));
        let notched = block.difference(&notch).unwrap();
        assert!(same_place(&block, &block.clone()));
        assert!(same_bounds(&block, &notched) && !same_place(&block, &notched));
        assert!(mostly_shared(&block, &notched));
        assert!(!mostly_shared(&block, &block.shifted(Vector::x() * 30.0)));
    }
}
