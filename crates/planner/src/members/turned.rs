//! Round sticks that are joined to each other, as the rungs of a stool to its
//! legs: each shows by the smooth surface around it.

use solid::{DisjointSets, Frame, Point, Solid, Vector};

use crate::members::member::{Member, MemberKind};
use crate::members::owned::upwards;
use crate::members::slab::STICK_LENGTH;
use crate::strategy::leg::axis_of_faces;

/// Faces that meet at less than this are one surface, in degrees.
const SMOOTH_DEG: f64 = 35.0;
/// How much of the surface around a stick may be missing, by the sum of its
/// normals.
const OPEN: f64 = 0.15;
/// How far its surface may be off the widest circle, in radii.
const UNROUND: f64 = 0.35;
/// By how much the radii at the ends of what tapers differ at least.
const TAPER: f64 = 0.02;

/// The round sticks of a body.
pub(crate) fn turned(body: &Solid) -> Vec<Member> {
    let patches = smooth_patches(body);
    patches
        .iter()
        .filter_map(|patch| around(body, patch))
        .collect()
}

/// Triangles in sets that are smooth within, in the order of their first.
fn smooth_patches(body: &Solid) -> Vec<Vec<usize>> {
    let triangles = body.triangles();
    let mut edges: Vec<(u32, u32, usize)> = Vec::with_capacity(triangles.len() * 3);
    for (t, corners) in triangles.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            edges.push((a.min(b), a.max(b), t));
        }
    }
    edges.sort_unstable();
    let least = SMOOTH_DEG.to_radians().cos();
    let mut sets = DisjointSets::of(triangles.len());
    for pair in edges.windows(2) {
        let ((a, b, one), (c, d, two)) = (pair[0], pair[1]);
        if (a, b) == (c, d) && body.normal(one).dot(&body.normal(two)) > least {
            sets.unite(one, two);
        }
    }
    let mut of_root: Vec<Option<usize>> = vec![None; triangles.len()];
    let mut out: Vec<Vec<usize>> = Vec::new();
    for t in 0..triangles.len() {
        let root = sets.find(t);
        let place = *of_root[root].get_or_insert_with(|| {
            out.push(Vec::new());
            out.len() - 1
        });
        out[place].push(t);
    }
    out
}

/// A surface as that of a round stick; `None` where it does not run around one.
fn around(body: &Solid, patch: &[usize]) -> Option<Member> {
    let faces: Vec<(Vector, f64)> = patch
        .iter()
        .map(|&t| {
            let [a, b, c] = body.corners(t);
            (body.normal(t), (b - a).cross(&(c - a)).norm() / 2.0)
        })
        .collect();
    let area: f64 = faces.iter().map(|f| f.1).sum();
    let sum: Vector = faces.iter().map(|(n, area)| n * *area).sum();
    let axis = upwards(axis_of_faces(&faces)?);
    let sideways = sum - axis * sum.dot(&axis);
    if sideways.norm() > OPEN * area {
        return None;
    }
    let plane = Frame::facing(Point::origin(), axis);
    let at: Vec<Vector> = patch
        .iter()
        .flat_map(|&t| body.corners(t))
        .map(|p| plane.coordinates(&p))
        .collect();
    let reach = |k: usize| {
        let values = at.iter().map(|p| p[k]);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |r, x| {
            (r.0.min(x), r.1.max(x))
        })
    };
    let [u, v, along] = [0, 1, 2].map(reach);
    let length = along.1 - along.0;
    let centre = [(u.0 + u.1) / 2.0, (v.0 + v.1) / 2.0];
    let radius = |p: &Vector| (p.x - centre[0]).hypot(p.y - centre[1]);
    let widest = at.iter().map(radius).fold(0.0, f64::max);
    if length < STICK_LENGTH * 2.0 * widest || area < length * widest {
        return None;
    }
    // The widest circle near each end; what lies far within is no round stick.
    let near = |low: f64, high: f64| {
        let share = |p: &&Vector| (low..=high).contains(&((p.z - along.0) / length));
        at.iter().filter(share).map(radius).fold(0.0, f64::max)
    };
    let ends = [near(0.0, 0.2), near(0.8, 1.0)];
    let (thick, thin) = (ends[0].max(ends[1]), ends[0].min(ends[1]));
    let straight = |p: &Vector| ends[0] + (ends[1] - ends[0]) * (p.z - along.0) / length;
    let unround = at
        .iter()
        .filter(|p| (radius(p) - straight(p)).abs() > UNROUND * straight(p));
    if thin <= 0.0 || unround.count() * 20 > at.len() {
        return None;
    }
    let wide = thick.max(widest);
    let middle = plane.place(centre[0], centre[1], (along.0 + along.1) / 2.0);
    Some(Member {
        kind: MemberKind::Rail,
        frame: Frame::with_axes(middle, plane.u, axis),
        size_mm: [length, 2.0 * wide, 2.0 * wide],
        thin_end_mm: (thick - thin > TAPER * thick).then_some(2.0 * thin),
        round: true,
        bent: false,
    })
}
