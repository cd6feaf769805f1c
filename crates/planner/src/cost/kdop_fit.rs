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
