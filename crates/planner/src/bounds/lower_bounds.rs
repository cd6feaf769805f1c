//! How few pieces there could be, by arguments that know nothing of cuts.

use geo::{Area, BooleanOps};
use solid::{Frame, Outline, Point, Solid, Vector};

use crate::bounds::separated_points::{Lying, candidates, corner_to_corner_mm, points_apart};
use crate::candidates::proxy::Proxy;
use printing::Printer;

/// The fewest pieces that a model could be split into, by arguments that know
/// nothing of cuts.
#[derive(Clone, Debug)]
pub(crate) struct LowerBounds {
    /// However pieces lie.
    pub(crate) any_plan: usize,
    /// Why.
    pub(crate) why: String,
    /// If all of them lie square to the model's axes.
    pub(crate) lying_square: usize,
    /// The points that say so, in the coordinates that the model came in.
    pub(crate) apart_mm: Vec<[f64; 3]>,
    /// The model's axes.
    pub(crate) square_to: [[f64; 3]; 3],
}

/// Places along each axis where the shadow is gathered from sections.
const SHADOW_SECTIONS: usize = 10;

impl LowerBounds {
    /// The largest of
    ///
    /// - bodies: a piece is connected;
    /// - volume over what a printer builds at the most;
    /// - the shadow along an axis, which the pieces' shadows cover together,
    ///   over the largest shadow that a printer's box casts in any direction,
    ///   which is `√((ab)² + (bc)² + (ca)²)` (the shadow is linear in the
    ///   direction, so Cauchy-Schwarz gives its maximum);
    /// - points no two of which a printer can hold together ([`points_apart`]).
    ///
    /// The printers are the true ones; what the surface may be off is allowed
    /// for.
    pub(crate) fn of(proxy: &Proxy, printers: &[Printer]) -> Self {
        let (model, error_mm) = (&proxy.model, proxy.error_mm);
        let back = proxy.turn.inverse();
        let points = candidates(model, printers, error_mm);
        let apart = |lying| points_apart(&points, printers, lying, error_mm);
        let (square, anyhow) = rayon::join(|| apart(Lying::Square), || apart(Lying::Anyhow));
        let bodies = model.bodies().len().max(1);
        let mut any = (
            bodies,
            match bodies {
                1 => "it is one body".to_owned(),
                n => format!("it has {n} bodies, and a piece is one"),
            },
        );
        let mut raise = |pieces: usize, why: String| {
            if pieces > any.0 {
                any = (pieces, why);
            }
        };
        let (pieces, why) = by_volume(model.volume_mm3() - error_mm * model.area_mm2(), printers);
        raise(pieces, why);
        if error_mm == 0.0 {
            for axis in 0..3 {
                let (pieces, why) = by_shadow(model, axis, printers);
                raise(pieces, why);
            }
        }
        raise(
            anyhow.len(),
            format!(
                "{} points of it lie more than {:.0} mm from each other, which is as far as the \
                 corners of what a printer builds can be",
                anyhow.len(),
                printers.iter().map(corner_to_corner_mm).fold(0.0, f64::max)
            ),
        );
        let given = |p: &Point| {
            let p = back * p;
            [p.x, p.y, p.z].map(|mm| (mm * 1000.0).round() / 1000.0)
        };
        Self {
            lying_square: square.len().max(any.0),
            any_plan: any.0,
            why: any.1,
            apart_mm: square.iter().map(given).collect(),
            square_to: [0, 1, 2].map(|axis| {
                let along = back.rotation * Vector::ith(axis, 1.0);
                [along.x, along.y, along.z]
            }),
        }
    }
}

fn most(printers: &[Printer], of: impl Fn([f64; 3]) -> f64) -> f64 {
    printers
        .iter()
        .map(|p| of(p.usable_mm()))
        .fold(1e-9, f64::max)
}

/// A little less, so that rounding never claims too much.
fn count(needed: f64, each: f64) -> usize {
    (needed / each - 1e-6).ceil().max(0.0) as usize
}

fn by_volume(volume_mm3: f64, printers: &[Printer]) -> (usize, String) {
    let room = most(printers, |[a, b, c]| a * b * c);
    (
        count(volume_mm3, room),
        format!(
            "its volume is {:.0} cm³, and a printer builds {:.0} cm³ at the most",
            volume_mm3 / 1000.0,
            room / 1000.0
        ),
    )
}

fn by_shadow(model: &Solid, axis: usize, printers: &[Printer]) -> (usize, String) {
    let largest = most(printers, |[a, b, c]| {
        ((a * b).powi(2) + (b * c).powi(2) + (c * a).powi(2)).sqrt()
    });
    let shadow = shadow_mm2(model, axis);
    (
        count(shadow, largest),
        format!(
            "seen along {} it covers at least {:.0} cm², and what a printer builds covers {:.0} \
             cm² at the most, however it is turned",
            ["x", "y", "z"][axis],
            shadow / 100.0,
            largest / 100.0
        ),
    )
}

/// A part of the model's shadow along an axis: what some of its sections cover.
fn shadow_mm2(model: &Solid, axis: usize) -> f64 {
    let Some(bounds) = model.bounds() else {
        return 0.0;
    };
    let (low, high) = (bounds.min[axis] + 1.0, bounds.max[axis] - 1.0);
    let places =
        (0..SHADOW_SECTIONS).map(|k| low + (high - low) * k as f64 / (SHADOW_SECTIONS - 1) as f64);
    places
        .map(|at| model.section(&Frame::across_axis(axis, at)))
        .reduce(|all: Outline, section| all.union(&section))
        .map_or(0.0, |all| all.unsigned_area())
}
