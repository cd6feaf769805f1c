//! How much of a seam's line shows on hidden sides.

use geo::LineString;
use solid::Outline;

use crate::candidates::section_profile::{Segment, length_mm};

/// The sides that are hidden: for each axis the one that looks down along it and the one
/// that looks up.
pub(crate) type HiddenSides = [[bool; 2]; 3];

/// The stretches of a section's outline at which its material looks to a hidden side
/// rather than to any other; the section is square to an axis, its frame as of
/// `Frame::across_axis`.
pub(crate) fn shown(section: &Outline, axis: usize, hidden: &HiddenSides) -> Vec<Segment> {
    let mut out = Vec::new();
    let mut ring = |ring: &LineString, turning: f64| {
        for line in ring.lines() {
            let segment = [[line.start.x, line.start.y], [line.end.x, line.end.y]];
            let length = length_mm(&segment);
            // Material lies on the left of a ring that turns left.
            let outward = [line.dy(), -line.dx()].map(|d| turning * d / length.max(1e-12));
            let looks_to = usize::from(outward[1].abs() > outward[0].abs());
            let side = hidden[(axis + 1 + looks_to) % 3];
            if side[usize::from(outward[looks_to] > 0.0)] {
                out.push(segment);
            }
        }
    };
    for island in section {
        ring(island.exterior(), turning(island.exterior()));
        for hole in island.interiors() {
            ring(hole, -turning(hole));
        }
    }
    out
}

/// 1 for a ring that turns left, -1 for one that turns right.
fn turning(ring: &LineString) -> f64 {
    let doubled: f64 = ring.lines().map(|l| l.determinant()).sum();
    doubled.signum()
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use solid::{Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;

    /// A tube square to x: its top is one stretch, its hole has no outer side but shows
    /// downwards at the hole's ceiling.
    #[test]
    fn what_looks_up_shows_on_the_upper_side_and_a_ceiling_on_the_lower() {
        let outer = Solid::cuboid(Point::origin(), Point::new(200.0, 60.0, 40.0));
        let hole = Solid::cuboid(Point::new(-1.0, 10.0, 10.0), Point::new(201.0, 45.0, 30.0));
        let tube = outer.difference(&hole).unwrap();
        let cut = Profiler::new(&tube, 0, &JointRules::default(), 8.0).cuts(&[100.0]);
        let length = |axis: usize, looks_up: bool| {
            let mut hidden = [[false; 2]; 3];
            hidden[axis][usize::from(looks_up)] = true;
            let all = shown(&cut[0].section, 0, &hidden);
            all.iter().map(length_mm).sum::<f64>()
        };
        assert!((length(2, true) - 95.0).abs() < 1e-9, "top and floor");
        assert!((length(2, false) - 95.0).abs() < 1e-9);
        assert!((length(1, true) - 60.0).abs() < 1e-9);
        assert_eq!(length(0, true), 0.0, "the seam's own axis");
    }
}
