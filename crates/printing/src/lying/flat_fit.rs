//! Fitting outlines into beds, in the plane.

use geo::Coord;
use geo::GeoNum;
use geo::kernels::{Kernel, Orientation};

use crate::printer::{Bed, Printer};

/// Whether a rectangle fits in another, turned or not.
///
/// The exact condition of Carver (1957), *American Mathematical Monthly* 64,
/// p. 114: with `p ≥ q` and `a ≥ b`, the `p × q` rectangle fits in `a × b`
/// when `p ≤ a` and `q ≤ b`, or when `p > a`, `q ≤ b` and
/// `((a+b)/(p+q))² + ((a-b)/(p-q))² ≥ 2`.
///
/// ```
/// use printing::rectangle_fits;
///
/// assert!(rectangle_fits([250.0, 10.0], [200.0, 200.0]));
/// assert!(!rectangle_fits([250.0, 60.0], [200.0, 200.0]));
/// ```
pub fn rectangle_fits(inner_mm: [f64; 2], outer_mm: [f64; 2]) -> bool {
    let (p, q) = (inner_mm[0].max(inner_mm[1]), inner_mm[0].min(inner_mm[1]));
    let (a, b) = (outer_mm[0].max(outer_mm[1]), outer_mm[0].min(outer_mm[1]));
    if p <= a && q <= b {
        return true;
    }
    p > a && q <= b && ((a + b) / (p + q)).powi(2) + ((a - b) / (p - q)).powi(2) >= 2.0
}

/// The convex hull of points in the plane, as a ring, counter-clockwise (the monotone
/// chain of Andrew 1979, *Another efficient algorithm for convex hulls in two
/// dimensions*, with exact signs). The quick hull of `geo` returns rings that turn back
/// on themselves where many points lie in a line, as columns on a grid do.
pub(crate) fn convex(points: impl Iterator<Item = [f64; 2]>) -> Vec<[f64; 2]> {
    let mut points: Vec<[f64; 2]> = points.collect();
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let coord = |p: [f64; 2]| Coord { x: p[0], y: p[1] };
    let turns_left = |a, b, c| {
        let turn = <f64 as GeoNum>::Ker::orient2d(coord(a), coord(b), coord(c));
        turn == Orientation::CounterClockwise
    };
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..]
                && !turns_left(a, b, p)
            {
                chain.pop();
            }
            chain.push(p);
        }
        // The other chain begins there.
        chain.pop();
        chain
    };
    let mut ring = chain(&mut points.iter().copied());
    ring.extend(chain(&mut points.iter().rev().copied()));
    ring
}

fn extent(ring: &[[f64; 2]], angle: f64) -> f64 {
    let (sin, cos) = angle.sin_cos();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for p in ring {
        let d = p[0] * cos + p[1] * sin;
        low = low.min(d);
        high = high.max(d);
    }
    high - low
}

/// The least width of a convex ring: over its edges (Toussaint 1983, *Solving
/// geometric problems with the rotating calipers*).
pub(crate) fn least_width(ring: &[[f64; 2]]) -> f64 {
    (0..ring.len())
        .map(|k| {
            let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
            extent(
                ring,
                (b[1] - a[1]).atan2(b[0] - a[0]) + std::f64::consts::FRAC_PI_2,
            )
        })
        .fold(f64::INFINITY, f64::min)
}

/// The turn in the plane that fits best, and by how much it is too large.
pub(crate) fn turn_in_plane(shadow: &[[f64; 2]], printer: &Printer) -> (f64, f64) {
    let usable = printer.usable_mm();
    if let Bed::Round { .. } = printer.bed {
        return (0.0, 2.0 * enclosing_radius(shadow) - usable[0]);
    }
    // Turning by an angle brings what lay at -angle to the x axis.
    let excess = |angle: f64| {
        let across = extent(shadow, -angle) - usable[0];
        let along = extent(shadow, std::f64::consts::FRAC_PI_2 - angle) - usable[1];
        across.max(along)
    };
    let mut best = (0.0, excess(0.0));
    if best.1 <= 0.0 {
        return best;
    }
    let consider = |best: &mut (f64, f64), angle: f64| {
        let by = excess(angle);
        if by < best.1 - 1e-9 {
            *best = (angle, by);
        }
    };
    for k in 0..shadow.len() {
        let (a, b) = (shadow[k], shadow[(k + 1) % shadow.len()]);
        let along = -(b[1] - a[1]).atan2(b[0] - a[0]);
        consider(&mut best, along);
        consider(&mut best, along + std::f64::consts::FRAC_PI_2);
    }
    // Between edge directions each extent is a sine arc, so the best diagonal
    // lies where the two excesses meet: sample, then halve the step.
    for k in 1..360 {
        consider(&mut best, std::f64::consts::PI * f64::from(k) / 360.0);
    }
    let mut step = std::f64::consts::PI / 360.0;
    while best.1 > 0.0 && step > 1e-7 {
        let at = best.0;
        consider(&mut best, at + step);
        consider(&mut best, at - step);
        if best.0 == at {
            step /= 2.0;
        }
    }
    best
}

/// Radius of the least enclosing circle.
pub(crate) fn enclosing_radius(ring: &[[f64; 2]]) -> f64 {
    enclosing_circle(ring).1
}

/// The least enclosing circle: centre and radius (incremental, after Welzl 1991,
/// *Smallest enclosing disks*).
pub(crate) fn enclosing_circle(ring: &[[f64; 2]]) -> ([f64; 2], f64) {
    let distance = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    let inside = |c: ([f64; 2], f64), p: [f64; 2]| distance(c.0, p) <= c.1 * (1.0 + 1e-12) + 1e-12;
    let two = |a: [f64; 2], b: [f64; 2]| {
        (
            [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0],
            distance(a, b) / 2.0,
        )
    };
    let three = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        let (bx, by, cx, cy) = (b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]);
        let d = 2.0 * (bx * cy - by * cx);
        let (b2, c2) = (bx * bx + by * by, cx * cx + cy * cy);
        let (x, y) = ((cy * b2 - by * c2) / d, (bx * c2 - cx * b2) / d);
        ([a[0] + x, a[1] + y], x.hypot(y))
    };
    let mut circle = ([0.0, 0.0], 0.0);
    for (i, &p) in ring.iter().enumerate() {
        if i == 0 {
            circle = (p, 0.0);
        }
        if inside(circle, p) {
            continue;
        }
        circle = (p, 0.0);
        for (j, &q) in ring[..i].iter().enumerate() {
            if inside(circle, q) {
                continue;
            }
            circle = two(p, q);
            for &r in &ring[..j] {
                if !inside(circle, r) {
                    circle = three(p, q, r);
                }
            }
        }
    }
    circle
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Points on a grid, many of them in a line: the ring turns left everywhere, and
        /// no point lies outside of it.
        #[test]
        fn the_hull_of_points_on_a_grid_is_convex_and_holds_them(
            points in proptest::collection::vec((0i32..9, 0i32..9), 3..60),
            step in 0.1f64..3.0, off in -5.0f64..5.0,
        ) {
            let points: Vec<[f64; 2]> = points
                .iter()
                .map(|p| [off + step * f64::from(p.0), off + step * f64::from(p.1)])
                .collect();
            let ring = convex(points.iter().copied());
            prop_assume!(ring.len() > 2);
            for k in 0..ring.len() {
                let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
                for p in &points {
                    let cross = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
                    prop_assert!(cross > -1e-9, "{p:?} lies outside {a:?} {b:?}");
                }
                prop_assert!(points.contains(&a));
            }
        }
    }
}
