//! The planes in which a model has flat faces.

use std::collections::BTreeMap;

use solid::{Bounds, Solid, Vector};

/// Less flat surface in one plane than this is no face of a member, in mm².
const LEAST_MM2: f64 = 300.0;
/// The cell from which a plane is first seen holds this share of that at least: a flat face
/// may lie in two or three.
const SHARE: f64 = 0.25;
/// How far off a plane the corners of its triangles may be, in mm: what is left
/// of a flat face that was turned and rounded to single precision.
const OFF_PLANE_MM: f64 = 0.01;
/// Directions and heights are sorted into cells of this size.
const CELL: [f64; 2] = [1e-2, 0.5];

/// A plane that holds flat faces of a model, all turned the same way.
#[derive(Clone, Debug)]
pub(crate) struct FlatFaces {
    /// Out of the material.
    pub(crate) normal: Vector,
    /// Height of the plane along the normal.
    pub(crate) at_mm: f64,
    pub(crate) area_mm2: f64,
    /// The box about them.
    pub(crate) bounds: Bounds,
}

/// All planes with enough flat surface, from the largest to the smallest.
pub(crate) fn flat_faces(model: &Solid) -> Vec<FlatFaces> {
    let mut cells: BTreeMap<[i64; 4], Vec<usize>> = BTreeMap::new();
    let mut out: Vec<FlatFaces> = Vec::new();
    // The largest triangles say best how their plane lies.
    let area = |t: usize| {
        let [a, b, c] = model.corners(t);
        (b - a).cross(&(c - a)).norm() / 2.0
    };
    let mut triangles: Vec<(usize, f64)> = (0..model.triangles().len())
        .map(|t| (t, area(t)))
        .filter(|t| t.1 > 0.0)
        .collect();
    triangles.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let key_of = |t: usize| {
        let normal = model.normal(t);
        cell(&normal, normal.dot(&model.corners(t)[0].coords))
    };
    let mut area_of: BTreeMap<[i64; 4], f64> = BTreeMap::new();
    for (t, area_mm2) in &triangles {
        *area_of.entry(key_of(*t)).or_default() += area_mm2;
    }
    for (t, area_mm2) in triangles {
        let corners = model.corners(t);
        let normal = model.normal(t);
        let key = key_of(t);
        let holds = |k: &usize| {
            let plane = &out[*k];
            plane.normal.dot(&normal) > 0.99
                && corners
                    .iter()
                    .all(|p| (plane.normal.dot(&p.coords) - plane.at_mm).abs() < OFF_PLANE_MM)
        };
        let known = cells
            .get(&key)
            .and_then(|near| near.iter().find(|k| holds(k)));
        if let Some(&k) = known {
            let plane = &mut out[k];
            plane.area_mm2 += area_mm2;
            for p in corners {
                plane.bounds = plane.bounds.joined(&Bounds { min: p, max: p });
            }
            continue;
        }
        // On what is curved all around no cell holds much.
        if area_of
            .get(&key)
            .is_none_or(|area| *area < SHARE * LEAST_MM2)
        {
            continue;
        }
        let Some(bounds) = Bounds::of(corners) else {
            continue;
        };
        let at_mm = normal.dot(&corners[0].coords);
        for near in neighbours(&normal, at_mm) {
            cells.entry(near).or_default().push(out.len());
        }
        out.push(FlatFaces {
            normal,
            at_mm,
            area_mm2,
            bounds,
        });
    }
    out.retain(|plane| plane.area_mm2 >= LEAST_MM2);
    out.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    out
}

fn cell(normal: &Vector, at_mm: f64) -> [i64; 4] {
    let [x, y, z] = [normal.x, normal.y, normal.z].map(|c| (c / CELL[0]).round() as i64);
    [x, y, z, (at_mm / CELL[1]).round() as i64]
}

/// The cells in which a triangle of a plane may fall.
fn neighbours(normal: &Vector, at_mm: f64) -> Vec<[i64; 4]> {
    let mut out: Vec<[i64; 4]> = Vec::new();
    for nth in 0..81 {
        let off = |place: u32| f64::from((nth / 3_i32.pow(place)) % 3 - 1) * 0.2;
        let turned = normal + Vector::new(off(0), off(1), off(2)) * CELL[0];
        out.push(cell(&turned, at_mm + off(3) * CELL[1]));
    }
    out.sort_unstable();
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn a_block_has_six_planes_however_it_is_turned() {
        let block = Solid::cuboid(Point::origin(), Point::new(600.0, 240.0, 18.0));
        let turn = nalgebra::UnitQuaternion::from_euler_angles(0.3, 0.7, 1.1);
        let turn = solid::Isometry::from_parts(nalgebra::Translation3::identity(), turn);
        for block in [block.clone(), block.moved(&turn)] {
            let faces = flat_faces(&block);
            let areas: Vec<f64> = faces.iter().map(|f| f.area_mm2.round()).collect();
            assert_eq!(
                areas,
                [144_000.0, 144_000.0, 10_800.0, 10_800.0, 4_320.0, 4_320.0]
            );
        }
    }
}
