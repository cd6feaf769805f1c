//! Joints of seams laid out before, as far as they are in the way.

use design::SeamSide;
use geo::BooleanOps;
use joinery::JointRules;
use solid::{Bounds, Outline};

use crate::partition::cells::SeamPlane;

/// A joint of a seam laid out before.
#[derive(Clone, Debug)]
pub(crate) struct Obstacle {
    /// The box that it lies in.
    pub(crate) bounds: Bounds,
    /// The cells that carry its tail.
    pub(crate) carriers: std::ops::Range<usize>,
}

impl Obstacle {
    /// One whose tail nothing carries that slides past: a key, or a joint that
    /// is there already.
    pub(crate) fn carried_by_none(bounds: Bounds) -> Self {
        Self {
            bounds,
            carriers: 0..0,
        }
    }
}

/// What the boxes of some earlier joints cover of the seam's plane, where they
/// come within given heights of it.
fn covered(
    seam: &SeamPlane,
    obstacles: impl Iterator<Item = Bounds>,
    heights: (f64, f64),
) -> Outline {
    let mut out = Outline::new(Vec::new());
    for bounds in obstacles {
        let corners = bounds.corners().map(|p| seam.frame.coordinates(&p));
        let low = corners.iter().fold(corners[0], |a, b| a.inf(b));
        let high = corners.iter().fold(corners[0], |a, b| a.sup(b));
        if low.z < heights.1 && high.z > heights.0 {
            out = out.union(&solid::rectangle([low.x, low.y], [high.x, high.y]));
        }
    }
    out
}

/// What earlier joints have taken of the seam's plane, grown by a wall; what
/// they fill just below it and just above; and the tails that its two halves
/// carry already, which stand in the way of what slides past.
pub(crate) struct Earlier {
    pub(crate) taken: Outline,
    /// `[below, above]`.
    filled: [Outline; 2],
    tails: [Outline; 2],
}

impl Earlier {
    pub(crate) fn of(seam: &SeamPlane, obstacles: &[Obstacle], rules: &JointRules) -> Self {
        let reach = rules.reach_mm() + rules.crest_relief_mm + rules.min_wall_mm;
        let grown = obstacles
            .iter()
            .map(|o| o.bounds.grown(2.0 * rules.min_wall_mm));
        let own = seam.below.start..seam.above.end;
        let carried = || {
            obstacles
                .iter()
                .filter(|o| o.carriers.start <= own.start && own.end <= o.carriers.end)
                .map(|o| o.bounds.grown(0.2))
        };
        let bare = || obstacles.iter().map(|o| o.bounds);
        let sides = [(-reach, 0.0), (0.0, reach)];
        Self {
            taken: covered(seam, grown, (-reach, reach)),
            filled: sides.map(|heights| covered(seam, bare(), heights)),
            tails: sides.map(|heights| covered(seam, carried(), heights)),
        }
    }

    /// What earlier joints fill just beside the plane, on one side.
    pub(crate) fn filled(&self, side: SeamSide) -> &Outline {
        &self.filled[side.place()]
    }

    /// The tails that one side carries already.
    pub(crate) fn tails(&self, side: SeamSide) -> &Outline {
        &self.tails[side.place()]
    }
}

#[cfg(test)]
mod tests {
    use geo::Area;
    use solid::Point;

    use super::*;
    use crate::layout::trial::Trial;

    #[test]
    fn a_joint_fills_the_side_that_it_lies_on_and_takes_room_with_a_wall_about_it() {
        let above = Bounds {
            min: Point::new(101.0, 40.0, 0.0),
            max: Point::new(106.0, 60.0, 18.0),
        };
        let far = Bounds {
            min: Point::new(160.0, 40.0, 0.0),
            max: Point::new(170.0, 60.0, 18.0),
        };
        let obstacles = [above, far].map(Obstacle::carried_by_none);
        Trial::plank(18.0, "dovetail").show(&obstacles, |task| {
            let rules = &task.common.rules;
            let earlier = Earlier::of(task.seam, task.obstacles, rules);
            let filled = |side| earlier.filled(side).unsigned_area();
            assert_eq!(filled(SeamSide::Below), 0.0);
            assert!((filled(SeamSide::Above) - 20.0 * 18.0).abs() < 1e-6);
            let grown = 4.0 * rules.min_wall_mm;
            let taken = (20.0 + grown) * (18.0 + grown);
            assert!((earlier.taken.unsigned_area() - taken).abs() < 1e-6);
            assert_eq!(earlier.tails(SeamSide::Above).unsigned_area(), 0.0);
        });
    }
}
