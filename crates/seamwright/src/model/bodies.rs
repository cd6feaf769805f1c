//! The bodies of a model: what is one, what nearly touches, what hangs in the air.

use std::path::Path;

use inspection::{Code, Finding};
use solid::{Bounds, KernelError, Point, Solid, Vector, gaps};

use crate::failure::Failure;

/// Bodies that are no further apart, as a share of the size of the whole, touch: a file is
/// no more exact.
const PRECISION: f64 = 1e-6;
/// Bodies that are less apart are told: they may be meant to touch.
const NEAR_MM: f64 = 0.5;
/// A body shorter than this in every direction, and less than this share of the whole, that
/// touches nothing, is left over from the drawing.
const DEBRIS_MM: f64 = 5.0;
const DEBRIS_SHARE: f64 = 1e-4;
/// What has another body no further below, or the floor, stands on it.
const STANDS_MM: f64 = 5.0;

/// The solid with bodies that touch, overlap or lie in each other joined, and what is odd
/// about the others told.
pub(super) fn together(
    path: &Path,
    solid: Solid,
    join_gaps_mm: Option<f64>,
    notes: &mut Vec<Finding>,
) -> Result<Solid, Failure> {
    let kernel = |e: KernelError| {
        let what_to_do = "Export the model again, or repair it in a mesh editor.";
        Failure::input(path, e, what_to_do)
    };
    let (mut solid, read) = (solid, notes.len());
    // The kernel takes several times the model's room: it is asked where that is needed.
    let touches = solid.touches_itself().is_some();
    if touches && solid.crosses_itself().map_err(kernel)? {
        let message = "the model's surface passes through itself; overlapping parts were joined into one body";
        notes.push(Finding::new(Code::Rebuilt, message));
        solid = solid.rebuilt().map_err(kernel)?;
    }
    if solid.bodies().len() < 2 {
        return Ok(match notes.len() > read {
            true => solid.in_order(),
            false => solid,
        });
    }
    let (united, gone) = solid.united().map_err(kernel)?;
    if gone > 0 {
        solid = united;
        let message = format!(
            "{} joined with others that they touch, overlap or lie in",
            counted(gone, "body was", "bodies were")
        );
        notes.push(Finding::new(Code::Rebuilt, message));
    }
    let size = solid.bounds().map_or(0.0, |b| b.diagonal_mm());
    let within = join_gaps_mm.unwrap_or(0.0).max(size * PRECISION);
    let (joined, count) = solid.joined_across(within).map_err(kernel)?;
    if count > 0 {
        let message = format!(
            "{} joined with others across gaps of at most {within:.3} mm",
            counted(count, "body was", "bodies were")
        );
        notes.push(Finding::new(Code::Rebuilt, message));
        solid = joined;
    }
    let bodies = without_debris(solid.bodies(), notes);
    if bodies.len() < solid.bodies().len() {
        solid = Solid::gathered(&bodies);
    }
    if notes.len() > read {
        solid = solid.in_order();
    }
    if bodies.len() > 1 {
        let message = format!(
            "the model is {} bodies that do not touch: each is cut by itself and put in its place \
             by a step of its own; with --together, and with a plan that has no [[body]], the \
             same planes cut all of them, and how they move in each other is not judged",
            bodies.len()
        );
        notes.push(Finding::new(Code::BodiesApart, message));
    }
    notes.extend(nearly_touching(&bodies, within));
    notes.extend(in_the_air(&bodies).map_err(kernel)?);
    Ok(solid)
}

fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// The bodies that are furniture.
fn without_debris(bodies: Vec<Solid>, notes: &mut Vec<Finding>) -> Vec<Solid> {
    let whole: f64 = bodies.iter().map(Solid::volume_mm3).sum();
    let is_debris = |body: &Solid| {
        let size = body.bounds().map_or(0.0, |b| b.size_mm().max());
        size < DEBRIS_MM && body.volume_mm3() < DEBRIS_SHARE * whole
    };
    let (debris, kept): (Vec<Solid>, Vec<Solid>) = bodies.into_iter().partition(is_debris);
    if let Some(first) = debris.first().and_then(|b| Some(b.bounds()?.centre())) {
        let message = format!(
            "{} under {DEBRIS_MM} mm that nothing touches, left out of the split",
            counted(debris.len(), "stray body", "stray bodies")
        );
        notes.push(Finding::new(Code::Debris, message).at(&first));
    }
    kept
}

/// More of them are counted together.
const TOLD: usize = 8;

/// A warning for each two bodies that are nearly one; gaps that could be joined are.
fn nearly_touching(bodies: &[Solid], joined_mm: f64) -> Vec<Finding> {
    let mut found = gaps(bodies, NEAR_MM);
    // A file is not exact to the last digits of half a millimetre.
    found.retain(|gap| gap.width_mm < NEAR_MM - 1e-3);
    let mut out: Vec<Finding> = Vec::new();
    for gap in found.iter().take(TOLD) {
        let [a, b] = gap.bodies.map(|k| sized(&bodies[k]));
        let width = gap.width_mm;
        let enough = (width * 100.0).ceil() / 100.0 + 0.01;
        let message = if width < 1e-3 {
            format!(
                "{a} and {b} touch at a corner or along an edge there, and no more: that holds \
                 nothing, and they become loose parts; let them overlap if they are meant to be one"
            )
        } else if width <= joined_mm {
            format!(
                "{a} and {b} are apart by {width:.3} mm there and become loose parts; no flat \
                 faces stand across from each other, so --join-gaps does not join them: let them \
                 overlap if they are meant to be one"
            )
        } else {
            format!(
                "{a} and {b} are apart by {width:.3} mm there and become parts of their own; if \
                 they are meant to be one, join them with --join-gaps {enough:.2}"
            )
        };
        out.push(
            Finding::new(Code::NearGap, message)
                .at(&gap.at)
                .measured(width, NEAR_MM),
        );
    }
    if found.len() > TOLD {
        let message = format!(
            "{} more pairs of bodies are nearly as near",
            found.len() - TOLD
        );
        out.push(Finding::new(Code::NearGap, message));
    }
    out
}

/// A warning for each body under which there is neither the floor nor another.
fn in_the_air(bodies: &[Solid]) -> Result<Vec<Finding>, KernelError> {
    let mut out = Vec::new();
    let boxes: Vec<Option<Bounds>> = bodies.iter().map(Solid::bounds).collect();
    let floor = boxes
        .iter()
        .flatten()
        .map(|b| b.min.z)
        .fold(f64::INFINITY, f64::min);
    for (k, body) in bodies.iter().enumerate() {
        let Some(own) = boxes[k].filter(|b| b.min.z > floor + STANDS_MM) else {
            continue;
        };
        let mut stands = false;
        // In steps, so that nothing thin is jumped over.
        for by_mm in [0.5, 1.0, 2.0, 3.0, 4.0, STANDS_MM] {
            let lower = body.shifted(-Vector::z() * by_mm);
            for (_, other) in bodies.iter().enumerate().filter(|(j, _)| *j != k) {
                stands = stands || !lower.intersection(other)?.is_empty();
            }
        }
        if !stands {
            let at = Point::new(own.centre().x, own.centre().y, own.min.z);
            let message = format!(
                "{} hangs in the air: nothing touches it, and within {STANDS_MM} mm under it there \
                 is neither the floor nor anything else; nothing will hold it in the furniture",
                sized(body)
            );
            out.push(Finding::new(Code::InTheAir, message).at(&at));
        }
    }
    Ok(out)
}

/// A body by its size.
fn sized(body: &Solid) -> String {
    let size = body.bounds().map_or(Vector::zeros(), |b| b.size_mm());
    format!("a body of {:.0} × {:.0} × {:.0} mm", size.x, size.y, size.z)
}
