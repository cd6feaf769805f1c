//! What the layers of printed pieces bear of a pull.

use joinery::capacity::layer_share;
use printing::{Material, Span};
use solid::Vector;

use crate::layout::joining::Joining;
use crate::layout::seam::Seam;

/// Counts the estimates of all contacts down to what the layers of the pieces,
/// as they are printed, bear of a pull along the seam's normal. `up` is the way in
/// which the layers of a piece are laid, in the model's coordinates.
pub(crate) fn count_layers(seams: &mut [Seam], up: impl Fn(usize) -> Vector, material: &Material) {
    for seam in seams {
        let normal = seam.frame.n;
        let share = |k: usize| layer_share(normal.dot(&up(k)).abs().min(1.0).asin(), material);
        for contact in &mut seam.contacts {
            let least = contact.pieces().map(share).fold(Span::from(1.0), |a, b| {
                Span::new(a.low.min(b.low), a.high.min(b.high))
            });
            if let Joining::Joined(joined) = &mut contact.joining {
                joined.layer_share = least;
                if let Some(estimate) = &mut joined.figures.estimate {
                    estimate.pull_n = estimate.pull_n * least;
                }
            }
        }
    }
}
