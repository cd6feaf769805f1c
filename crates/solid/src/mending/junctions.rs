//! Corners that lie in the edge of another face, which so has a gap of no width beside it.

use std::collections::HashMap;

use crate::Point;
use crate::bounds::Bounds;
use crate::mending::loose::{Loose, sides};
use crate::polygon::facet::facet;
use crate::query::shared::near::overlapping;

/// Parts each face at the corners of others that lie in its open edges. How many corners were
/// taken into faces, and where the first is.
pub(super) fn part_at_junctions(loose: &mut Loose, within_mm: f64) -> Option<(usize, Point)> {
    let open = loose.open_edges();
    let mut corners: Vec<u32> = open.iter().flatten().copied().collect();
    corners.sort_unstable();
    corners.dedup();
    let boxed = |points: &[Point]| Bounds::of(points.iter().copied()).map(|b| b.grown(within_mm));
    let edges: Vec<Bounds> = open
        .iter()
        .filter_map(|e| boxed(&e.map(|v| loose.at(v))))
        .collect();
    let places: Vec<Bounds> = corners
        .iter()
        .filter_map(|&v| boxed(&[loose.at(v)]))
        .collect();
    if edges.len() != open.len() || places.len() != corners.len() {
        return None;
    }
    // Of each edge, from its lower corner: how far along which corners lie.
    let mut within: HashMap<[u32; 2], Vec<(f64, u32)>> = HashMap::new();
    overlapping(&edges, &places, |e, c| {
        let [a, b] = [open[e][0].min(open[e][1]), open[e][0].max(open[e][1])];
        let corner = corners[c];
        let along = loose.at(b) - loose.at(a);
        let length = along.norm();
        let t = (loose.at(corner) - loose.at(a)).dot(&along) / (length * length);
        let off = (loose.at(a) + along * t - loose.at(corner)).norm();
        let inside = t * length > within_mm && (1.0 - t) * length > within_mm;
        if ![a, b].contains(&corner) && inside && off <= within_mm {
            within.entry([a, b]).or_default().push((t, corner));
        }
    });
    let first = within.values().flatten().map(|(_, v)| *v).min()?;
    let count = within.len();
    for corners in within.values_mut() {
        corners.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
        corners.dedup_by_key(|(_, corner)| *corner);
    }
    let mut triangles = Vec::with_capacity(loose.triangles.len());
    for t in &loose.triangles {
        let mut ring: Vec<u32> = Vec::new();
        for [a, b] in sides(t) {
            ring.push(a);
            let between = within.get(&[a.min(b), a.max(b)]).into_iter().flatten();
            let between = between.map(|(_, v)| *v);
            match a < b {
                true => ring.extend(between),
                false => ring.extend(between.collect::<Vec<_>>().into_iter().rev()),
            }
        }
        match ring.len() {
            3 => triangles.push(*t),
            _ => {
                let places: Vec<Point> = ring.iter().map(|&v| loose.at(v)).collect();
                let parts = facet(&places).into_iter();
                triangles.extend(parts.map(|t| t.map(|k| ring[k])));
            }
        }
    }
    loose.triangles = triangles;
    Some((count, loose.at(first)))
}
