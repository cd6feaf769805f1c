//! The planes that bound a cell.

use design::{PlanSeam, PlannedSeam, SeamSide};
use solid::{Bounds, Frame, KernelError, Solid};

/// A plane that bounds a cell.
#[derive(Clone, Copy, Debug)]
pub struct Wall {
    /// The seam that it belongs to.
    pub seam: PlanSeam,
    /// The plane, its normal into the cell.
    pub inward: Frame,
    /// The box within which it bounds the cell, where the seam does not go right
    /// through and the cell lies above it.
    pub within: Option<Bounds>,
}

impl Wall {
    /// The wall of what lies on one side of a seam.
    pub(crate) fn of(seam: PlanSeam, planned: &PlannedSeam, side: SeamSide) -> Self {
        let frame = planned.frame();
        match side {
            SeamSide::Below => Self {
                seam,
                inward: frame.flipped(),
                within: None,
            },
            SeamSide::Above => Self {
                seam,
                inward: frame,
                within: planned.within(),
            },
        }
    }

    /// What the wall keeps the cell out of, where that is not all behind its
    /// plane: the part of its box behind the plane.
    pub(crate) fn beyond(&self) -> Result<Option<Solid>, KernelError> {
        let Some(within) = self.within else {
            return Ok(None);
        };
        let solid = Solid::cuboid(within.min, within.max);
        solid.trimmed(&self.inward.flipped()).map(Some)
    }
}
