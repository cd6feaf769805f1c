//! Whether pieces stand in their beds.

use design::Assembly;
use printing::excess_as_it_lies;

use crate::code::Code;
use crate::finding::Finding;

/// Whether each piece, as it lies, is one body that stands in its bed.
pub(crate) fn lying(assembly: &Assembly) -> Vec<Finding> {
    let mut findings = Vec::new();
    for piece in assembly.pieces() {
        let bodies = piece.as_printed.bodies();
        if bodies.len() != 1 {
            let message = match bodies.len() {
                0 => format!("{} holds nothing; move the seams beside it", piece.id),
                n => format!(
                    "{} falls apart into {n} bodies; move a seam so that it stays whole",
                    piece.id
                ),
            };
            findings.push(
                Finding::new(Code::SeveralBodies, message)
                    .piece(&piece.id)
                    .measured(bodies.len() as f64, 1.0),
            );
        }
        let printer = assembly.printer(piece);
        let excess = excess_as_it_lies(&piece.as_printed, printer);
        if excess > 0.0 {
            let size = piece
                .as_printed
                .bounds()
                .map_or([0.0; 3], |b| b.size_mm().into());
            let [x, y, z] = size;
            findings.push(
                Finding::new(
                    Code::DoesNotFit,
                    format!(
                        "{} is {x:.1} × {y:.1} × {z:.1} mm as it lies and stands {excess:.2} mm \
                         out of the usable bed of {printer}; cut it again or use a larger bed",
                        piece.id
                    ),
                )
                .piece(&piece.id)
                .measured(excess, 0.0),
            );
        }
    }
    findings
}
