//! Surfaces without thickness, given one.

use std::collections::{HashMap, HashSet};

use nalgebra::Matrix3;

use crate::disjoint_sets::DisjointSets;
use crate::mending::holes::rims;
use crate::mending::loose::{Loose, sides};
use crate::mending::patch::{area_mm2, least_faces};
use crate::{Point, Vector};

/// A surface is one without thickness where closing it would take more than this share of its
/// own area: a tray without a lid is, a body from which a small face is missing is not.
const SHARE: f64 = 0.125;
/// A corner goes no further than so many times as far as the faces beside it.
const SHARPEST: f64 = 3.0;
/// Directions in which the faces about a corner differ by less are one.
const SAME: f64 = 1e-6;

/// Gives each open surface a thickness, half of it to either side: where it is flat its faces
/// end up just so far apart, and corners where planes meet stay sharp. Where more than two
/// faces meet at an edge, each surface that ends there is thickened by itself. How many, and
/// where the first is.
pub(super) fn thicken(loose: &mut Loose, thickness_mm: f64) -> Option<(usize, Point)> {
    one_side_each(loose);
    let surfaces = surfaces(loose);
    let (mut count, mut first) = (0, None);
    let mut left = Vec::new();
    let mut made = Vec::new();
    for surface in surfaces {
        if !is_open(loose, &surface) {
            left.extend(surface);
            continue;
        }
        count += 1;
        first = first.or(Some(loose.at(surface[0][0])));
        let solid = thickened(loose, &surface, thickness_mm / 2.0);
        let offset = loose.vertices.len() as u32;
        loose.vertices.extend(solid.vertices);
        made.extend(solid.triangles.iter().map(|t| t.map(|v| v + offset)));
    }
    left.extend(made);
    loose.triangles = left;
    first.map(|at| (count, at))
}

/// Of what is drawn with both sides in one place keeps one.
fn one_side_each(loose: &mut Loose) {
    let key = |t: &[u32; 3]| {
        let mut key = *t;
        key.sort_unstable();
        key
    };
    let mut times: HashMap<[u32; 3], u32> = HashMap::new();
    for t in &loose.triangles {
        *times.entry(key(t)).or_default() += 1;
    }
    // What hangs together by edges, whichever way its faces look.
    let mut parts = DisjointSets::of(loose.triangles.len());
    for faces in loose.faces_at_edges().values() {
        for pair in faces.windows(2) {
            parts.unite(pair[0].0 as usize, pair[1].0 as usize);
        }
    }
    let of: Vec<usize> = (0..loose.triangles.len()).map(|k| parts.find(k)).collect();
    let single: HashSet<usize> = (loose.triangles.iter().zip(&of))
        .filter(|(t, _)| times[&key(t)] < 2)
        .map(|(_, part)| *part)
        .collect();
    let mut kept = HashSet::new();
    let triangles = std::mem::take(&mut loose.triangles);
    let twice = |part: &usize| !single.contains(part);
    for (t, part) in triangles.into_iter().zip(of) {
        if !twice(&part) || kept.insert(key(&t)) {
            loose.triangles.push(t);
        }
    }
}

/// The triangles that hang together across edges of two faces.
fn surfaces(loose: &Loose) -> Vec<Vec<[u32; 3]>> {
    let mut parts = DisjointSets::of(loose.triangles.len());
    for faces in loose.faces_at_edges().values() {
        if let [one, other] = faces[..] {
            parts.unite(one.0 as usize, other.0 as usize);
        }
    }
    let mut places: HashMap<usize, usize> = HashMap::new();
    let mut out: Vec<Vec<[u32; 3]>> = Vec::new();
    for (k, t) in loose.triangles.iter().enumerate() {
        let place = *places.entry(parts.find(k)).or_insert_with(|| {
            out.push(Vec::new());
            out.len() - 1
        });
        out[place].push(*t);
    }
    out
}

/// The edges at which a surface ends, as its own faces run along them.
fn ends(surface: &[[u32; 3]]) -> Vec<[u32; 2]> {
    let all: HashSet<[u32; 2]> = surface.iter().flat_map(sides).collect();
    let each = surface.iter().flat_map(sides);
    each.filter(|[a, b]| !all.contains(&[*b, *a])).collect()
}

fn is_open(loose: &Loose, surface: &[[u32; 3]]) -> bool {
    let missing: Vec<[u32; 2]> = ends(surface).into_iter().map(|[a, b]| [b, a]).collect();
    if missing.is_empty() {
        return false;
    }
    let area = |faces: &[[u32; 3]]| -> f64 { faces.iter().map(|t| area_mm2(loose, t)).sum() };
    let closing = rims(&missing).into_iter().map(|ring| {
        let faces = least_faces(loose, &ring, &HashSet::new());
        faces.map_or(0.0, |faces| area(&faces))
    });
    closing.sum::<f64>() > SHARE * area(surface)
}

