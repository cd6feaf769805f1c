//! The stretches of a move on which one solid goes through another.

use crate::Vector;
use crate::bounds::Bounds;
use crate::query::passage::crossing::{Move, crossing, entering};
use crate::query::shared::facets::Facets;
use crate::query::shared::near::overlapping;

impl Facets<'_> {
    /// Distances back along a move at which the surface of the solid goes through
    /// that of another by more than a depth, such that every stretch of the move
    /// on which any two of their triangles do holds one of them. `way` is the way
    /// in and of length one; the move begins `travel_mm` back and ends at home.
    ///
    /// Nothing slips through between two of them: two solids that are apart when
    /// the move begins and share more than that later have surfaces that went
    /// through each other.
    ///
    /// ```
    /// use solid::{Facets, Point, Solid, Vector};
    ///
    /// let peg = Solid::cuboid(Point::origin(), Point::new(10.0, 2.0, 2.0));
    /// let rib = Solid::cuboid(Point::new(-50.0, -5.0, 1.9), Point::new(-49.5, 5.0, 9.0));
    /// let [moving, standing] = [&peg, &rib].map(Facets::of);
    /// let met = moving.passes_through(&standing, &Vector::x(), 100.0, 1e-3);
    /// assert!(!met.is_empty());
    /// for back_mm in met {
    ///     let shared = moving.shared(&(Vector::x() * -back_mm), &standing).unwrap();
    ///     assert!(shared.volume_mm3 > 0.0);
    /// }
    /// let low = moving.passes_through(&standing, &Vector::x(), 30.0, 1e-3);
    /// assert!(low.is_empty());
    /// ```
    pub fn passes_through(
        &self,
        other: &Self,
        way: &Vector,
        travel_mm: f64,
        depth_mm: f64,
    ) -> Vec<f64> {
        let how = Move {
            way: *way,
            travel_mm,
        };
        stabbed(self.stretches(other, &how, depth_mm))
    }

    /// How far the solid can be moved along a direction of length one, from where it is,
    /// before its surface goes through that of another by more than a depth; `None` where
    /// it can be moved further than `most_mm`.
    ///
    /// ```
    /// use solid::{Facets, Point, Solid, Vector};
    ///
    /// let drawer = Solid::cuboid(Point::origin(), Point::new(10.0, 20.0, 5.0));
    /// let side = Solid::cuboid(Point::new(11.0, -5.0, -5.0), Point::new(14.0, 25.0, 9.0));
    /// let [drawer, side] = [&drawer, &side].map(Facets::of);
    /// let free = drawer.free_mm(&side, &Vector::x(), 20.0, 1e-4).unwrap();
    /// assert!((free - 1.0).abs() < 1e-3);
    /// assert_eq!(drawer.free_mm(&side, &-Vector::x(), 20.0, 1e-4), None);
    /// ```
    pub fn free_mm(&self, other: &Self, way: &Vector, most_mm: f64, depth_mm: f64) -> Option<f64> {
        let back = Move {
            way: -way,
            travel_mm: most_mm,
        };
        let met = self.stretches(other, &back, depth_mm).into_iter();
        met.map(|[from, _]| (from - depth_mm).max(0.0))
            .reduce(f64::min)
    }

    /// The stretch of each pair of triangles that go through each other on the way.
    fn stretches(&self, other: &Self, how: &Move, depth_mm: f64) -> Vec<[f64; 2]> {
        let back = -how.way * how.travel_mm;
        let swept = |b: &Bounds| {
            b.joined(&Bounds {
                min: b.min + back,
                max: b.max + back,
            })
        };
        let (Some(own), Some(theirs)) = (self.bounds(), other.bounds()) else {
            return Vec::new();
        };
        let limits = swept(&own);
        let (movers, moved) = near(self, &theirs, swept);
        let (standers, standing) = near(other, &limits, |b| *b);
        let mut stretches: Vec<[f64; 2]> = Vec::new();
        overlapping(&moved, &standing, |i, j| {
            let (a, b) = (
                self.solid().corners(movers[i]),
                other.solid().corners(standers[j]),
            );
            stretches.extend(crossing(&a, &b, how, depth_mm));
            stretches.extend(entering(&a, &b, how, depth_mm));
        });
        stretches
    }
}

/// The triangles whose boxes, swept, reach into another box, and these boxes.
fn near(
    facets: &Facets,
    limits: &Bounds,
    swept: impl Fn(&Bounds) -> Bounds,
) -> (Vec<usize>, Vec<Bounds>) {
    facets
        .boxes()
        .iter()
        .map(swept)
        .enumerate()
        .filter(|(_, b)| b.overlaps(limits, 0.0))
        .unzip()
}

