//! Holes with a flat rim, closed.

use std::collections::HashMap;

use crate::cut::cap::filled;
use crate::frame::Frame;
use crate::mending::loose::Loose;
use crate::{Point, Vector};

/// A rim no further from a plane is flat.
const FLAT_MM: f64 = 0.1;

/// Closes holes whose rim is flat; those that lie in one plane together, as the end of a tube
/// is missing between two rims. How many rims were closed, where the first is, and the area
/// that came in.
pub(super) fn close_flat(loose: &mut Loose) -> Option<(usize, Point, f64)> {
    let mut rims: Vec<Rim> = rims(&loose.open_edges())
        .into_iter()
        .filter_map(|ring| Rim::flat(loose, ring))
        .collect();
    let (mut closed, mut first, mut area) = (0, None, 0.0);
    while !rims.is_empty() {
        let lead = rims.remove(0);
        let (with, others): (Vec<Rim>, Vec<Rim>) =
            rims.into_iter().partition(|r| lead.shares_plane(loose, r));
        rims = others;
        let all: Vec<&Rim> = std::iter::once(&lead).chain(&with).collect();
        // Where they do not make one face, each may make its own.
        let whole = fill(loose, &lead, &all);
        let parts = match whole {
            Some(triangles) => vec![(all.len(), triangles)],
            None => all
                .iter()
                .filter_map(|r| Some((1, fill(loose, r, &[r])?)))
                .collect(),
        };
        for (rims, triangles) in parts {
            closed += rims;
            first = first.or(Some(loose.at(lead.ring[0])));
            area += triangles.iter().map(|t| area_of(loose, t)).sum::<f64>();
            loose.triangles.extend(triangles);
        }
    }
    first.map(|at| (closed, at, area))
}

/// A rim that lies in a plane, run along as the faces that close it do.
struct Rim {
    ring: Vec<u32>,
    middle: Point,
    /// Towards the outside, where it is the rim of a hole and not of an island in one.
    normal: Vector,
}

impl Rim {
    fn flat(loose: &Loose, ring: Vec<u32>) -> Option<Self> {
        let places: Vec<Point> = ring.iter().map(|&v| loose.at(v)).collect();
        let sum: Vector = places.iter().map(|p| p.coords).sum();
        let middle = Point::from(sum / places.len() as f64);
        let next = places.iter().cycle().skip(1);
        let spokes = places.iter().zip(next);
        let area: Vector = spokes.map(|(a, b)| (a - middle).cross(&(b - middle))).sum();
        let normal = area.try_normalize(1e-9)?;
        let off = |p: &Point| (p - middle).dot(&normal).abs();
        places.iter().all(|p| off(p) <= FLAT_MM).then_some(Self {
            ring,
            middle,
            normal,
        })
    }

    /// Whether another lies in its plane, whichever way it winds.
    fn shares_plane(&self, loose: &Loose, other: &Self) -> bool {
        let off = |v: &u32| (loose.at(*v) - self.middle).dot(&self.normal).abs();
        self.normal.dot(&other.normal).abs() > 0.99 && other.ring.iter().all(|v| off(v) <= FLAT_MM)
    }
}

fn fill(loose: &Loose, lead: &Rim, rims: &[&Rim]) -> Option<Vec<[u32; 3]>> {
    let frame = Frame::facing(lead.middle, lead.normal);
    let mut edges = Vec::new();
    for rim in rims {
        let next = rim.ring.iter().cycle().skip(1);
        edges.extend(rim.ring.iter().zip(next).map(|(a, b)| [*a, *b]));
    }
    let triangles = filled(&edges, &frame, |v| loose.at(v))?;
    (!triangles.is_empty()).then_some(triangles)
}

fn area_of(loose: &Loose, t: &[u32; 3]) -> f64 {
    let [a, b, c] = t.map(|v| loose.at(v));
    (b - a).cross(&(c - a)).norm() / 2.0
}

/// Edges in closed rings. Where more than one goes on from a vertex no ring through it is
/// sure, and none is given.
fn rims(edges: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let mut next: HashMap<u32, u32> = HashMap::with_capacity(edges.len());
    let mut unsure: Vec<u32> = Vec::new();
    for &[a, b] in edges {
        if next.insert(a, b).is_some() {
            unsure.push(a);
        }
    }
    let mut out = Vec::new();
    for &[start, _] in edges {
        let mut ring = Vec::new();
        let mut at = start;
        while let Some(to) = next.remove(&at) {
            ring.push(at);
            at = to;
        }
        let sure = !ring.iter().any(|v| unsure.contains(v));
        if ring.len() > 2 && at == start && sure {
            out.push(ring);
        }
    }
    out
}