/// A surface with all its faces moved out and in by half its thickness, and closed around.
fn thickened(loose: &Loose, surface: &[[u32; 3]], half_mm: f64) -> Loose {
    let mut places: HashMap<u32, u32> = HashMap::new();
    let mut corners: Vec<u32> = Vec::new();
    for &v in surface.iter().flatten() {
        places.entry(v).or_insert_with(|| {
            corners.push(v);
            corners.len() as u32 - 1
        });
    }
    let mut normals: Vec<Vec<Vector>> = vec![Vec::new(); corners.len()];
    for t in surface {
        let [a, b, c] = t.map(|v| loose.at(v));
        if let Some(n) = (b - a).cross(&(c - a)).try_normalize(0.0) {
            for v in t {
                let about = &mut normals[places[v] as usize];
                if !about.iter().any(|m| (m - n).norm() < SAME) {
                    about.push(n);
                }
            }
        }
    }
    let moved: Vec<Vector> = normals.iter().map(|n| corner(n, half_mm)).collect();
    let side = |sign: f64| {
        let each = corners.iter().zip(&moved);
        each.map(move |(&v, by)| loose.at(v) + by * sign)
    };
    let vertices: Vec<Point> = side(1.0).chain(side(-1.0)).collect();
    let n = corners.len() as u32;
    let out = surface.iter().map(|t| t.map(|v| places[&v]));
    let mut triangles: Vec<[u32; 3]> = out.clone().collect();
    triangles.extend(out.map(|[a, b, c]| [a + n, c + n, b + n]));
    for [a, b] in ends(surface) {
        let [a, b] = [places[&a], places[&b]];
        triangles.extend([[b, a, a + n], [b, a + n, b + n]]);
    }
    Loose {
        vertices,
        triangles,
    }
}

/// How a corner moves so that each of the faces about it moves out by so much, as nearly as
/// can be.
fn corner(normals: &[Vector], by_mm: f64) -> Vector {
    let sum: Vector = normals.iter().sum();
    let square: Matrix3<f64> = normals.iter().map(|n| n * n.transpose()).sum();
    let inverse = square
        .pseudo_inverse(1e-3)
        .unwrap_or_else(|_| Matrix3::identity());
    let by = inverse * sum * by_mm;
    let most = SHARPEST * by_mm;
    if by.norm() > most {
        by * (most / by.norm())
    } else {
        by
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::mesh::solid_type::{Solid, TriangleCorners};
    use crate::{Mends, Remedy};

    proptest! {
        /// A strip folded along lines across it, as a sheet of metal is bent, gets a section
        /// of its thickness times its length, less and more at the folds alike.
        #[test]
        fn a_folded_strip_has_its_length_times_its_thickness(
            turns in proptest::collection::vec(-1.2..1.2f64, 1..6),
            thickness_mm in 0.5..4.0f64,
        ) {
            let (mut at, mut angle) = ([0.0, 0.0], 0.0f64);
            let mut line = vec![at];
            for turn in turns.iter().chain([&0.0]) {
                at = [at[0] + 60.0 * angle.cos(), at[1] + 60.0 * angle.sin()];
                line.push(at);
                angle += turn;
            }
            let place = |k: usize, y: f64| Point::new(line[k][0], y, line[k][1]);
            let soup: Vec<TriangleCorners> = (1..line.len())
                .flat_map(|k| {
                    let [a, b] = [0.0, 90.0].map(|y| place(k - 1, y));
                    let [c, d] = [0.0, 90.0].map(|y| place(k, y));
                    [[a, c, d], [a, d, b]]
                })
                .collect();
            let by = Mends { thicken_mm: Some(thickness_mm), ..Mends::default() };
            let mended = Solid::mended_by(soup, by).unwrap();
            prop_assert_eq!(mended.done[0].remedy, Remedy::Thickened);
            let expected = 60.0 * turns.len() as f64 + 60.0;
            // Half a strip at either end is square, and mitres are alike on both sides.
            let found = mended.solid.volume_mm3() / (90.0 * thickness_mm);
            prop_assert!((found - expected).abs() < 1e-6 * expected, "{} of {}", found, expected);
        }
    }

    #[test]
    fn a_body_that_lacks_a_small_face_is_no_sheet() {
        let block = Solid::cuboid(Point::origin(), Point::new(300.0, 200.0, 100.0));
        let open = block.triangle_corners();
        let open = open.filter(|t| !t.iter().all(|p| p.x == 300.0));
        let open: Vec<TriangleCorners> = open.collect();
        let by = Mends {
            thicken_mm: Some(3.0),
            ..Mends::default()
        };
        let mended = Solid::mended_by(open, by).unwrap();
        let done: Vec<Remedy> = mended.done.iter().map(|m| m.remedy).collect();
        assert_eq!(done, [Remedy::Holes]);
        assert!((mended.solid.volume_mm3() - 6e6).abs() < 1e-3);
    }

    #[test]
    fn a_sheet_with_both_its_sides_is_one() {
        let [a, b, c, d] =
            [[0., 0.], [300., 0.], [300., 200.], [0., 200.]].map(|[x, y]| Point::new(x, y, 5.0));
        let both = [[a, b, c], [a, c, d], [a, c, b], [a, d, c]];
        let by = Mends {
            thicken_mm: Some(2.5),
            ..Mends::default()
        };
        let mended = Solid::mended_by(both, by).unwrap();
        assert!((mended.solid.volume_mm3() - 300.0 * 200.0 * 2.5).abs() < 1e-6);
    }
}
