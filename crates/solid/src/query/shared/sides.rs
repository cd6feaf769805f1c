//! Which corners of some triangles lie within another solid.

use crate::bounds::Bounds;
use crate::query::shared::pair::{Degenerate, Facet, pierced};
use crate::{Point, Vector};

/// For each corner of each triangle whether it lies within a solid, of which all
/// triangles are given, and its bounds.
///
/// `through` is how often each edge goes in more often than it comes out. From
/// corners outside the bounds the answer spreads along edges; what hangs together
/// and has none outside is asked once by a ray.
pub(super) fn sides<F: Iterator<Item = Facet>>(
    facets: &[Facet],
    through: &[[i32; 3]],
    solid: impl Fn() -> F,
    bounds: &Bounds,
) -> Result<Vec<[bool; 3]>, Degenerate> {
    let corners = Corners::of(facets);
    let mut known: Vec<Option<i32>> = corners
        .places
        .iter()
        .map(|p| (!bounds.contains(p, 0.0)).then_some(0))
        .collect();
    let mut open: Vec<usize> = (0..known.len()).filter(|&v| known[v].is_some()).collect();
    let ways = corners.ways(through);
    let mut asked = 0;
    loop {
        while let Some(v) = open.pop() {
            let here = known[v].unwrap_or(0);
            for &(to, change) in ways.from(v) {
                let there = here + change;
                match known[to] {
                    None => {
                        known[to] = Some(there);
                        open.push(to);
                    }
                    Some(told) if told != there => return Err(Degenerate),
                    Some(_) => {}
                }
            }
        }
        let Some(next) = (asked..known.len()).find(|&v| known[v].is_none()) else {
            break;
        };
        asked = next;
        known[next] = Some(winding(corners.places[next], solid(), bounds)?);
        open.push(next);
    }
    let is_in = |v: usize| match known[v] {
        Some(0) => Ok(false),
        Some(1) => Ok(true),
        _ => Err(Degenerate),
    };
    corners
        .triangles
        .iter()
        .map(|&[a, b, c]| Ok([is_in(a)?, is_in(b)?, is_in(c)?]))
        .collect()
}

/// Whether a point lies in a solid, 1 or 0, by the way from outside its bounds.
fn winding(
    p: Point,
    mut solid: impl Iterator<Item = Facet>,
    bounds: &Bounds,
) -> Result<i32, Degenerate> {
    // In no plane that furniture has, so that it meets no edge.
    let way = Vector::new(0.577_231, 0.612_741, 0.539_887);
    let from = p + way * (bounds.diagonal_mm() + (bounds.centre() - p).norm() + 1.0);
    solid.try_fold(0, |sum, u| {
        Ok(match pierced(from, p, &u)? {
            None => sum,
            Some(true) => sum + 1,
            Some(false) => sum - 1,
        })
    })
}

/// The corners of some triangles, each once.
struct Corners {
    places: Vec<Point>,
    triangles: Vec<[usize; 3]>,
}

impl Corners {
    fn of(facets: &[Facet]) -> Self {
        let mut all: Vec<(u32, Point)> = facets
            .iter()
            .flat_map(|t| t.ids.into_iter().zip(t.corners))
            .collect();
        all.sort_by_key(|(id, _)| *id);
        all.dedup_by_key(|(id, _)| *id);
        let place = |id: u32| all.partition_point(|(other, _)| *other < id);
        Self {
            triangles: facets.iter().map(|t| t.ids.map(place)).collect(),
            places: all.iter().map(|(_, p)| *p).collect(),
        }
    }

    fn ways(&self, through: &[[i32; 3]]) -> Ways {
        let mut starts = vec![0; self.places.len() + 1];
        let each = || {
            let all = self.triangles.iter().zip(through);
            all.flat_map(|(t, change)| {
                (0..3).flat_map(move |k| {
                    let [a, b] = [t[k], t[(k + 1) % 3]];
                    [(a, b, change[k]), (b, a, -change[k])]
                })
            })
        };
        for (from, ..) in each() {
            starts[from + 1] += 1;
        }
        for v in 1..starts.len() {
            starts[v] += starts[v - 1];
        }
        let mut next = starts.clone();
        let mut ends = vec![(0, 0); 6 * self.triangles.len()];
        for (from, to, change) in each() {
            ends[next[from]] = (to, change);
            next[from] += 1;
        }
        Ways { starts, ends }
    }
}

/// The edges from each corner, with what changes along them.
struct Ways {
    starts: Vec<usize>,
    ends: Vec<(usize, i32)>,
}

impl Ways {
    fn from(&self, v: usize) -> &[(usize, i32)] {
        &self.ends[self.starts[v]..self.starts[v + 1]]
    }
}
