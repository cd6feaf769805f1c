//! Two triangles of two solids: where the edges of each go through the other.

use robust::{Coord3D, orient3d};

use crate::Point;

/// A triangle with the numbers of its corners in its solid.
#[derive(Clone, Copy)]
pub(super) struct Facet {
    pub(super) ids: [u32; 3],
    pub(super) corners: [Point; 3],
}

impl Facet {
    /// The ends of an edge.
    pub(super) fn edge(&self, k: usize) -> [Point; 2] {
        [self.corners[k], self.corners[(k + 1) % 3]]
    }

    /// Whether an edge runs from the lower number to the higher.
    fn ascends(&self, k: usize) -> bool {
        self.ids[k] < self.ids[(k + 1) % 3]
    }
}

/// An edge of one triangle goes through the other.
#[derive(Clone, Copy)]
pub(super) struct Piercing {
    /// Which edge of its triangle.
    pub(super) edge: usize,
    /// Whether it goes in there; else it comes out.
    pub(super) enters: bool,
    /// Where.
    pub(super) at: Point,
}

/// How two triangles meet.
pub(super) struct Meeting {
    /// The edges of the first that go through the second.
    pub(super) first: Vec<Piercing>,
    /// The edges of the second that go through the first.
    pub(super) second: Vec<Piercing>,
    /// The line on which they meet, along the boundary of what is left of the
    /// first within the solid of the second.
    pub(super) line: [Point; 2],
}

/// The signs of a meeting contradict each other: corners and edges lie on one
/// another to the last bit.
pub(super) struct Degenerate;

/// How two triangles meet, if they do. Every sign is exact (Shewchuk 1997,
/// *Adaptive precision floating-point arithmetic and fast robust geometric
/// predicates*), and one that is zero counts as positive wherever it is asked for.
pub(super) fn meeting(t: &Facet, u: &Facet) -> Result<Option<Meeting>, Degenerate> {
    let heights_of_t = t.corners.map(|p| height_below(u, p));
    let heights_of_u = u.corners.map(|p| height_below(t, p));
    let within = |heights: [f64; 3]| heights.map(|h| h >= 0.0);
    let (t_in, u_in) = (within(heights_of_t), within(heights_of_u));
    let one_side = |s: [bool; 3]| s[0] == s[1] && s[1] == s[2];
    if one_side(t_in) || one_side(u_in) {
        return Ok(None);
    }
    let passes: [[bool; 3]; 3] =
        std::array::from_fn(|i| std::array::from_fn(|j| left_of_edge(t, i, u, j)));
    let first = piercings(t, t_in, heights_of_t, |k| one_side(passes[k]));
    let second = piercings(u, u_in, heights_of_u, |k| {
        one_side([passes[0][k], passes[1][k], passes[2][k]])
    });
    // Along what is left of the first, a line begins where an edge of the first
    // comes out of the second's solid, or one of the second goes into the first's.
    let ends = first.iter().map(|p| (!p.enters, p.at));
    let mut ends = ends.chain(second.iter().map(|p| (p.enters, p.at)));
    let line = match (ends.next(), ends.next(), ends.next()) {
        (None, ..) => return Ok(None),
        (Some((true, from)), Some((false, to)), None)
        | (Some((false, to)), Some((true, from)), None) => [from, to],
        _ => return Err(Degenerate),
    };
    Ok(Some(Meeting {
        first,
        second,
        line,
    }))
}

/// Whether the way from one point to another goes through a triangle, and then
/// whether it goes in. The numbers say which way round the points were first.
pub(super) fn pierced(from: Point, to: Point, u: &Facet) -> Option<bool> {
    let [a, b] = [from, to].map(|p| height_below(u, p) >= 0.0);
    if a == b {
        return None;
    }
    let way = Facet {
        ids: [0, 1, 2],
        corners: [from, to, to],
    };
    let passes: [bool; 3] = std::array::from_fn(|j| left_of_edge(&way, 0, u, j));
    (passes[0] == passes[1] && passes[1] == passes[2]).then_some(b)
}

/// Six times the volume that a point spans with a triangle: positive on the side
/// that its solid is on.
fn height_below(u: &Facet, p: Point) -> f64 {
    let [a, b, c] = u.corners;
    orient3d(coord(a), coord(b), coord(c), coord(p))
}

/// On which side of each other two edges pass, the same for both triangles that
/// share one of them.
fn left_of_edge(t: &Facet, i: usize, u: &Facet, j: usize) -> bool {
    let (mut e, mut f) = (t.edge(i), u.edge(j));
    let (along_e, along_f) = (t.ascends(i), u.ascends(j));
    if !along_e {
        e.reverse();
    }
    if !along_f {
        f.reverse();
    }
    let positive = orient3d(coord(e[0]), coord(e[1]), coord(f[0]), coord(f[1])) >= 0.0;
    positive == (along_e == along_f)
}

fn piercings(
    t: &Facet,
    within: [bool; 3],
    heights: [f64; 3],
    passes: impl Fn(usize) -> bool,
) -> Vec<Piercing> {
    let one = |k: usize| {
        let next = (k + 1) % 3;
        if within[k] == within[next] || !passes(k) {
            return None;
        }
        let [from, to] = t.edge(k);
        let share = heights[k] / (heights[k] - heights[next]);
        Some(Piercing {
            edge: k,
            enters: within[next],
            at: from + (to - from) * share.clamp(0.0, 1.0),
        })
    };
    (0..3).filter_map(one).collect()
}

fn coord(p: Point) -> Coord3D<f64> {
    Coord3D {
        x: p.x,
        y: p.y,
        z: p.z,
    }
}
