//! What hovers a little above the bed, nearly level.

use solid::{Hull, Solid, Vector};

/// Faces that lean from the level by less are level: one layer, on support that peels off.
const LEVEL_COS: f64 = 0.999_99;
/// And those that lean by more, 8°, print in narrow terraces.
const NEARLY_COS: f64 = 0.9903;
/// What is further above the bed is on support that can be taken hold of, in mm.
const LOW_MM: f64 = 6.0;

/// How much of a piece's surface hovers a little above the bed and is nearly level, with a side
/// down: a plank that lies on the tip of a tail and on its far edge.
pub(crate) fn hovering_mm2(piece: &Solid, hull: &Hull, down: &Vector) -> f64 {
    let depths = hull.vertices.iter().map(|p| p.coords.dot(down));
    let bed = depths.fold(f64::NEG_INFINITY, f64::max);
    let each = piece.triangle_corners().enumerate().map(|(k, corners)| {
        let leans = piece.normal(k).dot(down);
        if !(NEARLY_COS..LEVEL_COS).contains(&leans) {
            return 0.0;
        }
        let [a, b, c] = corners;
        let gaps = corners.map(|p| bed - p.coords.dot(down));
        let low = gaps.into_iter().fold(f64::INFINITY, f64::min);
        let high = gaps.into_iter().fold(0.0, f64::max);
        let share = ((LOW_MM - low) / (high - low).max(1e-9)).clamp(0.0, 1.0);
        share * (b - a).cross(&(c - a)).norm() / 2.0
    });
    each.sum()
}

#[cfg(test)]
mod tests {
    use solid::{Isometry, Point};

    use super::*;

    #[test]
    fn what_lies_flat_does_not_hover_and_a_degree_off_it_does() {
        let board = Solid::cuboid(Point::origin(), Point::new(150.0, 60.0, 18.0));
        let of = |tilt_deg: f64| {
            let tilted = board.moved(&Isometry::rotation(Vector::y() * tilt_deg.to_radians()));
            hovering_mm2(&tilted, &Hull::of(&tilted).unwrap(), &-Vector::z())
        };
        assert_eq!(of(0.0), 0.0);
        // 150 mm at one degree rise to 2.6 mm, at five to 13: what is lower than 6 counts.
        assert!((of(1.0) - 9_000.0).abs() < 1.0);
        assert!((4_000.0..5_500.0).contains(&of(5.0)), "{}", of(5.0));
        assert_eq!(of(12.0), 0.0);
    }
}
