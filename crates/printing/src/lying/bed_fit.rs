//! Whether a piece fits a bed.

use std::sync::OnceLock;

use solid::{Hull, Point, Solid, Vector};

use crate::lying::flat_fit::rectangle_fits;
use crate::lying::place::place;
use crate::lying::ways_down::{SAME_WAY_COS, TOO_MUCH_MM, WaysDown, turned_onto};
use crate::printer::{Bed, Printer};

/// Whether a block fits a printer on one of its faces, turned in the plane.
pub fn block_fits(size_mm: [f64; 3], printer: &Printer) -> bool {
    let usable = printer.usable_mm();
    (0..3).any(|up| {
        let flat = [size_mm[(up + 1) % 3], size_mm[(up + 2) % 3]];
        size_mm[up] <= usable[2]
            && match printer.bed {
                Bed::Rectangle { .. } => rectangle_fits(flat, [usable[0], usable[1]]),
                Bed::Round { .. } => flat[0].hypot(flat[1]) <= usable[0],
            }
    })
}

/// A piece of which it is asked often whether it fits: its ways to lie are found once.
pub struct BedFit<'a> {
    piece: &'a Solid,
    ways: OnceLock<Option<WaysDown>>,
    /// The side on which it prints best without joints.
    best: OnceLock<Option<Vector>>,
}

impl<'a> BedFit<'a> {
    /// Of a piece; nothing is found out yet.
    pub fn of(piece: &'a Solid) -> Self {
        Self {
            piece,
            ways: OnceLock::new(),
            best: OnceLock::new(),
        }
    }

    /// The piece.
    pub fn piece(&self) -> &'a Solid {
        self.piece
    }

    /// Whether it fits a printer with all that joints add to it, given by how far it would be
    /// moved for its shadow to hold them, on a side on which it stands; on any where it stands
    /// on none.
    ///
    /// ```
    /// use printing::{BedFit, Printer};
    /// use solid::{Point, Solid, Vector};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(210.0, 214.0, 245.0));
    /// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
    /// let fit = BedFit::of(&block);
    /// assert!(fit.grown(&[Vector::x() * 6.0], &printer));
    /// assert!(!fit.grown(&[Vector::x() * 8.0], &printer));
    /// // On its edge a board would still fit, and fall.
    /// let board = Solid::cuboid(Point::origin(), Point::new(210.0, 134.0, 18.0));
    /// assert!(!BedFit::of(&board).grown(&[Vector::x() * 8.0], &printer));
    /// ```
    pub fn grown(&self, by: &[Vector], printer: &Printer) -> bool {
        let Some(ways) = self.ways.get_or_init(|| standing(self.piece)) else {
            return false;
        };
        let hull = grown_hull(ways, by);
        let fits = |down: &Vector| turned_onto(&hull, down, printer).1 <= TOO_MUCH_MM;
        ways.down.iter().any(fits)
    }

    /// Whether it still fits on the side on which it prints best without joints.
    ///
    /// ```
    /// use printing::{BedFit, Printer};
    /// use solid::{Point, Solid, Vector};
    ///
    /// let board = Solid::cuboid(Point::origin(), Point::new(210.0, 60.0, 40.0));
    /// let printer = Printer::rectangular("bed-1", 220.0, 60.0, 250.0);
    /// let fit = BedFit::of(&board);
    /// let longer = [Vector::x() * 8.0];
    /// // It would stand on its end.
    /// assert!(fit.grown(&longer, &printer) && !fit.grown_as_it_lies(&longer, &printer));
    /// ```
    pub fn grown_as_it_lies(&self, by: &[Vector], printer: &Printer) -> bool {
        let ways = self.ways.get_or_init(|| standing(self.piece));
        match (self.best(printer), ways) {
            (Some(down), Some(ways)) => {
                turned_onto(&grown_hull(ways, by), down, printer).1 <= TOO_MUCH_MM
            }
            _ => false,
        }
    }

    /// Whether no joint sticks out of the side on which it prints best without joints, or none
    /// out of the side opposite, on which it stands too.
    ///
    /// ```
    /// use printing::{BedFit, Printer};
    /// use solid::{Point, Solid, Vector};
    ///
    /// let board = Solid::cuboid(Point::origin(), Point::new(200.0, 90.0, 18.0));
    /// let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
    /// let (brace, fit) = (Vector::z() * 3.0, BedFit::of(&board));
    /// assert!(fit.grown_flat(&[brace], &printer));
    /// assert!(!fit.grown_flat(&[brace, -brace], &printer));
    /// ```
    pub fn grown_flat(&self, by: &[Vector], printer: &Printer) -> bool {
        let Some(best) = self.best(printer) else {
            return true;
        };
        let Some(ways) = self.ways.get_or_init(|| standing(self.piece)) else {
            return true;
        };
        let is_free = |down: &Vector| by.iter().all(|by| by.dot(down) < STICKS_OUT_MM);
        let opposite = ways.down.iter().find(|d| d.dot(best) < -SAME_WAY_COS);
        is_free(best) || opposite.is_some_and(is_free)
    }

    fn best(&self, printer: &Printer) -> &Option<Vector> {
        let best = || {
            let placed = place(self.piece, printer).ok()?;
            Some(placed.onto_bed.rotation.inverse() * -Vector::z())
        };
        self.best.get_or_init(best)
    }
}

