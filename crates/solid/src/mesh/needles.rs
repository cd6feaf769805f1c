//! Needles: triangles that are next to no width.

use std::collections::HashMap;

use crate::Point;
use crate::mesh::solid_type::TriangleCorners;
use crate::mesh::weld::is_needle;

/// A triangle that is less high over its longest edge may be turned over by
/// rounding to single precision.
const THIN_MM: f64 = 1e-4;

/// Drops triangles with two equal corners and swaps the long edge of needles
/// until there are none, or no swap helps.
pub(crate) fn without_needles(vertices: &[Point], triangles: Vec<[u32; 3]>) -> Vec<[u32; 3]> {
    let mut triangles: Vec<[u32; 3]> = triangles.into_iter().filter(has_three).collect();
    for _ in 0..8 {
        let needles: Vec<usize> = (0..triangles.len())
            .filter(|&k| height_mm(&corners(vertices, &triangles[k])) < THIN_MM)
            .collect();
        if needles.is_empty() || !swapped(vertices, &mut triangles, needles) {
            break;
        }
    }
    triangles
}

fn has_three(t: &[u32; 3]) -> bool {
    t[0] != t[1] && t[1] != t[2] && t[2] != t[0]
}

fn corners(vertices: &[Point], t: &[u32; 3]) -> TriangleCorners {
    t.map(|i| vertices[i as usize])
}

/// The edge of a triangle that is longest, and its length.
fn longest([a, b, c]: &TriangleCorners) -> (usize, f64) {
    let lengths = [(b - a).norm(), (c - b).norm(), (a - c).norm()];
    let first = if lengths[1] > lengths[0] { 1 } else { 0 };
    let k = if lengths[2] > lengths[first] {
        2
    } else {
        first
    };
    (k, lengths[k])
}

fn height_mm(t: &TriangleCorners) -> f64 {
    if is_needle(*t) {
        return 0.0;
    }
    let [a, b, c] = t;
    (b - a).cross(&(c - a)).norm() / longest(t).1
}

/// Swaps the long edge of each needle with its neighbour's, where that leaves
/// none that is thinner; whether anything changed.
fn swapped(vertices: &[Point], triangles: &mut Vec<[u32; 3]>, needles: Vec<usize>) -> bool {
    let mut owner: HashMap<(u32, u32), usize> = HashMap::with_capacity(triangles.len() * 3);
    for (k, t) in triangles.iter().enumerate() {
        for e in 0..3 {
            owner.insert((t[e], t[(e + 1) % 3]), k);
        }
    }
    let mut touched = vec![false; triangles.len()];
    let mut dropped = vec![false; triangles.len()];
    let mut any = false;
    for k in needles {
        let t = triangles[k];
        let (long, _) = longest(&corners(vertices, &t));
        let (a, b, apex) = (t[long], t[(long + 1) % 3], t[(long + 2) % 3]);
        let Some(&other) = owner.get(&(b, a)) else {
            continue;
        };
        if other == k || touched[k] || touched[other] {
            continue;
        }
        let Some(&far) = triangles[other].iter().find(|&&i| i != a && i != b) else {
            continue;
        };
        if far != apex {
            let swap = [[far, apex, a], [apex, far, b]];
            let joined = owner.contains_key(&(far, apex)) || owner.contains_key(&(apex, far));
            if !betters(vertices, [&t, &triangles[other]], &swap, joined) {
                continue;
            }
            [triangles[k], triangles[other]] = swap;
        } else {
            // Two triangles back to back: both enclose nothing.
            dropped[k] = true;
            dropped[other] = true;
        }
        touched[k] = true;
        touched[other] = true;
        any = true;
    }
    let mut k = 0;
    triangles.retain(|t| {
        k += 1;
        !dropped[k - 1] && has_three(t)
    });
    any
}

/// Whether a swap leaves triangles that are less thin and face as they did. One
/// without any width is swapped in any case: it must not stay.
fn betters(
    vertices: &[Point],
    [needle, other]: [&[u32; 3]; 2],
    swap: &[[u32; 3]; 2],
    joined: bool,
) -> bool {
    let thin = height_mm(&corners(vertices, needle));
    if thin == 0.0 {
        return true;
    }
    let normal = |t: &[u32; 3]| {
        let [a, b, c] = corners(vertices, t);
        (b - a).cross(&(c - a))
    };
    let facing = normal(other);
    let is_better =
        |t: &[u32; 3]| height_mm(&corners(vertices, t)) > thin && normal(t).dot(&facing) > 0.0;
    !joined && swap.iter().all(is_better)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_of_no_width_to_speak_of_is_swapped_with_a_wide_one() {
        // Two triangles over one edge, the lower of them a needle.
        let places = [[0.0, 0.0], [4.0, 0.0], [2.0, 3.0], [1.0, -2e-6]];
        let vertices = places.map(|[x, y]| Point::new(x, y, 0.0));
        let swapped = without_needles(&vertices, vec![[0, 1, 2], [0, 3, 1]]);
        assert_eq!(swapped.len(), 2);
        for t in &swapped {
            assert!(height_mm(&corners(&vertices, t)) > 0.1);
        }
    }

    #[test]
    fn one_that_no_swap_betters_stays() {
        let places = [[0.0, 0.0], [4.0, 0.0], [2.0, -3e-6], [1.0, -2e-6]];
        let vertices = places.map(|[x, y]| Point::new(x, y, 0.0));
        let before = vec![[1, 0, 2], [0, 1, 3]];
        assert_eq!(
            without_needles(&vertices, before.clone()).len(),
            before.len()
        );
    }
}
