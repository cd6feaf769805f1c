//! Corners of a first layer that lift from the bed while plastic cools.

use geo::{Centroid, LineString, Polygon};

/// What is so far from the middle of the first layer is pulled up by all that shrinks between:
/// of prints under some fifteen centimetres corners hardly lift (common practice, no published
/// source).
const FAR_MM: f64 = 75.0;
/// A corner that turns by less holds by the sides beside it.
const TURNS_DEG: f64 = 60.0;
/// A corner may be rounded: turns along so much of the outline are one.
const ROUNDED_MM: f64 = 20.0;

/// The corners of a convex ring that lift: sharp, and far from its middle.
pub(crate) fn lifting(ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let count = ring.len();
    if count < 3 {
        return Vec::new();
    }
    let step = |k: usize| {
        let (a, b) = (ring[k % count], ring[(k + 1) % count]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let length = |v: [f64; 2]| v[0].hypot(v[1]);
    let turn = |k: usize| {
        let (a, b) = (step(k + count - 1), step(k));
        let cross = a[0] * b[1] - a[1] * b[0];
        cross.atan2(a[0] * b[0] + a[1] * b[1]).abs()
    };
    let outline: LineString = ring.iter().map(|&[x, y]| (x, y)).collect();
    let Some(middle) = Polygon::new(outline, Vec::new()).centroid() else {
        return Vec::new();
    };
    let middle = [middle.x(), middle.y()];
    let far = |p: [f64; 2]| length([p[0] - middle[0], p[1] - middle[1]]);
    // From the end of a long side, so that no corner is begun half-way.
    let first = (0..count)
        .max_by(|&a, &b| length(step(a)).total_cmp(&length(step(b))))
        .map_or(0, |k| k + 1);
    let mut out = Vec::new();
    let mut k = first;
    while k < first + count {
        let (mut turned, mut along) = (turn(k), 0.0);
        let mut next = k + 1;
        while next < first + count && along + length(step(next - 1)) <= ROUNDED_MM {
            along += length(step(next - 1));
            turned += turn(next);
            next += 1;
        }
        let turns = |angle: f64| angle >= TURNS_DEG.to_radians();
        let sharp: Vec<usize> = (k..next).filter(|&j| turns(turn(j))).collect();
        // Rounded, the furthest point stands for all of it.
        let tip = || {
            (k..next).max_by(|&a, &b| {
                let [a, b] = [a, b].map(|j| far(ring[j % count]));
                a.total_cmp(&b)
            })
        };
        let tips = match sharp.is_empty() && turns(turned) {
            true => tip().into_iter().collect(),
            false => sharp,
        };
        let tips = tips.into_iter().map(|j| ring[j % count]);
        out.extend(tips.filter(|p| far(*p) >= FAR_MM));
        k = next;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lying::flat_fit::convex;

    fn disc(radius: f64, sides: u32) -> Vec<[f64; 2]> {
        let corner = |k: u32| {
            let angle = std::f64::consts::TAU * f64::from(k) / f64::from(sides);
            [radius * angle.cos(), radius * angle.sin()]
        };
        (0..sides).map(corner).collect()
    }

    #[test]
    fn corners_of_what_is_large_lift_and_a_round_has_none() {
        let rectangle = |w: f64, d: f64| vec![[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]];
        assert_eq!(lifting(&rectangle(200.0, 100.0)).len(), 4);
        assert!(lifting(&rectangle(100.0, 80.0)).is_empty());
        // The end of a strip has two.
        assert_eq!(lifting(&rectangle(200.0, 12.0)).len(), 4);
        assert!(lifting(&disc(110.0, 96)).is_empty());
        assert_eq!(lifting(&disc(110.0, 5)).len(), 5);
        assert!(lifting(&[[0.0, 0.0], [300.0, 0.0]]).is_empty());
    }

    /// Corners rounded by 6 mm are corners still; rounded by 40 they are none.
    #[test]
    fn a_rounded_corner_is_one_corner() {
        let rounded = |r: f64| {
            let centres = [
                [r, r],
                [200.0 - r, r],
                [200.0 - r, 150.0 - r],
                [r, 150.0 - r],
            ];
            let mut ring = Vec::new();
            for (quarter, [x, y]) in (2..).zip(centres) {
                for k in 0..=8 {
                    let angle =
                        (f64::from(quarter) + f64::from(k) / 8.0) * std::f64::consts::FRAC_PI_2;
                    ring.push([x + r * angle.cos(), y + r * angle.sin()]);
                }
            }
            convex(ring.into_iter())
        };
        assert_eq!(lifting(&rounded(6.0)).len(), 4);
        assert!(lifting(&rounded(40.0)).is_empty());
    }
}
