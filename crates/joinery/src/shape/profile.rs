//! Rings with rounded corners.

use solid::Ring;

/// A corner of a profile and the radius that rounds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Corner {
    pub(crate) at: [f64; 2],
    pub(crate) radius_mm: f64,
}

impl Corner {
    pub(crate) fn sharp(x: f64, y: f64) -> Self {
        Self {
            at: [x, y],
            radius_mm: 0.0,
        }
    }

    pub(crate) fn round(x: f64, y: f64, radius_mm: f64) -> Self {
        Self {
            at: [x, y],
            radius_mm,
        }
    }
}

/// Chords per rounded corner.
pub(crate) const CHORDS: usize = 4;

/// Rounds the corners of a profile with arcs tangent to both edges. The arc's
/// chords touch it at their ends, so a convex corner loses and a concave one
/// gains at most `r (1 - cos(θ/8))`: 3 µm for 0.3 mm.
///
/// Corners of equal radius give equally many points whatever the edges'
/// lengths, so that two sizes of one profile can be lofted.
pub(crate) fn rounded(corners: &[Corner]) -> Ring {
    let count = corners.len();
    let mut ring = Ring::new();
    for k in 0..count {
        let Corner {
            at,
            radius_mm: radius,
        } = corners[k];
        if radius <= 0.0 {
            ring.push(at);
            continue;
        }
        let before = unit(at, corners[(k + count - 1) % count].at);
        let after = unit(at, corners[(k + 1) % count].at);
        let cosine = (before[0] * after[0] + before[1] * after[1]).clamp(-1.0, 1.0);
        let angle = cosine.acos();
        let tangent = radius / (angle / 2.0).tan();
        let bisector = unit([0.0, 0.0], [before[0] + after[0], before[1] + after[1]]);
        let reach = radius / (angle / 2.0).sin();
        let centre = [at[0] + bisector[0] * reach, at[1] + bisector[1] * reach];
        let start = [at[0] + before[0] * tangent, at[1] + before[1] * tangent];
        let end = [at[0] + after[0] * tangent, at[1] + after[1] * tangent];
        let from = (start[1] - centre[1]).atan2(start[0] - centre[0]);
        let to = (end[1] - centre[1]).atan2(end[0] - centre[0]);
        let turn = (to - from + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU)
            - std::f64::consts::PI;
        ring.push(start);
        for i in 1..CHORDS {
            let a = from + turn * i as f64 / CHORDS as f64;
            ring.push([centre[0] + radius * a.cos(), centre[1] + radius * a.sin()]);
        }
        ring.push(end);
    }
    ring
}

fn unit(from: [f64; 2], to: [f64; 2]) -> [f64; 2] {
    let d = [to[0] - from[0], to[1] - from[1]];
    let length = d[0].hypot(d[1]);
    [d[0] / length, d[1] / length]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arcs_are_tangent_and_at_the_radius() {
        let ring = rounded(&[
            Corner::sharp(0.0, 0.0),
            Corner::sharp(10.0, 0.0),
            Corner::round(10.0, 10.0, 2.0),
            Corner::sharp(0.0, 10.0),
        ]);
        assert_eq!(ring.len(), 3 + CHORDS + 1);
        for p in &ring[2..2 + CHORDS + 1] {
            assert!(((p[0] - 8.0).hypot(p[1] - 8.0) - 2.0).abs() < 1e-12);
        }
        assert!((ring[2][0] - 10.0).abs() < 1e-12 && (ring[2][1] - 8.0).abs() < 1e-12);
    }
}
