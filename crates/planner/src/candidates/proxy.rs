//! The proxy mesh: what the search looks at instead of the model.

use solid::{Isometry, KernelError, Solid};

use crate::candidates::model_axes::own_axes;
use printing::Printer;

/// Above this many triangles the search works on a simplified model.
const SIMPLER_ABOVE: usize = 20_000;
/// How far its surface may lie from the model's. Beds count as smaller by twice
/// that, half a millimetre of hundreds; half the tolerance takes half as long
/// again.
const TOLERANCE_MM: f64 = 0.3;

/// What the search for cuts looks at instead of the model: the same along its
/// own axes, and simpler where it is heavy.
pub(crate) struct Proxy {
    pub(crate) model: Solid,
    /// How far its surface may be off the model's.
    pub(crate) error_mm: f64,
    /// Takes the model to it.
    pub(crate) turn: Isometry,
    /// Smaller by twice that error, so that what fits them in its place fits
    /// the true ones.
    pub(crate) printers: Vec<Printer>,
    /// The true sizes, in words.
    pub(crate) beds: String,
}

impl Proxy {
    pub(crate) fn of(model: &Solid, printers: &[Printer]) -> Result<Self, KernelError> {
        let (mut simpler, error_mm) = if model.triangles().len() > SIMPLER_ABOVE {
            (model.simplified(TOLERANCE_MM)?, TOLERANCE_MM)
        } else {
            (model.clone(), 0.0)
        };
        let turn = own_axes(&simpler);
        if turn != Isometry::identity() {
            simpler = simpler.moved(&turn);
        }
        let beds: Vec<String> = printers.iter().map(ToString::to_string).collect();
        let printers = printers
            .iter()
            .map(|p| Printer {
                margin_mm: p.margin_mm + error_mm,
                height_mm: p.height_mm - 2.0 * error_mm,
                ..p.clone()
            })
            .collect();
        Ok(Self {
            model: simpler,
            error_mm,
            turn,
            printers,
            beds: beds.join(" or "),
        })
    }
}
