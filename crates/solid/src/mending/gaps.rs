//! Bodies that nearly touch.

use geo::{Area, BooleanOps};

use crate::boolean::kernel_error::KernelError;
use crate::disjoint_sets::DisjointSets;
use crate::frame::Frame;
use crate::mesh::solid_type::Solid;
use crate::polygon::outline::Outline;
use crate::query::nearest::nearest;
use crate::{Point, Vector};

/// Where two bodies nearly touch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The bodies, by their places in the list.
    pub bodies: [usize; 2],
    /// How far they are apart.
    pub width_mm: f64,
    /// Where.
    pub at: Point,
}

/// Where some bodies are apart by no more than so much, each pair once.
///
/// ```
/// use solid::{Point, Solid, gaps};
///
/// let top = Solid::cuboid(Point::new(0.0, 0.0, 10.2), Point::new(30.0, 30.0, 12.0));
/// let leg = Solid::cuboid(Point::origin(), Point::new(3.0, 3.0, 10.0));
/// let found = gaps(&[top, leg], 0.5);
/// assert_eq!(found.len(), 1);
/// assert!((found[0].width_mm - 0.2).abs() < 1e-9);
/// ```
pub fn gaps(bodies: &[Solid], within_mm: f64) -> Vec<Gap> {
    let boxes: Vec<_> = bodies.iter().map(Solid::bounds).collect();
    let mut out = Vec::new();
    for (a, one) in bodies.iter().enumerate() {
        for (b, other) in bodies.iter().enumerate().skip(a + 1) {
            let (Some(here), Some(there)) = (&boxes[a], &boxes[b]) else {
                continue;
            };
            if !here.overlaps(there, -within_mm) {
                continue;
            }
            if let Some((width_mm, at)) = nearest(one, other, within_mm) {
                out.push(Gap {
                    bodies: [a, b],
                    width_mm,
                    at,
                });
            }
        }
    }
    out
}

/// Faces that face each other may be askew by as much as the cosine says.
const FACING: f64 = 0.9999;
/// So far within a body its section is taken, and what fills a gap goes into it.
const WITHIN_MM: f64 = 0.01;
/// Less than this is no contact.
const LEAST_MM2: f64 = 0.1;

impl Solid {
    /// The solid with gaps between flat faces of its bodies filled that are no wider than so
    /// much: what stands across from each other is joined over the area that both faces have.
    /// How many bodies are joined with others.
    ///
    /// # Errors
    ///
    /// When the kernel refuses an operand.
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let top = Solid::cuboid(Point::new(0.0, 0.0, 10.2), Point::new(30.0, 30.0, 12.0));
    /// let leg = Solid::cuboid(Point::origin(), Point::new(3.0, 3.0, 10.0));
    /// let apart = Solid::gathered([&top, &leg]);
    /// let (joined, count) = apart.joined_across(0.5).unwrap();
    /// assert_eq!(count, 1);
    /// assert!((joined.volume_mm3() - (1620.0 + 90.0 + 1.8)).abs() < 1e-6);
    /// ```
    pub fn joined_across(&self, within_mm: f64) -> Result<(Self, usize), KernelError> {
        let mut bodies = self.bodies();
        let before = bodies.len();
        let mut sets = DisjointSets::of(before);
        let mut fillings: Vec<Vec<Self>> = vec![Vec::new(); before];
        for gap in gaps(&bodies, within_mm) {
            let [a, b] = gap.bodies;
            let filling = between([&bodies[a], &bodies[b]], gap.at, within_mm)?;
            if !filling.is_empty() {
                sets.unite(a, b);
                fillings[a].extend(filling);
            }
        }
        let mut out = Vec::new();
        for root in 0..before {
            let members: Vec<usize> = (0..before).filter(|&k| sets.find(k) == root).collect();
            let parts: Vec<Self> = members
                .iter()
                .flat_map(|&k| {
                    let body = std::mem::replace(&mut bodies[k], Self::empty());
                    std::iter::once(body).chain(std::mem::take(&mut fillings[k]))
                })
                .collect();
            match parts.as_slice() {
                [] => {}
                [alone] => out.push(alone.clone()),
                _ => out.push(Self::union_of(&parts)?),
            }
        }
        Ok((Self::gathered(&out), before - out.len()))
    }
}

/// A body of more planes is no board: what is round has no gap between flat faces.
const MOST_PLANES: usize = 400;

/// What fills the gaps between two bodies, near a place.
fn between(
    [one, other]: [&Solid; 2],
    at: Point,
    within_mm: f64,
) -> Result<Vec<Solid>, KernelError> {
    let [ours, theirs] = [one, other].map(|body| face_planes(body, at));
    let mut out = Vec::new();
    if ours.len().max(theirs.len()) > MOST_PLANES {
        return Ok(out);
    }
    for (normal, height) in ours {
        let facing = theirs.iter().filter(|(n, _)| n.dot(&normal) < -FACING);
        // How far their face lies before ours.
        let widths = facing.map(|(_, theirs)| -theirs - height);
        for width in widths.filter(|w| *w > 0.0 && *w <= within_mm) {
            let frame = Frame::facing(at + normal * height, normal);
            let ours: Outline = one.section(&frame.raised(-WITHIN_MM));
            let patch = ours.intersection(&other.section(&frame.raised(width + WITHIN_MM)));
            if patch.unsigned_area() > LEAST_MM2 {
                let (from, to) = (-WITHIN_MM, width + WITHIN_MM);
                out.push(Solid::extruded(&frame, &patch, from, to)?);
            }
        }
    }
    Ok(out)
}

/// The planes in which faces of a body lie: outward, and how far along that from a place.
fn face_planes(body: &Solid, at: Point) -> Vec<(Vector, f64)> {
    let mut out: Vec<(Vector, f64)> = Vec::new();
    for (k, [a, ..]) in body.triangle_corners().enumerate() {
        let normal = body.normal(k);
        let height = (a - at).dot(&normal);
        let known = |(n, h): &(Vector, f64)| n.dot(&normal) > FACING && (h - height).abs() < 1e-3;
        if normal != Vector::zeros() && !out.iter().any(known) {
            out.push((normal, height));
        }
        if out.len() > MOST_PLANES {
            break;
        }
    }
    out
}
