//! How much room a bed has about a piece that lies as it is printed.

use solid::Solid;

use crate::lying::flat_fit::{convex, enclosing_radius};
use crate::printer::{Bed, Printer};

/// How far a piece, lying as it does, stands out of what a printer can use:
/// not at all where the answer is zero or less. It may be shifted on the bed,
/// not turned, and must rest on z = 0.
pub fn excess_as_it_lies(piece: &Solid, printer: &Printer) -> f64 {
    let Some(bounds) = piece.bounds() else {
        return 0.0;
    };
    let (height, usable) = (bounds.size_mm().z, printer.usable_mm());
    let [across, along] = flat_excess(piece, printer);
    let flat = across.max(along);
    flat.max(height - usable[2]).max(bounds.min.z.abs()) - ROUNDING_MM
}

/// Single-precision files round sizes by hundredths of a micrometre.
const ROUNDING_MM: f64 = 1e-3;

/// How wide a brim about a piece, lying as it does, a bed has room for along x and along
/// y; less than nothing where the piece is too wide by itself.
pub(crate) fn brim_room_mm(piece: &Solid, printer: &Printer) -> [f64; 2] {
    flat_excess(piece, printer).map(|by| -by / 2.0)
}

/// By how much a piece is too wide for a bed along x and along y, lying as it does; less
/// than nothing where it leaves room.
fn flat_excess(piece: &Solid, printer: &Printer) -> [f64; 2] {
    let (size, usable) = match piece.bounds() {
        Some(bounds) => (bounds.size_mm(), printer.usable_mm()),
        None => return [f64::NEG_INFINITY; 2],
    };
    match printer.bed {
        Bed::Rectangle { .. } => [size.x - usable[0], size.y - usable[1]],
        Bed::Round { .. } => {
            let shadow = convex(piece.vertices().iter().map(|p| [p.x, p.y]));
            [2.0 * enclosing_radius(&shadow) - usable[0]; 2]
        }
    }
}
