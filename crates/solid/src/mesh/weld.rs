//! Loose triangles welded into a closed surface, or told what is wrong with them.

use std::collections::HashMap;

use crate::Point;
use crate::mesh::cavities::none_inside_out;
use crate::mesh::defects::{DefectKind, Defects, Tally};
use crate::mesh::solid_type::{Solid, TriangleCorners};

impl Solid {
    /// Welds loose triangles into a solid.
    ///
    /// Corners at the same place become one vertex; where that leaves open
    /// edges, corners within a millionth of the model's size are welded too.
    ///
    /// # Errors
    ///
    /// Every [`Defect`](crate::Defect) found, with counts and a place each.
    pub fn from_triangles(
        triangles: impl IntoIterator<Item = TriangleCorners>,
    ) -> Result<Self, Defects> {
        weld(triangles.into_iter().collect()).map(|(v, t)| Self::trusted(v, t))
    }

    /// Checks an indexed mesh and makes a solid of it.
    ///
    /// # Errors
    ///
    /// Every [`Defect`](crate::Defect) found, with counts and a place each.
    pub fn from_indexed(vertices: Vec<Point>, triangles: Vec<[u32; 3]>) -> Result<Self, Defects> {
        inspect(&vertices, &triangles)?;
        Ok(Self::trusted(vertices, triangles))
    }
}

/// Welds loose triangles: first corners at the same place, then, where edges
/// stay open, corners within a millionth of the size of the whole.
pub(crate) fn weld(
    triangles: Vec<TriangleCorners>,
) -> Result<(Vec<Point>, Vec<[u32; 3]>), Defects> {
    let exact = weld_exactly(&triangles);
    match inspect(&exact.0, &exact.1) {
        Ok(()) => Ok(exact),
        Err(defects) if defects.has(DefectKind::OpenEdge) => {
            let Some(reach) = crate::bounds::Bounds::of(exact.0.iter().copied()) else {
                return Err(defects);
            };
            let near = weld_near(exact.0, exact.1, reach.diagonal_mm() * 1e-6);
            inspect(&near.0, &near.1)
                .map(|()| near)
                .map_err(|_| defects)
        }
        Err(defects) => Err(defects),
    }
}

fn bits(p: &Point) -> [u64; 3] {
    // Adding zero turns -0.0 into 0.0, which is the same place.
    [p.x, p.y, p.z].map(|x| (x + 0.0).to_bits())
}

pub(crate) fn weld_exactly(triangles: &[TriangleCorners]) -> (Vec<Point>, Vec<[u32; 3]>) {
    let mut vertices: Vec<Point> = Vec::with_capacity(triangles.len() / 2 + 2);
    let mut seen: HashMap<[u64; 3], u32> = HashMap::with_capacity(triangles.len() / 2 + 2);
    let indexed = triangles
        .iter()
        .map(|corners| {
            corners.map(|p| {
                *seen.entry(bits(&p)).or_insert_with(|| {
                    vertices.push(p);
                    (vertices.len() - 1) as u32
                })
            })
        })
        .collect();
    (vertices, indexed)
}

pub(crate) fn weld_near(
    vertices: Vec<Point>,
    triangles: Vec<[u32; 3]>,
    within_mm: f64,
) -> (Vec<Point>, Vec<[u32; 3]>) {
    if !(within_mm > 0.0 && within_mm.is_finite()) {
        return (vertices, triangles);
    }
    let mut kept: Vec<Point> = Vec::new();
    let mut grid: HashMap<[i64; 3], Vec<u32>> = HashMap::new();
    let cell = |p: &Point| [p.x, p.y, p.z].map(|x| (x / within_mm).floor() as i64);
    let to: Vec<u32> = vertices
        .iter()
        .map(|p| {
            let c = cell(p);
            let mut best: Option<u32> = None;
            for d in 0..27 {
                let key = [c[0] + d % 3 - 1, c[1] + d / 3 % 3 - 1, c[2] + d / 9 - 1];
                for &i in grid.get(&key).into_iter().flatten() {
                    if (kept[i as usize] - p).norm() <= within_mm && best.is_none_or(|b| i < b) {
                        best = Some(i);
                    }
                }
            }
            best.unwrap_or_else(|| {
                kept.push(*p);
                let i = (kept.len() - 1) as u32;
                grid.entry(c).or_default().push(i);
                i
            })
        })
        .collect();
    let triangles = triangles
        .iter()
        .map(|t| t.map(|i| to[i as usize]))
        .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
        .collect();
    (kept, triangles)
}