/// A joint that reaches out of a side by less leaves the piece lying on it.
const STICKS_OUT_MM: f64 = 0.1;

/// The hull of a piece with all that joints add to it.
fn grown_hull(ways: &WaysDown, by: &[Vector]) -> Hull {
    let mut hull = ways.hull.clone();
    for step in by {
        let moved: Vec<Point> = hull.vertices.iter().map(|p| p + step).collect();
        hull.vertices.extend(moved);
    }
    hull
}

/// The ways in which a piece would be laid down.
fn standing(piece: &Solid) -> Option<WaysDown> {
    let mut ways = WaysDown::of(piece)?;
    // Where there is a side to stand on, no other counts: it would not be chosen.
    if let Some(moments) = piece.moments() {
        let stands = |down: &Vector| ways.footing(piece, moments.centroid, down).stands();
        let standing: Vec<Vector> = ways.down.iter().copied().filter(stands).collect();
        if !standing.is_empty() {
            ways.down = standing;
        }
    }
    Some(ways)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::lying::flat_fit::turn_in_plane;
    use crate::lying::place::place;
    use crate::printer::Printer;
    use solid::Isometry;

    proptest! {
        /// The sampled turn agrees with Carver's exact condition for boxes.
        #[test]
        fn turning_agrees_with_the_exact_condition(
            p in 10.0f64..400.0, q in 10.0f64..400.0, a in 50.0f64..300.0, b in 50.0f64..300.0,
        ) {
            let printer = Printer { margin_mm: 0.0, ..Printer::rectangular("x", a, b, 100.0) };
            let ring = [[0.0, 0.0], [p, 0.0], [p, q], [0.0, q]];
            let excess = turn_in_plane(&ring, &printer).1;
            // Right at the limit either answer is right.
            if excess.abs() > 1e-3 {
                prop_assert_eq!(excess <= 0.0, rectangle_fits([p, q], [a, b]));
            }
        }

        #[test]
        fn what_is_placed_lies_in_the_bed(
            x in 5.0f64..300.0, y in 5.0f64..300.0, z in 5.0f64..300.0, lean in -1.0f64..1.0,
        ) {
            let block = Solid::cuboid(Point::origin(), Point::new(x, y, z))
                .moved(&Isometry::rotation(Vector::new(lean, 0.3, -lean)));
            let printer = Printer::rectangular("bed-1", 220.0, 220.0, 250.0);
            match place(&block, &printer) {
                Ok(placed) => {
                    let b = block.moved(&placed.onto_bed).bounds().unwrap();
                    prop_assert!(b.min.coords.norm() < 1e-6);
                    prop_assert!(b.max.x <= 216.0 + 1e-6 && b.max.y <= 216.0 + 1e-6 && b.max.z <= 250.0 + 1e-6);
                    // On a side, or on a corner where it fits on none.
                    let looser = Printer { margin_mm: 2.0 - 1e-3, height_mm: 250.001, ..printer };
                    let volume = placed.size_mm.iter().product::<f64>();
                    prop_assert!(block_fits([x, y, z], &looser) || volume > x * y * z * 1.001);
                }
                Err(_) => {
                    let tighter = Printer { margin_mm: 2.0 + 1e-3, height_mm: 249.999, ..printer };
                    prop_assert!(!block_fits([x, y, z], &tighter));
                }
            }
        }
    }

    #[test]
    fn a_round_bed_takes_a_square_by_its_diagonal() {
        let round: Printer = "round204x100".parse().unwrap();
        assert!(block_fits([141.0, 141.0, 50.0], &round));
        assert!(!block_fits([142.0, 142.0, 50.0], &round));
        let plate = Solid::cuboid(Point::origin(), Point::new(141.0, 141.0, 5.0));
        assert!(place(&plate, &round).is_ok());
    }
}
