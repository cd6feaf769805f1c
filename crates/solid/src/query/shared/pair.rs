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

/// A corner lies in a face's plane, or an edge on another, to the last bit: what is
/// inside has no answer there.
pub(super) struct Degenerate;

/// How two triangles meet, if they do. Every sign is exact (Shewchuk 1997,
/// *Adaptive precision floating-point arithmetic and fast robust geometric
/// predicates*), and none that matters may be zero.
pub(super) fn meeting(t: &Facet, u: &Facet) -> Result<Option<Meeting>, Degenerate> {
    let heights_of_t = t.corners.map(|p| height_below(u, p));
    let heights_of_u = u.corners.map(|p| height_below(t, p));
    let one_side = |h: [f64; 3]| h.iter().all(|x| *x > 0.0) || h.iter().all(|x| *x < 0.0);
    if one_side(heights_of_t) || one_side(heights_of_u) {
        return Ok(None);
    }
    if heights_of_t.iter().chain(&heights_of_u).any(|h| *h == 0.0) {
        return Err(Degenerate);
    }
    let passes: [[Passing; 3]; 3] =
        std::array::from_fn(|i| std::array::from_fn(|j| left_of_edge(t, i, u, j)));
    let first = piercings(t, heights_of_t, |k| through(passes[k]))?;
    let second = piercings(u, heights_of_u, |k| {
        through([passes[0][k], passes[1][k], passes[2][k]])
    })?;
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
/// whether it goes in.
pub(super) fn pierced(from: Point, to: Point, u: &Facet) -> Result<Option<bool>, Degenerate> {
    let [a, b] = [from, to].map(|p| height_below(u, p));
    if a * b > 0.0 {
        return Ok(None);
    }
    let way = Facet {
        ids: [0, 1, 2],
        corners: [from, to, to],
    };
    let passes: [Passing; 3] = std::array::from_fn(|j| left_of_edge(&way, 0, u, j));
    match through(passes)? {
        false => Ok(None),
        true if a == 0.0 || b == 0.0 => Err(Degenerate),
        true => Ok(Some(b > 0.0)),
    }
}

/// On which side of each other two edges pass; `Equal` where their lines meet.
type Passing = std::cmp::Ordering;

/// Whether an edge that goes from one side of a triangle's plane to the other goes
/// through the triangle: it passes all three edges alike.
fn through(passes: [Passing; 3]) -> Result<bool, Degenerate> {
    let has = |way: Passing| passes.contains(&way);
    match (has(Passing::Less), has(Passing::Greater)) {
        (true, true) => Ok(false),
        _ if has(Passing::Equal) => Err(Degenerate),
        _ => Ok(true),
    }
}

/// Six times the volume that a point spans with a triangle: positive on the side
/// that its solid is on.
fn height_below(u: &Facet, p: Point) -> f64 {
    let [a, b, c] = u.corners;
    orient3d(coord(a), coord(b), coord(c), coord(p))
}

/// On which side of each other two edges pass, the same for both triangles that
/// share one of them.
fn left_of_edge(t: &Facet, i: usize, u: &Facet, j: usize) -> Passing {
    let (mut e, mut f) = (t.edge(i), u.edge(j));
    let (along_e, along_f) = (t.ascends(i), u.ascends(j));
    if !along_e {
        e.reverse();
    }
    if !along_f {
        f.reverse();
    }
    let sign = orient3d(coord(e[0]), coord(e[1]), coord(f[0]), coord(f[1]));
    let passing = sign.partial_cmp(&0.0).unwrap_or(Passing::Equal);
    match along_e == along_f {
        true => passing,
        false => passing.reverse(),
    }
}

fn piercings(
    t: &Facet,
    heights: [f64; 3],
    goes_through: impl Fn(usize) -> Result<bool, Degenerate>,
) -> Result<Vec<Piercing>, Degenerate> {
    let mut out = Vec::new();
    for k in 0..3 {
        let next = (k + 1) % 3;
        if (heights[k] > 0.0) == (heights[next] > 0.0) || !goes_through(k)? {
            continue;
        }
        let [from, to] = t.edge(k);
        let share = heights[k] / (heights[k] - heights[next]);
        out.push(Piercing {
            edge: k,
            enters: heights[next] > 0.0,
            at: from + (to - from) * share.clamp(0.0, 1.0),
        });
    }
    Ok(out)
}

fn coord(p: Point) -> Coord3D<f64> {
    Coord3D {
        x: p.x,
        y: p.y,
        z: p.z,
    }
}
