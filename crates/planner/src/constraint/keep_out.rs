//! Boxes through which no seam goes.

use solid::{Bounds, Isometry, Vector};

/// A box through which no seam goes. Where it is about a joint that is there
/// already and runs along an axis, a seam square to that axis may go through,
/// well within its ends: both parts then have their share of the joint.
///
/// ```
/// use planner::KeepOut;
/// use solid::{Bounds, Point, Vector};
///
/// let drawer = Bounds::between(Point::origin(), Point::new(100.0, 50.0, 18.0));
/// assert_eq!(KeepOut::from(drawer).run, None);
/// let tail = KeepOut { bounds: drawer, run: Some(Vector::x()) };
/// assert_ne!(tail, KeepOut::from(drawer));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeepOut {
    /// The box.
    pub bounds: Bounds,
    /// The way that a joint in it runs.
    pub run: Option<Vector>,
}

/// What is left of a joint on either side of a seam through it is at least so
/// long.
const LEAST_RUN_MM: f64 = 24.0;
/// How far beside a box a seam keeps.
const BESIDE_MM: f64 = 0.5;

impl From<Bounds> for KeepOut {
    fn from(bounds: Bounds) -> Self {
        Self { bounds, run: None }
    }
}

impl KeepOut {
    /// It once the model is turned.
    pub(crate) fn turned(&self, turn: &Isometry) -> Self {
        Self {
            bounds: self.bounds.moved(turn),
            run: self.run.map(|v| turn.rotation * v),
        }
    }

    /// The same with a rim, from which seams through its ends keep as well.
    pub(crate) fn grown(&self, rim_mm: f64) -> Self {
        Self {
            bounds: self.bounds.grown(rim_mm),
            run: self.run,
        }
    }

    /// From where to where seams square to an axis may go through.
    fn open(&self, axis: usize) -> Option<(f64, f64)> {
        let along = self.run.is_some_and(|v| v[axis].abs() > 1.0 - 1e-9);
        let (from, to) = (
            self.bounds.min[axis] + LEAST_RUN_MM,
            self.bounds.max[axis] - LEAST_RUN_MM,
        );
        (along && from <= to).then_some((from, to))
    }

    /// Whether a seam square to an axis would go through what it must not.
    pub(crate) fn stops(&self, axis: usize, at_mm: f64) -> bool {
        self.bounds.min[axis] < at_mm
            && at_mm < self.bounds.max[axis]
            && !self
                .open(axis)
                .is_some_and(|(from, to)| from <= at_mm && at_mm <= to)
    }

    /// The nearest place above or below one that it stops, where it does not.
    pub(crate) fn beside(&self, axis: usize, at_mm: f64, up: bool) -> f64 {
        match (self.open(axis), up) {
            (Some((from, _)), true) if at_mm < from => from,
            (Some((_, to)), false) if at_mm > to => to,
            (_, true) => self.bounds.max[axis] + BESIDE_MM,
            (_, false) => self.bounds.min[axis] - BESIDE_MM,
        }
    }
}

#[cfg(test)]
mod tests {
    use solid::Point;

    use super::*;

    #[test]
    fn a_seam_goes_across_a_long_joint_and_not_along_it_or_near_its_ends() {
        let bounds = Bounds::between(Point::origin(), Point::new(100.0, 16.0, 10.0));
        let run = Some(Vector::x());
        let tail = KeepOut { bounds, run };
        assert!(!tail.stops(0, 50.0));
        assert!(tail.stops(0, 10.0) && tail.stops(0, 90.0));
        assert!(tail.stops(1, 8.0) && tail.stops(2, 5.0));
        assert!(!tail.stops(0, -1.0) && !tail.stops(0, 101.0));
        assert_eq!(tail.beside(0, 10.0, true), LEAST_RUN_MM);
        assert_eq!(tail.beside(0, 90.0, false), 100.0 - LEAST_RUN_MM);
        assert!(!tail.stops(0, tail.beside(0, 10.0, true)));
        assert!(!tail.stops(0, tail.beside(0, 10.0, false)));
        assert!(KeepOut::from(bounds).stops(0, 50.0));
        // Too short for a share on both sides.
        let bounds = Bounds::between(Point::origin(), Point::new(40.0, 16.0, 10.0));
        assert!(KeepOut { bounds, run }.stops(0, 20.0));
    }
}
