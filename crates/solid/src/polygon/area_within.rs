//! The area that a flat region has in a rectangle.

use geo::{BoundingRect, LineString};

use crate::polygon::outline::Outline;

/// The area of what a region has in a rectangle, in mm².
///
/// Rings are clipped one by one (Sutherland & Hodgman 1974, *Reentrant polygon
/// clipping*). What that leaves of a ring may run to and fro along the
/// rectangle's sides, which adds nothing to its area.
///
/// ```
/// use solid::{area_within, rectangle};
///
/// let plate = rectangle([0.0, 0.0], [4.0, 3.0]);
/// assert_eq!(area_within(&plate, [1.0, 1.0], [9.0, 2.0]), 3.0);
/// ```
pub fn area_within(region: &Outline, low_mm: [f64; 2], high_mm: [f64; 2]) -> f64 {
    let area = |ring: &LineString| ring_within(ring, low_mm, high_mm).abs();
    region
        .iter()
        .map(|island| {
            let holes: f64 = island.interiors().iter().map(area).sum();
            (area(island.exterior()) - holes).max(0.0)
        })
        .sum()
}

/// The signed area of a ring in a rectangle.
fn ring_within(ring: &LineString, low: [f64; 2], high: [f64; 2]) -> f64 {
    let Some(around) = ring.bounding_rect() else {
        return 0.0;
    };
    let (min, max) = (around.min(), around.max());
    let (min, max) = ([min.x, min.y], [max.x, max.y]);
    if (0..2).any(|k| max[k] <= low[k] || min[k] >= high[k]) {
        return 0.0;
    }
    let corners = &ring.0[..ring.0.len() - usize::from(ring.is_closed())];
    let mut corners: Vec<[f64; 2]> = corners.iter().map(|c| [c.x, c.y]).collect();
    for k in 0..2 {
        if min[k] < low[k] {
            corners = beyond(&corners, k, low[k], 1.0);
        }
        if max[k] > high[k] {
            corners = beyond(&corners, k, high[k], -1.0);
        }
    }
    // About the first corner, so that nothing large cancels.
    let Some(&[x0, y0]) = corners.first() else {
        return 0.0;
    };
    let doubled = |w: &[[f64; 2]]| {
        let [[x1, y1], [x2, y2]] = [w[0], w[1]];
        (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    };
    corners.windows(2).map(doubled).sum::<f64>() / 2.0
}

/// What a ring has beyond a line across an axis, on the side of the sign.
fn beyond(corners: &[[f64; 2]], axis: usize, at: f64, sign: f64) -> Vec<[f64; 2]> {
    let mut out = Vec::with_capacity(corners.len() + 4);
    let Some(&last) = corners.last() else {
        return out;
    };
    let depth = |p: [f64; 2]| sign * (p[axis] - at);
    let mut before = last;
    for &corner in corners {
        let (d0, d1) = (depth(before), depth(corner));
        if (d0 < 0.0) != (d1 < 0.0) {
            let t = d0 / (d0 - d1);
            let mut crossing = [0, 1].map(|k| before[k] + t * (corner[k] - before[k]));
            crossing[axis] = at;
            out.push(crossing);
        }
        if d1 >= 0.0 {
            out.push(corner);
        }
        before = corner;
    }
    out
}

#[cfg(test)]
mod tests {
    use geo::{Area, BooleanOps, Polygon};
    use proptest::prelude::*;

    use super::*;
    use crate::polygon::outline::{rectangle, shrink};

    /// A star about the origin, which may be far from convex, with a hole.
    fn ring_shaped() -> impl Strategy<Value = Outline> {
        proptest::collection::vec(3.0f64..30.0, 5..24).prop_map(|radii| {
            let n = radii.len() as f64;
            let corner = |(k, r): (usize, &f64)| {
                let angle = std::f64::consts::TAU * k as f64 / n;
                (r * angle.cos(), r * angle.sin())
            };
            let rim: Vec<(f64, f64)> = radii.iter().enumerate().map(corner).collect();
            let full = Outline::new(vec![Polygon::new(rim.into(), Vec::new())]);
            full.difference(&shrink(&full, 2.0))
        })
    }

    proptest! {
        #[test]
        fn it_is_the_area_of_the_intersection(
            region in ring_shaped(),
            low in (-35.0f64..30.0, -35.0f64..30.0),
            size in (0.5f64..60.0, 0.5f64..60.0),
        ) {
            let (low, high) = ([low.0, low.1], [low.0 + size.0, low.1 + size.1]);
            let shared = region.intersection(&rectangle(low, high)).unsigned_area();
            prop_assert!((area_within(&region, low, high) - shared).abs() < 1e-4);
        }
    }
}
