//! Segments and triangles of one plane, by exact signs.
//!
//! A plane is looked at along the axis that is nearest to its normal: that drops
//! a coordinate and rounds nothing.

use robust::{Coord, orient2d};

use crate::{Point, Vector};

/// A plane seen along an axis.
#[derive(Clone, Copy)]
pub(super) struct Along(usize);

type Place = Coord<f64>;

impl Along {
    /// The view in which a plane with such a normal is widest.
    pub(super) fn normal(normal: &Vector) -> Self {
        Self(normal.map(f64::abs).imax())
    }

    fn place(self, p: &Point) -> Place {
        Coord {
            x: p[(self.0 + 1) % 3],
            y: p[(self.0 + 2) % 3],
        }
    }

    /// On which side of the way from one place to another a third lies.
    pub(super) fn turn(self, [a, b, c]: [&Point; 3]) -> f64 {
        let [a, b, c] = [a, b, c].map(|p| self.place(p));
        orient2d(a, b, c)
    }

    /// Whether a point lies in a triangle or on its rim.
    pub(super) fn holds(self, triangle: &[Point; 3], p: &Point) -> bool {
        let turns: [f64; 3] =
            std::array::from_fn(|k| self.turn([&triangle[k], &triangle[(k + 1) % 3], p]));
        turns.iter().all(|t| *t >= 0.0) || turns.iter().all(|t| *t <= 0.0)
    }

    /// Whether a segment shares a point with a triangle.
    pub(super) fn reaches(self, [p, q]: [&Point; 2], triangle: &[Point; 3]) -> bool {
        self.holds(triangle, p)
            || self.holds(triangle, q)
            || (0..3).any(|k| self.cross([p, q], [&triangle[k], &triangle[(k + 1) % 3]]))
    }

    /// Whether two segments share a point.
    fn cross(self, [a, b]: [&Point; 2], [c, d]: [&Point; 2]) -> bool {
        let (at_c, at_d) = (self.turn([a, b, c]), self.turn([a, b, d]));
        let (at_a, at_b) = (self.turn([c, d, a]), self.turn([c, d, b]));
        if [at_a, at_b, at_c, at_d].iter().all(|t| *t == 0.0) {
            return self.overlap([a, b], [c, d]);
        }
        let apart = |x: f64, y: f64| (x > 0.0 && y > 0.0) || (x < 0.0 && y < 0.0);
        !apart(at_c, at_d) && !apart(at_a, at_b)
    }

    /// Whether two segments of one line share a point.
    fn overlap(self, one: [&Point; 2], other: [&Point; 2]) -> bool {
        let [[a, b], [c, d]] = [one, other].map(|ends| ends.map(|p| self.place(p)));
        let meet = |a: f64, b: f64, c: f64, d: f64| a.min(b) <= c.max(d) && c.min(d) <= a.max(b);
        meet(a.x, b.x, c.x, d.x) && meet(a.y, b.y, c.y, d.y)
    }
}
