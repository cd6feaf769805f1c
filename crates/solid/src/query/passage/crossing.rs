//! When a moving triangle goes through one that stands.

use crate::mesh::solid_type::TriangleCorners;
use crate::{Point, Vector};

/// A straight move that ends at home.
#[derive(Clone, Copy)]
pub(super) struct Move {
    /// The way in, of length one.
    pub(super) way: Vector,
    /// How far back it begins.
    pub(super) travel_mm: f64,
}

/// How far back, from the nearest on, a triangle that moves goes through one that
/// stands by more than a depth along every axis that could part them.
///
/// Two triangles are apart where an axis parts their shadows (the theorem of
/// separating axes), and the only axes that can are the two normals and the cross
/// products of an edge of each (Gottschalk, Lin & Manocha 1996, *OBBTree*). Along
/// one axis the distance back at which shadows overlap is an interval, so what is
/// common to all axes is the interval sought.
pub(super) fn crossing(
    moving: &TriangleCorners,
    standing: &TriangleCorners,
    how: &Move,
    depth_mm: f64,
) -> Option<[f64; 2]> {
    let (of_moving, of_standing) = (edges(moving), edges(standing));
    let normals = [&of_moving, &of_standing].map(|e| e[0].cross(&e[1]));
    let across = of_moving
        .iter()
        .flat_map(|e| of_standing.iter().map(move |f| e.cross(f)));
    let mut back = [0.0, how.travel_mm];
    for axis in normals.into_iter().chain(across) {
        let length = axis.norm();
        if length < LEAST_AXIS {
            continue;
        }
        let axis = axis / length;
        let (one, other) = (shadow(moving, &axis), shadow(standing, &axis));
        let least = one[0] + depth_mm - other[1];
        let most = one[1] - depth_mm - other[0];
        narrow(&mut back, [least, most], how.way.dot(&axis))?;
    }
    Some(back)
}

/// How far back, from the nearest on, a face has just gone into one that looks at it, or has
/// not yet come out of it, where the two are parallel: they are thin along their normal and
/// go through each other at no time, and of a block that moves through another of just its
/// section no other faces do.
pub(super) fn entering(
    moving: &TriangleCorners,
    standing: &TriangleCorners,
    how: &Move,
    depth_mm: f64,
) -> Option<[f64; 2]> {
    let (of_moving, of_standing) = (edges(moving), edges(standing));
    let normal = |e: &[Vector; 3]| e[0].cross(&e[1]).try_normalize(LEAST_AXIS);
    let (n, m) = (normal(&of_moving)?, normal(&of_standing)?);
    let speed = how.way.dot(&n);
    if n.dot(&m) > -PARALLEL || speed.abs() < LEAST_SPEED {
        return None;
    }
    // Face to face; the solids share something just nearer, or just further back.
    let met = (moving[0] - standing[0]).dot(&n) / speed;
    let [from, to] = match speed > 0.0 {
        true => [(met - JUST_MM).max(0.0), met - depth_mm],
        false => [met + depth_mm, met + JUST_MM],
    };
    let to = to.min(how.travel_mm);
    if from > to || from < 0.0 {
        return None;
    }
    let there = moving.map(|p| p - how.way * met);
    let apart = of_moving.iter().chain(&of_standing).any(|edge| {
        let Some(axis) = n.cross(edge).try_normalize(LEAST_AXIS) else {
            return false;
        };
        let (one, other) = (shadow(&there, &axis), shadow(standing, &axis));
        one[1].min(other[1]) - one[0].max(other[0]) <= depth_mm
    });
    (!apart).then_some([from, to])
}

/// The cosine of the angle of faces that are parallel.
const PARALLEL: f64 = 1.0 - 1e-12;
/// The sine of the angle at which a face comes to another: what slides along it, as shoulders
/// do, only seems to by the rounding of its corners.
const LEAST_SPEED: f64 = 0.05;
/// So far beyond a face what has just gone in is still there, but for a sheet.
const JUST_MM: f64 = 0.5;
/// An axis that comes of edges in line with each other parts nothing.
const LEAST_AXIS: f64 = 1e-9;

/// Leaves of an interval what, times a speed, is within bounds.
fn narrow(back: &mut [f64; 2], [least, most]: [f64; 2], speed: f64) -> Option<()> {
    if speed.abs() < 1e-12 {
        return (least <= 0.0 && most >= 0.0).then_some(());
    }
    let [a, b] = [least / speed, most / speed];
    let (from, to) = if speed > 0.0 { (a, b) } else { (b, a) };
    *back = [back[0].max(from), back[1].min(to)];
    (back[0] <= back[1]).then_some(())
}

fn edges([a, b, c]: &TriangleCorners) -> [Vector; 3] {
    [b - a, c - b, a - c]
}

/// From where to where a triangle reaches along an axis.
fn shadow(triangle: &TriangleCorners, axis: &Vector) -> [f64; 2] {
    let [a, b, c] = triangle.map(|p: Point| p.coords.dot(axis));
    [a.min(b).min(c), a.max(b).max(c)]
}

#[cfg(test)]
mod tests {
    use super::*;

    const STANDING: [[f64; 3]; 3] = [[0.0, -5.0, -5.0], [0.0, 5.0, -5.0], [0.0, 0.0, 5.0]];

    fn back(moving: [[f64; 3]; 3], way: [f64; 3]) -> Option<[f64; 2]> {
        let how = Move {
            way: Vector::from(way),
            travel_mm: 30.0,
        };
        let [moving, standing] = [moving, STANDING].map(|t| t.map(Point::from));
        crossing(&moving, &standing, &how, 1e-3)
    }

    #[test]
    fn a_blade_goes_through_while_it_passes_the_plane() {
        // Three long along the way, with its tip 10 beyond the plane when home.
        let blade = [[7.0, 0.0, 0.0], [10.0, 0.0, 1.0], [7.0, 0.0, 1.0]];
        let [from, to] = back(blade, [1.0, 0.0, 0.0]).unwrap();
        assert!(
            (from - 7.001).abs() < 1e-9 && (to - 9.999).abs() < 1e-9,
            "{from} {to}"
        );
        let beside = blade.map(|[x, y, z]| [x, y + 9.0, z]);
        assert_eq!(back(beside, [1.0, 0.0, 0.0]), None);
    }

    #[test]
    fn what_slides_in_the_plane_goes_through_nowhere() {
        let flat = [[0.0, 0.0, 0.0], [0.0, 3.0, 0.0], [0.0, 0.0, 3.0]];
        assert_eq!(back(flat, [0.0, 0.0, 1.0]), None);
    }
}
