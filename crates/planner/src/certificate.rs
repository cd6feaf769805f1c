use geo::{Area, BooleanOps};
use serde::{Deserialize, Serialize};
use solid::{Outline, Solid};

use crate::Printer;
use crate::lattice::Lattice;
use crate::section_profile::across;

/// How few pieces there could be at all, beside a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Certificate {
    /// No plan whatever has fewer pieces.
    pub any_plan: usize,
    /// Why.
    pub why: String,
    /// No plan of right-through cuts at the places that were considered has
    /// fewer pieces that fit: all were looked at.
    pub on_lattice: usize,
    /// How many places were considered.
    pub places: usize,
    /// How many were found but left out of the last lattice, the least important
    /// of a model that is many beds large, so that the search stays quick.
    #[serde(default)]
    pub left_out: usize,
    /// How many branches of a large plan on such a lattice were then searched
    /// again, each with places of its own: a plan may have fewer pieces for it
    /// than any on the lattice.
    #[serde(default)]
    pub branches: usize,
}

/// A bound that holds for any plan, and its reason: the largest of
///
/// - bodies: a piece is connected;
/// - volume over what a printer builds at the most;
/// - the shadow along an axis, which the pieces' shadows cover together, over
///   the largest shadow that a printer's box casts in any direction, which is
///   `√((ab)² + (bc)² + (ca)²)` (the shadow is linear in the direction, so
///   Cauchy-Schwarz gives its maximum). The shadow is taken from sections, so
///   it is never too large.
pub(crate) fn bound_for_any_plan(
    model: &Solid,
    lattice: &Lattice,
    printers: &[Printer],
) -> (usize, String) {
    let most = |f: &dyn Fn([f64; 3]) -> f64| {
        printers
            .iter()
            .map(|p| f(p.usable_mm()))
            .fold(1e-9, f64::max)
    };
    let room = most(&|[a, b, c]| a * b * c);
    let largest_shadow =
        most(&|[a, b, c]| ((a * b).powi(2) + (b * c).powi(2) + (c * a).powi(2)).sqrt());
    // A little less, so that rounding never claims too much.
    let count = |needed: f64, each: f64| (needed / each - 1e-6).ceil().max(0.0) as usize;

    let bodies = model.bodies().len();
    let mut best = (
        bodies.max(1),
        format!("it has {bodies} bodies, and a piece is one"),
    );
    let by_volume = count(model.volume_mm3(), room);
    if by_volume > best.0 {
        best = (
            by_volume,
            format!(
                "its volume is {:.0} cm³, and a printer builds {:.0} cm³ at the most",
                model.volume_mm3() / 1000.0,
                room / 1000.0
            ),
        );
    }
    for (axis, name) in ["x", "y", "z"].into_iter().enumerate() {
        let shadow = shadow_mm2(model, lattice, axis);
        let pieces = count(shadow, largest_shadow);
        if pieces > best.0 {
            best = (
                pieces,
                format!(
                    "seen along {name} it covers at least {:.0} cm², and what a printer builds \
                     covers {:.0} cm² at the most, however it is turned",
                    shadow / 100.0,
                    largest_shadow / 100.0
                ),
            );
        }
    }
    best
}

/// A part of the model's shadow along an axis: what its sections cover.
fn shadow_mm2(model: &Solid, lattice: &Lattice, axis: usize) -> f64 {
    let Some(bounds) = model.bounds() else {
        return 0.0;
    };
    let middle = model.section(&across(axis, bounds.centre()[axis]));
    let top = model.section(&across(axis, bounds.max[axis] - 1.0));
    let covered = lattice.cuts[axis]
        .iter()
        .fold(middle.union(&top), |all: Outline, cut| {
            all.union(&cut.section)
        });
    covered.unsigned_area()
}
