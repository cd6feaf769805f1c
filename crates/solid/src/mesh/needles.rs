//! Needles: triangles that are next to no width.

use std::collections::HashMap;

use crate::Point;
use crate::mesh::solid_type::TriangleCorners;
use crate::mesh::weld::is_needle;

/// A triangle that is less high over its longest edge may be turned over by
/// rounding to single precision.
const THIN_MM: f64 = 1e-4;

/// Drops triangles with two equal corners, swaps the long edge of needles and draws the
/// ends of their shortest together, until there are none, or neither helps.
pub(crate) fn without_needles(vertices: &[Point], triangles: Vec<[u32; 3]>) -> Vec<[u32; 3]> {
    let mut triangles: Vec<[u32; 3]> = triangles.into_iter().filter(has_three).collect();
    for _ in 0..8 {
        let needles: Vec<usize> = (0..triangles.len())
            .filter(|&k| height_mm(&corners(vertices, &triangles[k])) < THIN_MM)
            .collect();
        if needles.is_empty() {
            break;
        }
        let swapped = swapped(vertices, &mut triangles, needles);
        if !collapsed(vertices, &mut triangles) && !swapped {
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

/// Whether a swap leaves triangles that are less thin and face as they did, and joins
/// nothing that is joined already. One without any width is swapped however it faces.
fn betters(
    vertices: &[Point],
    [needle, other]: [&[u32; 3]; 2],
    swap: &[[u32; 3]; 2],
    joined: bool,
) -> bool {
    let thin = height_mm(&corners(vertices, needle));
    if thin == 0.0 && !joined {
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

/// An edge so short may be drawn together where it ends a needle.
const SHORT_MM: f64 = 1e-4;

/// Draws the ends of the shortest edge of each needle together, where that is next to
/// nothing and leaves a surface that closes and faces as it did; whether anything changed.
fn collapsed(vertices: &[Point], triangles: &mut Vec<[u32; 3]>) -> bool {
    let needles: Vec<usize> = (0..triangles.len())
        .filter(|&k| height_mm(&corners(vertices, &triangles[k])) < THIN_MM)
        .collect();
    if needles.is_empty() {
        return false;
    }
    let mut about: HashMap<u32, Vec<usize>> = HashMap::new();
    for (k, t) in triangles.iter().enumerate() {
        for &i in t {
            about.entry(i).or_default().push(k);
        }
    }
    let mut touched = vec![false; triangles.len()];
    let mut any = false;
    for k in needles {
        let t = triangles[k];
        let length = |e: usize| {
            let [a, b] = [t[e], t[(e + 1) % 3]].map(|i| vertices[i as usize]);
            (b - a).norm()
        };
        let short = (0..3).min_by(|&a, &b| length(a).total_cmp(&length(b)));
        let Some(short) = short.filter(|&e| length(e) < SHORT_MM) else {
            continue;
        };
        let (a, b) = (t[short], t[(short + 1) % 3]);
        let mut star: Vec<usize> = about[&a].iter().chain(&about[&b]).copied().collect();
        star.sort_unstable();
        star.dedup();
        if star.iter().any(|&k| touched[k]) {
            continue;
        }
        let before: Vec<[u32; 3]> = star.iter().map(|&k| triangles[k]).collect();
        let mut into = [(a, b), (b, a)].into_iter();
        let Some(after) = into.find_map(|ends| drawn_together(vertices, &before, ends)) else {
            continue;
        };
        for (&k, after) in star.iter().zip(after) {
            touched[k] = true;
            // One with equal corners is dropped.
            triangles[k] = after.unwrap_or([a; 3]);
        }
        any = true;
    }
    triangles.retain(has_three);
    any
}

/// The triangles about an edge with its one end drawn into the other, in their order: none
/// for those that have no three corners then or lie back to back. `None` where the others do
/// not close about the corner that stays, or turn over.
fn drawn_together(
    vertices: &[Point],
    before: &[[u32; 3]],
    (gone, stays): (u32, u32),
) -> Option<Vec<Option<[u32; 3]>>> {
    let moved = |t: &[u32; 3]| t.map(|i| if i == gone { stays } else { i });
    let mut after: Vec<Option<[u32; 3]>> = before
        .iter()
        .map(|t| Some(moved(t)).filter(has_three))
        .collect();
    for k in 0..after.len() {
        let Some([a, b, c]) = after[k] else { continue };
        let back = |t: &Option<[u32; 3]>| {
            t.is_some_and(|t| [[a, c, b], [c, b, a], [b, a, c]].contains(&t))
        };
        if let Some(other) = (k + 1..after.len()).find(|&n| back(&after[n])) {
            (after[k], after[other]) = (None, None);
        }
    }
    let left = || after.iter().flatten();
    let edges: Vec<(u32, u32)> = left()
        .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
        .filter(|e| e.0 == stays || e.1 == stays)
        .collect();
    let times = |edge: (u32, u32)| edges.iter().filter(|&&e| e == edge).count();
    let closes = edges
        .iter()
        .all(|&(a, b)| times((a, b)) == 1 && times((b, a)) == 1);
    let facing = |t: &[u32; 3]| {
        let [a, b, c] = corners(vertices, t);
        (b - a).cross(&(c - a))
    };
    let keeps = before.iter().zip(&after).all(|(was, is)| {
        let height = |t: &[u32; 3]| height_mm(&corners(vertices, t));
        is.is_none_or(|is| {
            height(was) < THIN_MM && height(&is) > 0.0
                || height(&is) >= THIN_MM && facing(was).dot(&facing(&is)) > 0.0
        })
    });
    (closes && keeps).then_some(after)
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

    /// Whether each edge has one triangle on either side.
    fn closes(triangles: &[[u32; 3]]) -> bool {
        let edges: Vec<(u32, u32)> = triangles
            .iter()
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .collect();
        let times = |edge: (u32, u32)| edges.iter().filter(|&&e| e == edge).count();
        edges
            .iter()
            .all(|&(a, b)| times((a, b)) == 1 && times((b, a)) == 1)
    }

    const PLACES: [[f64; 3]; 6] = [
        [0.0, 0.0, 0.0],
        [2.0, 0.0, 0.0],
        [2.0 + 2e-6, 0.0, 0.0],
        [1.0, 1.0, 1.0],
        [1.0, -1.0, 1.0],
        [3.0, 0.0, 2.0],
    ];

    #[test]
    fn a_short_edge_between_needles_is_drawn_together() {
        let vertices = PLACES.map(|[x, y, z]| Point::new(x, y, z));
        let wedge = vec![
            [0, 3, 1],
            [0, 1, 2],
            [1, 3, 2],
            [0, 2, 4],
            [3, 0, 4],
            [3, 4, 2],
        ];
        assert!(closes(&wedge));
        let left = without_needles(&vertices, wedge);
        assert!(closes(&left) && left.len() == 4, "{left:?}");
        assert!(left.iter().all(|t| height_mm(&corners(&vertices, t)) > 0.1));
    }

    /// Pieces of a rack had walls 2e-6 mm thick where boards cross at 45°: what a needle's
    /// long edge would be swapped to was an edge already, and had four faces then.
    #[test]
    fn a_flap_without_thickness_is_dropped_and_joins_nothing_twice() {
        let vertices = PLACES.map(|[x, y, z]| Point::new(x, y, z));
        // The flap 0 1 2 4 stands on the edge from 1, or 2, to 4 of a tetrahedron.
        let flapped = vec![
            [0, 1, 2],
            [0, 2, 4],
            [0, 4, 1],
            [2, 1, 3],
            [4, 2, 5],
            [2, 3, 5],
            [4, 5, 3],
            [1, 4, 3],
        ];
        assert!(closes(&flapped));
        let left = without_needles(&vertices, flapped);
        assert!(closes(&left) && left.len() == 4, "{left:?}");
    }
}
