//! What of a step a person has to see: the outlines of its joints, and its keys.

use design::{Assembly, StepEntry};
use solid::{Bounds, Point, Vector};

use crate::pictures::raster::{InPlace, Shape, Sight};

/// Of an outline so much has to be in sight.
pub(crate) const IN_SIGHT: f64 = 0.3;
/// Points of two pieces are of one joint where they are no further apart: twice the widest
/// clearance that a plan allows, and the rounding of its corners.
const MATES_MM: f64 = 1.2;
/// What lies no further from a seam's plane is the seam's, not a joint's.
const OFF_PLANE_MM: f64 = 0.5;
/// Between two points of an edge.
const SPACING_MM: f64 = 3.0;

/// The outline of the joints between two pieces, or of a key.
pub(crate) struct Outline {
    /// What stands beside the joint: a piece, or those that a key holds.
    pub(crate) standing: Vec<usize>,
    /// What moves.
    pub(crate) moving: usize,
    /// Points along the edges of what stands and of what moves, where they are drawn; a key
    /// has only its own.
    pub(crate) halves: [Vec<Point>; 2],
}

impl Outline {
    /// How much of it is in sight: of the half of which more is.
    pub(crate) fn share(&self, sight: &Sight) -> f64 {
        let of_half = |points: &Vec<Point>| {
            let seen = points.iter().filter(|p| sight.shows(p)).count();
            seen as f64 / points.len().max(1) as f64
        };
        let [a, b] = self.halves.each_ref().map(of_half);
        a.max(b)
    }
}

/// The outlines of a step, with what moves drawn `back` from its place.
pub(crate) fn outlines(
    assembly: &Assembly,
    shape: InPlace,
    step: &StepEntry,
    back: Vector,
) -> Vec<Outline> {
    let [onto, moving] = [&step.onto, &step.moving].map(|ids| assembly.places(ids));
    let mut out = Vec::new();
    let is_key = |k: &usize| assembly.pieces()[*k].id.is_key();
    // Keys that are home already, in a part that moves, are not what the step is about.
    if moving.iter().all(is_key) {
        out.extend(moving.iter().map(|&k| Outline {
            standing: held_by(assembly, step, k),
            moving: k,
            halves: [Vec::new(), along(shape(k), shape(k).creases(), back)],
        }));
        return out;
    }
    for seam in assembly
        .seams()
        .iter()
        .filter(|s| Some(&s.id) == step.seam())
    {
        let normal = Vector::from(seam.normal);
        let at = Point::from(seam.origin_mm);
        let mut seen: Vec<[usize; 2]> = Vec::new();
        for contact in seam.contacts.iter().filter(|c| c.count > 0) {
            let [a, b] = contact.pieces.each_ref().map(|id| assembly.place(id));
            let pair = match () {
                () if onto.contains(&a) && moving.contains(&b) => [a, b],
                () if onto.contains(&b) && moving.contains(&a) => [b, a],
                () => continue,
            };
            if seen.contains(&pair) {
                continue;
            }
            seen.push(pair);
            let off = |p: &Point| (p - at).dot(&normal).abs() > OFF_PLANE_MM;
            let [s, m] = pair.map(shape);
            let halves = [
                along(s, mated(s, m, &off), Vector::zeros()),
                along(m, mated(m, s, &off), back),
            ];
            if halves.iter().any(|points| !points.is_empty()) {
                out.push(Outline {
                    standing: vec![pair[0]],
                    moving: pair[1],
                    halves,
                });
            }
        }
    }
    out
}

/// The pieces that a key holds, of its seam.
fn held_by(assembly: &Assembly, step: &StepEntry, key: usize) -> Vec<usize> {
    let id = &assembly.pieces()[key].id;
    let seams = assembly
        .seams()
        .iter()
        .filter(|s| Some(&s.id) == step.seam());
    let contacts = seams.flat_map(|s| &s.contacts);
    let held = contacts.filter(|c| c.keys.contains(id));
    let mut out: Vec<usize> = held.flat_map(|c| assembly.places(&c.pieces)).collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// Points along edges of a shape.
fn along(shape: &Shape, edges: impl Iterator<Item = [u32; 2]>, shift: Vector) -> Vec<Point> {
    let vertices = shape.solid().vertices();
    edges
        .flat_map(|ends| {
            let [a, b] = ends.map(|k| vertices[k as usize] + shift);
            let parts = ((b - a).norm() / SPACING_MM).ceil().max(1.0) as usize;
            (0..parts).map(move |k| a + (b - a) * ((k as f64 + 0.5) / parts as f64))
        })
        .collect()
}

/// The edges of a shape of which both ends have a corner of its mate beside them, and one
/// lies off the seam's plane.
fn mated<'a>(
    shape: &'a Shape,
    mate: &Shape,
    off: &dyn Fn(&Point) -> bool,
) -> impl Iterator<Item = [u32; 2]> + 'a {
    let vertices = shape.solid().vertices();
    let near = beside(vertices, mate.solid().vertices());
    let off: Vec<bool> = vertices.iter().map(off).collect();
    shape.creases().filter(move |ends| {
        let [a, b] = ends.map(|k| k as usize);
        near[a] && near[b] && (off[a] || off[b])
    })
}

/// Which points have one of the others beside them.
fn beside(points: &[Point], others: &[Point]) -> Vec<bool> {
    let mut out = vec![false; points.len()];
    let bounds = |points: &[Point]| Bounds::of(points.iter().copied());
    let (Some(here), Some(there)) = (bounds(points), bounds(others)) else {
        return out;
    };
    let mut sorted: Vec<&Point> = others
        .iter()
        .filter(|p| here.contains(p, MATES_MM))
        .collect();
    sorted.sort_by(|p, q| p.x.total_cmp(&q.x));
    for (p, near) in points.iter().zip(&mut out) {
        if !there.contains(p, MATES_MM) {
            continue;
        }
        let from = sorted.partition_point(|q| q.x < p.x - MATES_MM);
        let about = sorted[from..].iter().take_while(|q| q.x <= p.x + MATES_MM);
        *near = about.into_iter().any(|q| (p - **q).norm() <= MATES_MM);
    }
    out
}
