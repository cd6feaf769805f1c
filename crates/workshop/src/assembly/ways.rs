//! Straight ways along which pieces come to others.

use solid::{Facets, Solid, Vector};

/// Surfaces that go through each other by no more only touch.
pub(crate) const TOUCH_MM: f64 = 2e-4;
/// What comes begins so far beside what stands.
const CLEAR_MM: f64 = 10.0;
/// What reaches down so far stands where the others do.
const STANDS_MM: f64 = 0.5;
/// What is no further off is held by what is there.
const NEAR_MM: f64 = 5.0;
/// The cosine of the angle between directions that are one.
const SAME_WAY: f64 = 1.0 - 1e-6;
/// The sine of the slope of a way that is level.
const LEVEL: f64 = 0.5;
/// So many directions of faces are told apart, and so many of them tried.
const MOST_WAYS: usize = 200;
const WAYS: usize = 12;

/// A straight way home: its direction and how far off it begins.
pub(crate) type Way = (Vector, f64);

/// Pieces, made ready to be moved past each other.
pub(crate) struct Ways<'a> {
    facets: Vec<Facets<'a>>,
    up: Vector,
}

impl<'a> Ways<'a> {
    pub(crate) fn of(solids: &'a [Solid], up: Vector) -> Self {
        Self {
            facets: solids.iter().map(Facets::of).collect(),
            up,
        }
    }

    /// Whether the boxes about some pieces and about others meet, but for a few millimetres.
    pub(crate) fn near(&self, pieces: &[usize], others: &[usize]) -> bool {
        let about = |pieces: &[usize]| {
            let boxes = pieces.iter().flat_map(|&k| self.facets[k].solid().bounds());
            boxes.reduce(|a, b| a.joined(&b))
        };
        let both = about(pieces).zip(about(others));
        both.is_some_and(|(a, b)| a.grown(NEAR_MM).overlaps(&b, 0.0))
    }

    /// The first way that is free, of those that a maker would try first: what stands where
    /// the others stand is pushed there, from the front if that can be; what does not is
    /// let down, or pushed in.
    pub(crate) fn way(&self, own: &[usize], others: &[usize]) -> Option<Way> {
        let stands = self.extent(own, &-self.up).1 > self.extent(others, &-self.up).1 - STANDS_MM;
        let axes = [Vector::y(), Vector::x(), Vector::z()];
        let is_level = |axis: &Vector| axis.dot(&self.up).abs() < LEVEL;
        let mut ways: Vec<Vector> = axes.into_iter().filter(is_level).collect();
        ways = ways.into_iter().flat_map(|axis| [axis, -axis]).collect();
        ways.insert(if stands { ways.len() } else { 0 }, -self.up);
        ways.push(self.up);
        // What stands askew comes in square to its own faces.
        ways.extend(self.square_to_faces(own, &ways));
        ways.into_iter()
            .map(|way| (way, self.travel_mm(own, others, &way)))
            .find(|way| self.is_free(own, others, way))
    }

    /// The normals of the largest flat faces of some pieces, the largest first, but for those
    /// that are among others.
    fn square_to_faces(&self, pieces: &[usize], others: &[Vector]) -> Vec<Vector> {
        let mut out: Vec<(Vector, f64)> = Vec::new();
        for solid in pieces.iter().map(|&k| self.facets[k].solid()) {
            for (t, [a, b, c]) in solid.triangle_corners().enumerate() {
                let (n, area) = (solid.normal(t), (b - a).cross(&(c - a)).norm() / 2.0);
                let same = |m: &Vector| m.dot(&n) > SAME_WAY;
                if others.iter().any(same) {
                    continue;
                }
                match out.iter().position(|(m, _)| same(m)) {
                    Some(known) => out[known].1 += area,
                    None if out.len() < MOST_WAYS => out.push((n, area)),
                    None => {}
                }
            }
        }
        out.sort_by(|a, b| b.1.total_cmp(&a.1));
        out.truncate(WAYS);
        // A file is exact to less than this.
        let clean = |n: Vector| n.map(|x| if x.abs() < 1e-6 { 0.0 } else { x }).normalize();
        out.into_iter().map(|(n, _)| clean(n)).collect()
    }

    /// How far back some pieces are clear of others.
    pub(crate) fn travel_mm(&self, own: &[usize], others: &[usize], way: &Vector) -> f64 {
        let reach = self.extent(own, way).1 - self.extent(others, way).0;
        (reach.max(0.0) + CLEAR_MM).ceil()
    }

    pub(crate) fn is_free(
        &self,
        moving: &[usize],
        standing: &[usize],
        (way, travel_mm): &Way,
    ) -> bool {
        moving.iter().all(|&a| {
            standing.iter().all(|&b| {
                let [a, b] = [a, b].map(|k| &self.facets[k]);
                a.passes_through(b, way, *travel_mm, TOUCH_MM).is_empty()
            })
        })
    }

    /// From where to where some pieces reach along a direction.
    fn extent(&self, pieces: &[usize], along: &Vector) -> (f64, f64) {
        let corners = pieces.iter().flat_map(|&k| self.facets[k].solid().bounds());
        let corners = corners.flat_map(|b| b.corners());
        corners.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
            let at = p.coords.dot(along);
            (low.min(at), high.max(at))
        })
    }
}