/// Checks that an indexed mesh bounds a solid.
pub(crate) fn inspect(vertices: &[Point], triangles: &[[u32; 3]]) -> Result<(), Defects> {
    let mut tally = Tally::default();
    if triangles.is_empty() {
        tally.add(DefectKind::NoTriangles, Point::origin());
        return tally.result();
    }
    for p in vertices.iter().filter(|p| !p.iter().all(|x| x.is_finite())) {
        tally.add(DefectKind::NotFinite, *p);
    }
    for t in triangles {
        if t.iter().any(|&i| i as usize >= vertices.len()) {
            tally.add(DefectKind::IndexOutOfRange, Point::origin());
        }
    }
    // Nothing below can be trusted with wrong indices or numbers.
    tally.result()?;

    let mut tally = Tally::default();
    for t in triangles {
        if is_needle(t.map(|i| vertices[i as usize])) {
            tally.add(DefectKind::ZeroArea, vertices[t[0] as usize]);
        }
    }
    for (edge, forward, backward) in edge_uses(triangles) {
        let middle = nalgebra::center(&vertices[edge[0] as usize], &vertices[edge[1] as usize]);
        match (forward, backward) {
            (1, 1) => {}
            (1, 0) | (0, 1) => tally.add(DefectKind::OpenEdge, middle),
            (2, 0) | (0, 2) => tally.add(DefectKind::FlippedFace, middle),
            _ => tally.add(DefectKind::CrowdedEdge, middle),
        }
    }
    tally.result()?;

    none_inside_out(vertices, triangles)
}

/// Whether three corners span no area at all.
pub(crate) fn is_needle([a, b, c]: TriangleCorners) -> bool {
    let cross = (b - a).cross(&(c - a));
    cross.x == 0.0 && cross.y == 0.0 && cross.z == 0.0
}

/// Every undirected edge, with how often it is run along up and down.
pub(crate) fn edge_uses(triangles: &[[u32; 3]]) -> Vec<([u32; 2], u32, u32)> {
    let mut directed: Vec<(u32, u32, bool)> = Vec::with_capacity(triangles.len() * 3);
    for t in triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if a != b {
                directed.push((a.min(b), a.max(b), a < b));
            }
        }
    }
    directed.sort_unstable();
    directed
        .chunk_by(|x, y| x.0 == y.0 && x.1 == y.1)
        .map(|run| {
            let forward = run.iter().filter(|e| e.2).count() as u32;
            ([run[0].0, run[0].1], forward, run.len() as u32 - forward)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block() -> Vec<TriangleCorners> {
        Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0))
            .triangle_corners()
            .collect()
    }

    fn kinds(soup: Vec<TriangleCorners>) -> Vec<(DefectKind, usize)> {
        match Solid::from_triangles(soup) {
            Ok(_) => Vec::new(),
            Err(d) => d.found.iter().map(|d| (d.kind, d.count)).collect(),
        }
    }

    #[test]
    fn a_missing_triangle_leaves_three_open_edges() {
        let mut soup = block();
        soup.pop();
        assert_eq!(kinds(soup), [(DefectKind::OpenEdge, 3)]);
    }

    #[test]
    fn a_turned_triangle_is_a_flipped_face() {
        let mut soup = block();
        soup[4].swap(0, 1);
        assert_eq!(kinds(soup), [(DefectKind::FlippedFace, 3)]);
    }

    #[test]
    fn a_doubled_triangle_crowds_its_edges() {
        let mut soup = block();
        soup.push(soup[0]);
        assert_eq!(kinds(soup), [(DefectKind::CrowdedEdge, 3)]);
    }

    #[test]
    fn a_mirrored_block_is_inside_out() {
        let soup = block().into_iter().map(|[a, b, c]| [a, c, b]).collect();
        assert_eq!(kinds(soup), [(DefectKind::InsideOut, 1)]);
    }

    #[test]
    fn a_block_in_a_block_is_a_cavity_only_when_turned() {
        let outer = Solid::cuboid(Point::origin(), Point::new(9.0, 9.0, 9.0));
        let inner = Solid::cuboid(Point::new(3.0, 3.0, 3.0), Point::new(6.0, 6.0, 6.0));
        let mut soup: Vec<_> = outer.triangle_corners().collect();
        soup.extend(inner.triangle_corners().map(|[a, b, c]| [a, c, b]));
        let hollow = Solid::from_triangles(soup).unwrap();
        assert!((hollow.volume_mm3() - (729.0 - 27.0)).abs() < 1e-9);
        assert_eq!(hollow.bodies().len(), 1);
    }

    #[test]
    fn zero_area_and_not_finite_are_told() {
        let mut soup = block();
        soup.push([Point::origin(), Point::origin(), Point::new(1.0, 0.0, 0.0)]);
        assert!(kinds(soup).contains(&(DefectKind::ZeroArea, 1)));
        let mut soup = block();
        soup[0][0].x = f64::NAN;
        assert!(kinds(soup).iter().any(|k| k.0 == DefectKind::NotFinite));
        assert_eq!(kinds(Vec::new()), [(DefectKind::NoTriangles, 1)]);
    }

    #[test]
    fn corners_a_hair_apart_are_welded() {
        let mut soup = block();
        soup[0][0].x += 1e-7;
        assert!(Solid::from_triangles(soup).is_ok());
    }
}
