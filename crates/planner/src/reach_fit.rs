use crate::lattice::Reach;
use crate::{Bed, Printer, rectangle_fits};

/// Up to this height over its least width a piece stands steady (common
/// practice, no published source).
pub(crate) const STEADY: f64 = 3.0;

/// The least slenderness with which something of this reach lies on a printer:
/// on a face square to an axis, turned in the plane as the box allows
/// (exactly) or as the fan shows. `None` where it does not fit.
pub(crate) fn lies(piece: &Reach, printer: &Printer) -> Option<f64> {
    let usable = printer.usable_mm();
    let wide = |k: usize| piece.high[k] - piece.low[k] - 1e-6;
    let fits_flat = |a: usize, b: usize| match printer.bed {
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
        .filter(|&up| wide(up) <= usable[2] && fits_flat((up + 1) % 3, (up + 2) % 3))
        .map(|up| wide(up) / wide((up + 1) % 3).min(wide((up + 2) % 3)).max(1e-3))
        .reduce(f64::min)
}
