//! Whether a piece fits a printer, told from its k-dop.

use crate::lattice::kdop::Kdop;
use printing::{Bed, Printer, rectangle_fits};

/// Up to this height over its least width a piece stands steady (common
/// practice, no published source).
pub(crate) const STEADY: f64 = 3.0;

/// A way for something to lie on a printer: on a face square to an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lying {
    /// The axis that points up or down.
    pub(crate) up: usize,
    /// Height over the least width of the footprint.
    pub(crate) slenderness: f64,
}

/// The ways in which something of this reach lies on a printer: on a face
/// square to an axis, turned in the plane as the box allows (exactly) or as
/// the fan shows.
pub(crate) fn lies<'a>(piece: &'a Kdop, printer: &'a Printer) -> impl Iterator<Item = Lying> + 'a {
    let usable = printer.usable_mm();
    let wide = move |k: usize| piece.high[k] - piece.low[k] - 1e-6;
    let fits_flat = move |a: usize, b: usize| match printer.bed {
        Bed::Round { .. } => wide(a).hypot(wide(b)) <= usable[0],
        Bed::Rectangle { .. } => {
            // Ten directions between the two axes; five steps further is a
            // right angle.
            let fan = |i: usize| wide(3 + 10 * a + i);
            rectangle_fits([wide(a), wide(b)], [usable[0], usable[1]])
                || (0..5).any(|i| {
                    let (x, y) = (fan(i), fan(i + 5));
                    (x <= usable[0] && y <= usable[1]) || (y <= usable[0] && x <= usable[1])
                })
        }
    };
    (0..3)
        .filter(move |&up| wide(up) <= usable[2] && fits_flat((up + 1) % 3, (up + 2) % 3))
        .map(move |up| Lying {
            up,
            slenderness: wide(up) / wide((up + 1) % 3).min(wide((up + 2) % 3)).max(1e-3),
        })
}

#[cfg(test)]
mod tests {
    use solid::{Point, Solid};

    use super::*;
    use crate::lattice::kdop::directions;

    fn ways(solid: &Solid, printer: &Printer) -> Vec<usize> {
        let piece = Kdop::of(solid, &directions());
        lies(&piece, printer).map(|lying| lying.up).collect()
    }

    #[test]
    fn a_long_bar_lies_across_the_diagonal_of_the_bed_and_a_longer_one_nowhere() {
        let mut printer = Printer::rectangular("bed-1", 200.0, 200.0, 150.0);
        printer.margin_mm = 0.0;
        let bar = |long: f64| Solid::cuboid(Point::origin(), Point::new(long, 20.0, 20.0));
        // A rectangle a long and b wide fits a square of side s turned by half a
        // right angle where a + b is no more than s times the root of two.
        let longest = 200.0 * 2f64.sqrt() - 20.0;
        assert_eq!(ways(&bar(longest - 0.1), &printer), [1, 2]);
        assert!(ways(&bar(longest + 0.1), &printer).is_empty());
        let board = Solid::cuboid(Point::origin(), Point::new(180.0, 140.0, 160.0));
        assert_eq!(ways(&board, &printer), [1], "on its side");
        let slenderness = lies(&Kdop::of(&bar(100.0), &directions()), &printer)
            .map(|lying| lying.slenderness)
            .collect::<Vec<f64>>();
        assert!((slenderness[0] - 5.0).abs() < 1e-4 && (slenderness[2] - 1.0).abs() < 1e-4);
    }

    #[test]
    fn on_a_round_bed_the_diagonal_counts() {
        let round = Printer {
            bed: Bed::Round { diameter_mm: 100.0 },
            margin_mm: 0.0,
            ..Printer::rectangular("round", 100.0, 100.0, 100.0)
        };
        let tile = |side: f64| Solid::cuboid(Point::origin(), Point::new(side, side, 5.0));
        assert_eq!(ways(&tile(70.0), &round).first(), Some(&0));
        assert!(ways(&tile(70.0), &round).contains(&2));
        assert!(!ways(&tile(71.0), &round).contains(&2));
    }
}
