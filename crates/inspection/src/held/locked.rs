//! Whether what weight would push out of a seam is kept there by other pieces.

use std::cell::OnceCell;

use design::Assembly;
use solid::{Facets, Vector};

/// So far a piece is moved.
const MOVED_MM: f64 = 1.0;
/// What shares more then is in the way: faces with a clearance between them share less.
const IN_THE_WAY_MM3: f64 = 5.0;

/// The pieces of an assembly, made ready to be moved a little.
pub(crate) struct Locks<'a> {
    assembly: &'a Assembly,
    facets: Vec<OnceCell<Facets<'a>>>,
}

impl<'a> Locks<'a> {
    pub(crate) fn of(assembly: &'a Assembly) -> Self {
        Self {
            assembly,
            facets: assembly.pieces().iter().map(|_| OnceCell::new()).collect(),
        }
    }

    /// Whether a piece cannot leave another one along a direction, though nothing between the
    /// two keeps it: it pushes others before it, these others, and among them is the one that
    /// it would leave, as the last stones of a ring do.
    pub(crate) fn is_locked(&self, piece: usize, from: usize, way: &Vector) -> bool {
        let count = self.assembly.pieces().len();
        let mut stays: Vec<usize> = (0..count).filter(|&k| k != piece).collect();
        let mut next = vec![piece];
        while let Some(own) = next.pop() {
            let (pushed, others): (Vec<usize>, Vec<usize>) = stays
                .into_iter()
                .partition(|&other| self.pushes(own, other, way));
            if pushed.contains(&from) {
                return true;
            }
            stays = others;
            next.extend(pushed);
        }
        false
    }

    fn pushes(&self, own: usize, other: usize, way: &Vector) -> bool {
        let boxes = [own, other].map(|k| self.assembly.pieces()[k].in_place.bounds());
        let [Some(a), Some(b)] = boxes else {
            return false;
        };
        if !a.grown(MOVED_MM).overlaps(&b, 0.0) {
            return false;
        }
        let [own, other] = [own, other].map(|k| self.facets(k));
        let shared = |mm: f64| own.shared(&(way * mm), other).map_or(0.0, |s| s.volume_mm3);
        shared(MOVED_MM) - shared(0.0) > IN_THE_WAY_MM3
    }

    fn facets(&self, piece: usize) -> &Facets<'a> {
        let solid = &self.assembly.pieces()[piece].in_place;
        self.facets[piece].get_or_init(|| Facets::of(solid))
    }
}

#[cfg(test)]
mod tests {
    use design::{PieceId, PieceInPlace, PrinterId};
    use solid::{Isometry, Solid};

    use super::*;

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(a.into(), b.into())
    }

    /// A post with a ledge, a block above it that rests on nothing there, and a block between
    /// that one and the ledge, or none.
    fn locked(between: bool) -> bool {
        let post = block([0.0, 0.0, 0.0], [20.0, 20.0, 100.0])
            .union(&block([0.0, 0.0, 0.0], [60.0, 20.0, 20.0]))
            .unwrap();
        let hangs = block([20.0, 0.0, 60.0], [60.0, 20.0, 80.0]);
        let mut solids = vec![post, hangs];
        if between {
            solids.push(block([40.0, 0.0, 20.0], [60.0, 20.0, 60.0]));
        }
        let piece = |(k, solid): (usize, Solid)| PieceInPlace {
            id: PieceId::cut(k + 1, 2),
            in_place: solid.clone(),
            as_printed: solid,
            placed: Isometry::identity(),
            printer: PrinterId::at(0),
        };
        let pieces = solids.into_iter().enumerate().map(piece).collect();
        let printers = vec!["220x220x250".parse().unwrap()];
        let assembly = Assembly::new(pieces, Vec::new(), Vec::new(), printers).unwrap();
        Locks::of(&assembly).is_locked(1, 0, &-Vector::z())
    }

    #[test]
    fn what_pushes_the_one_that_it_would_leave_before_it_is_locked() {
        assert!(!locked(false));
        assert!(locked(true));
    }
}
