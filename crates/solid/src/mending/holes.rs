//! Holes with a flat rim, closed.

use std::collections::hash_map::Entry;
use std::collections::{HashMap, HashSet, VecDeque};

use crate::cut::cap::filled;
use crate::frame::Frame;
use crate::mending::loose::{Loose, sides};
use crate::mending::patch::{area_mm2, least_faces};
use crate::{Point, Vector};

/// A rim no further from a plane is flat.
const FLAT_MM: f64 = 0.1;

/// Of more rims than this each is closed by itself: they are crumbs of a surface.
const MOST_TOGETHER: usize = 2000;

/// Closes holes whose rim is flat; those that lie in one plane together, as the end of a tube
/// is missing between two rims. How many rims were closed, where the first is, and the area
/// that came in.
pub(super) fn close_flat(loose: &mut Loose) -> Option<(usize, Point, f64)> {
    let rims: Vec<Rim> = rims(&loose.open_edges())
        .into_iter()
        .filter_map(|ring| Rim::flat(loose, ring))
        .collect();
    let (mut closed, mut first, mut area) = (0, None, 0.0);
    let few = rims.len() < MOST_TOGETHER;
    let mut rims: VecDeque<Rim> = rims.into();
    while let Some(lead) = rims.pop_front() {
        let mut with = Vec::new();
        if few {
            let (beside, others): (Vec<Rim>, Vec<Rim>) =
                rims.into_iter().partition(|r| lead.shares_plane(loose, r));
            (with, rims) = (beside, others.into());
        }
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
            area += triangles.iter().map(|t| area_mm2(loose, t)).sum::<f64>();
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

/// Closes what holes are left with the faces of least area on the corners of their rims. How
/// many rims were closed, where the first is, and the area that came in.
pub(super) fn close_as_it_seems(loose: &mut Loose) -> Option<(usize, Point, f64)> {
    let mut taken: HashSet<[u32; 2]> = loose.faces_at_edges().into_keys().collect();
    let (mut closed, mut first, mut area) = (0, None, 0.0);
    for ring in rims(&loose.open_edges()) {
        let Some(faces) = least_faces(loose, &ring, &taken) else {
            continue;
        };
        closed += 1;
        first = first.or(Some(loose.at(ring[0])));
        area += faces.iter().map(|t| area_mm2(loose, t)).sum::<f64>();
        let edges = faces.iter().flat_map(sides);
        taken.extend(edges.map(|[a, b]| [a.min(b), a.max(b)]));
        loose.triangles.extend(faces);
    }
    first.map(|at| (closed, at, area))
}

/// Edges in closed rings: where more than one goes on from a vertex, as where two holes meet
/// at a corner, the shortest ring is taken first.
pub(super) fn rims(edges: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let mut next: HashMap<u32, Vec<u32>> = HashMap::with_capacity(edges.len());
    for &[a, b] in edges {
        next.entry(a).or_default().push(b);
    }
    let mut out = Vec::new();
    for &[start, second] in edges {
        if !next.get(&start).is_some_and(|to| to.contains(&second)) {
            continue;
        }
        let Some(ring) = shortest_ring(&next, [start, second]) else {
            continue;
        };
        for (k, from) in ring.iter().enumerate() {
            let to = ring[(k + 1) % ring.len()];
            if let Some(ways) = next.get_mut(from) {
                let at = ways.iter().position(|w| *w == to);
                at.map(|at| ways.remove(at));
            }
        }
        if ring.len() > 2 {
            out.push(ring);
        }
    }
    out
}

/// The ring of fewest edges through one of them, from its first vertex on.
fn shortest_ring(next: &HashMap<u32, Vec<u32>>, [start, second]: [u32; 2]) -> Option<Vec<u32>> {
    let mut from: HashMap<u32, u32> = HashMap::from([(second, start)]);
    let mut front = VecDeque::from([second]);
    while let Some(at) = front.pop_front() {
        for &to in next.get(&at).into_iter().flatten() {
            if to == start {
                let mut ring = vec![at];
                while let Some(&before) = from.get(&ring[ring.len() - 1]) {
                    ring.push(before);
                    if before == start {
                        break;
                    }
                }
                ring.reverse();
                return Some(ring);
            }
            if let Entry::Vacant(free) = from.entry(to) {
                free.insert(at);
                front.push_back(to);
            }
        }
    }
    None
}
