//! Arrows: the way something moves, and which way is front, left and up.

use solid::{Frame, Point, Ring, ShapeError, Solid, Vector};

/// Corners of an arrow's round.
const ROUND: usize = 12;
/// What of an arrow's length is its head.
const HEAD: f64 = 0.36;

/// An arrow from a point along a direction, so thick for its length that it reads small.
pub(crate) fn arrow(from: Point, along: &Vector, length_mm: f64) -> Result<Solid, ShapeError> {
    let ring = |radius: f64| -> Ring {
        let at = |k: usize| {
            let angle = std::f64::consts::TAU * k as f64 / ROUND as f64;
            [radius * angle.cos(), radius * angle.sin()]
        };
        (0..ROUND).map(at).collect()
    };
    let neck = (1.0 - HEAD) * length_mm;
    let [shaft, head, tip] = [0.045, 0.13, 0.002].map(|share| share * length_mm);
    let rings = [
        (0.0, ring(shaft)),
        (neck, ring(shaft)),
        (neck + 1e-3 * length_mm, ring(head)),
        (length_mm, ring(tip)),
    ];
    Solid::loft(&Frame::facing(from, *along), &rings)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arrow_is_as_long_as_it_is_told_and_points_there() {
        let arrow = arrow(Point::new(1.0, 2.0, 3.0), &Vector::y(), 50.0).unwrap();
        let bounds = arrow.bounds().unwrap();
        assert!((bounds.size_mm().y - 50.0).abs() < 1e-9);
        assert!((bounds.min.y - 2.0).abs() < 1e-9);
        // Its head is thicker than its shaft and lies ahead.
        let thick = |low: f64, high: f64| {
            let within = arrow.vertices().iter().filter(|p| p.y > low && p.y < high);
            within.map(|p| (p.x - 1.0).abs()).fold(0.0, f64::max)
        };
        assert!(thick(20.0, 60.0) > 2.0 * thick(0.0, 20.0));
    }
}
