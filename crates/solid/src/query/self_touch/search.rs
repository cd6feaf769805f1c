//! The surface of a solid, held against itself.

use crate::Point;
use crate::bounds::Bounds;
use crate::mesh::solid_type::{Solid, TriangleCorners};
use crate::query::self_touch::meets::{Face, meet_besides};
use crate::query::shared::near::least_within;

impl Solid {
    /// Two triangles at which the surface touches or crosses itself, if it does:
    /// they share a point that is no common corner and on no common edge. Of
    /// several the first; the answer is exact for the coordinates as they are.
    ///
    /// ```
    /// use solid::{Point, Solid, Vector};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(1.0, 1.0, 1.0));
    /// assert_eq!(block.touches_itself(), None);
    /// let beside = block.shifted(Vector::new(1.0, 0.5, 0.0));
    /// let both = block.triangle_corners().chain(beside.triangle_corners());
    /// let touching = Solid::from_triangles(both).unwrap();
    /// let pair = touching.touches_itself().unwrap();
    /// assert_eq!(touching.middle_of(pair).map(|p| p.x), Some(1.0));
    /// ```
    pub fn touches_itself(&self) -> Option<[usize; 2]> {
        let face = |k: usize| Face {
            ids: self.triangles()[k],
            corners: self.corners(k),
        };
        let boxes: Vec<Bounds> = self
            .triangle_corners()
            .map(|corners| box_about(&corners))
            .collect();
        least_within(&boxes, &|a, b| {
            let pair = [a.min(b), a.max(b)];
            meet_besides(&face(a), &face(b)).then_some(pair)
        })
    }

    /// The middle of where the boxes about two triangles overlap, or between them;
    /// of triangles that are not there none.
    pub fn middle_of(&self, triangles: [usize; 2]) -> Option<Point> {
        if triangles.iter().any(|k| *k >= self.triangles().len()) {
            return None;
        }
        let [a, b] = triangles.map(|k| box_about(&self.corners(k)));
        Some(nalgebra::center(&a.min.sup(&b.min), &a.max.inf(&b.max)))
    }
}

fn box_about([a, b, c]: &TriangleCorners) -> Bounds {
    Bounds {
        min: a.inf(b).inf(c),
        max: a.sup(b).sup(c),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Isometry, Vector};

    proptest! {
        /// Two convex bodies, as one surface, touch exactly where they come
        /// together: known from the sum of their half sizes.
        #[test]
        fn bodies_touch_where_their_gap_is_gone(
            half in prop::array::uniform3(1u32..40), gap in -3i32..4, axis in 0usize..3,
        ) {
            let size = Vector::from(half.map(f64::from));
            let block = Solid::cuboid(Point::from(-size), Point::from(size));
            let mut way = Vector::zeros();
            way[axis] = 2.0 * size[axis] + f64::from(gap) / 4096.0;
            let other = block.shifted(way + Vector::new(0.1, 0.1, 0.1) - Vector::ith(axis, 0.1));
            let soup = block.triangle_corners().chain(other.triangle_corners());
            let both = Solid::from_triangles(soup).unwrap();
            prop_assert_eq!(both.touches_itself().is_some(), gap <= 0);
        }

        #[test]
        fn a_turned_round_body_does_not_touch_itself(
            axis in prop::array::uniform3(-3.0..3.0f64), sides in 3usize..60,
        ) {
            let pole = Solid::cylinder(Point::origin(), Vector::z() * 40.0, 7.0, sides).unwrap();
            let turned = pole.moved(&Isometry::rotation(Vector::from(axis)));
            prop_assert_eq!(turned.touches_itself(), None);
        }
    }

    #[test]
    fn a_cavity_that_reaches_the_skin_touches_it() {
        let outer = Solid::cuboid(Point::origin(), Point::new(9.0, 9.0, 9.0));
        let hollow = |z: f64| {
            let inner = Solid::cuboid(Point::new(3.0, 3.0, z), Point::new(6.0, 6.0, 6.0));
            let inward = inner.triangle_corners().map(|[a, b, c]| [a, c, b]);
            let soup = outer.triangle_corners().chain(inward);
            let (vertices, triangles) = crate::mesh::weld::weld_exactly(&soup.collect::<Vec<_>>());
            Solid::trusted(vertices, triangles).touches_itself()
        };
        assert_eq!(hollow(1e-9), None);
        assert!(hollow(0.0).is_some());
    }
}
