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