/// The fewest points such that each stretch holds one: of those that have a point in
/// common, the middle of what all of them have.
fn stabbed(mut stretches: Vec<[f64; 2]>) -> Vec<f64> {
    stretches.sort_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])));
    let mut out = Vec::new();
    let mut common: Option<[f64; 2]> = None;
    for [from, to] in stretches {
        common = match common {
            Some([least, most]) if from <= most => Some([least.max(from), most]),
            Some([least, most]) => {
                out.push((least + most) / 2.0);
                Some([from, to])
            }
            None => Some([from, to]),
        };
    }
    out.extend(common.map(|[least, most]| (least + most) / 2.0));
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Isometry, Point, Solid};

    /// Two blocks in one, turned any way.
    fn body() -> impl Strategy<Value = Solid> {
        let corner = || prop::array::uniform3(-6.0..6.0f64);
        let turn = prop::array::uniform3(-2.0..2.0f64);
        (corner(), corner(), corner(), corner(), turn).prop_map(|(a, b, c, d, turn)| {
            let block = |a: [f64; 3], b: [f64; 3]| {
                let bounds = Bounds::between(Point::from(a), Point::from(b)).grown(0.4);
                Solid::cuboid(bounds.min, bounds.max)
            };
            let both = block(a, b).union(&block(c, d)).unwrap();
            both.moved(&Isometry::rotation(Vector::from(turn)))
        })
    }

    #[test]
    fn a_block_does_not_slip_through_one_of_its_own_section() {
        let block = |x: f64| Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 10.0, 8.0, 6.0));
        let (one, other) = (block(0.0), block(-30.0));
        let [moving, standing] = [&one, &other].map(Facets::of);
        // It comes from beyond the other, and ends clear of it.
        let met = moving.passes_through(&standing, &Vector::x(), 60.0, 1e-3);
        let shared = |back: &f64| moving.shared(&(Vector::x() * -*back), &standing);
        assert!(
            met.iter()
                .any(|b| shared(b).is_some_and(|s| s.volume_mm3 > 1.0)),
            "{met:?}"
        );
        // What begins nearer does not meet it.
        assert!(
            moving
                .passes_through(&standing, &Vector::x(), 15.0, 1e-3)
                .is_empty()
        );
        // From this side it never meets it, and ends against it without going in.
        assert!(
            moving
                .passes_through(&standing, &-Vector::x(), 60.0, 1e-3)
                .is_empty()
        );
        let beside = block(-10.0);
        let beside = Facets::of(&beside);
        assert!(
            moving
                .passes_through(&beside, &-Vector::x(), 60.0, 1e-3)
                .is_empty()
        );
        // Moved towards it, it has just so much room, and none where they touch.
        let free = moving
            .free_mm(&standing, &-Vector::x(), 40.0, 1e-4)
            .unwrap();
        assert!((free - 20.0).abs() < 1e-3, "{free}");
        let free = moving.free_mm(&beside, &-Vector::x(), 40.0, 1e-4).unwrap();
        assert!(free < 1e-3, "{free}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(96))]

        /// Wherever close looks along a move find that the two share something, a
        /// pair of triangles goes through each other there or before; each stretch
        /// holds one of the places that are told, and at those the two share something.
        #[test]
        fn what_close_looks_find_is_found(
            a in body(), b in body(), way in prop::array::uniform3(-1.0..1.0f64),
        ) {
            let way = (Vector::from(way) + Vector::new(1e-3, 0.0, 0.0)).normalize();
            let a = a.shifted(way * 3.0);
            let [moving, standing] = [&a, &b].map(Facets::of);
            let travel_mm = 40.0;
            let met = moving.passes_through(&standing, &way, travel_mm, 1e-3);
            let looks = (0..=400).map(|k| travel_mm * f64::from(k) / 400.0);
            let shares = |back_mm: f64| {
                let shared = moving.shared(&(way * -back_mm), &standing);
                shared.map_or(0.0, |s| s.volume_mm3)
            };
            prop_assume!(shares(travel_mm) == 0.0);
            let furthest = looks.filter(|&l| shares(l) > 0.05).fold(0.0, f64::max);
            let how = Move { way, travel_mm };
            let stretches = moving.stretches(&standing, &how, 1e-3);
            let begins = stretches.iter().map(|s| s[1]).fold(0.0, f64::max);
            prop_assert!(begins >= furthest, "{begins} after {furthest}");
            for [from, to] in stretches {
                prop_assert!(met.iter().any(|m| (from..=to).contains(m)));
            }
            for back_mm in met {
                prop_assert!(shares(back_mm) > 0.0);
            }
        }
    }
}
