use crate::section::{assembled, chains};
use crate::{Frame, Outline, Solid, Vector};

/// Triangles of a solid by where they lie along a direction: for many sections
/// square to it, each of which looks only at triangles near its plane.
pub struct SectionIndex<'a> {
    solid: &'a Solid,
    along: Vector,
    low_mm: f64,
    step_mm: f64,
    /// The triangles, by number, that reach into each step.
    steps: Vec<Vec<u32>>,
}

/// Triangles a step of an index.
const A_STEP: usize = 16;
/// A triangle reaches so much further, in case a plane's height is rounded the
/// other way.
const SLACK_MM: f64 = 1e-6;
/// The most steps of an index.
const MOST_STEPS: usize = 256;

impl<'a> SectionIndex<'a> {
    /// An index of a solid along a direction.
    ///
    /// ```
    /// use geo::Area;
    /// use solid::{Frame, Point, SectionIndex, Solid, Vector};
    ///
    /// let bar = Solid::cylinder(Point::origin(), Vector::z() * 300.0, 20.0, 96).unwrap();
    /// let index = SectionIndex::along(&bar, Vector::z());
    /// let at = Frame::facing(Point::new(0.0, 0.0, 150.0), Vector::z());
    /// assert_eq!(index.section(&at), bar.section(&at));
    /// ```
    pub fn along(solid: &'a Solid, direction: Vector) -> Self {
        let along = direction.normalize();
        let height = |i: u32| solid.vertices()[i as usize].coords.dot(&along);
        let heights = || (0..solid.vertices().len() as u32).map(height);
        let low_mm = heights().fold(f64::INFINITY, f64::min);
        let high_mm = heights().fold(f64::NEG_INFINITY, f64::max);
        let count = (solid.triangles().len() / A_STEP).clamp(1, MOST_STEPS);
        let mut index = Self {
            solid,
            along,
            low_mm,
            // A solid without height is all in the first step.
            step_mm: ((high_mm - low_mm) / count as f64).max(1e-9),
            steps: vec![Vec::new(); count],
        };
        for (t, corners) in (0..).zip(solid.triangles()) {
            let reach = corners.map(height);
            let first = reach.iter().copied().fold(f64::INFINITY, f64::min);
            let last = reach.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let (first, last) = (index.step(first - SLACK_MM), index.step(last + SLACK_MM));
            for step in &mut index.steps[first..=last] {
                step.push(t);
            }
        }
        index
    }

    /// The step in which a height lies; the nearest one where it lies in none.
    fn step(&self, height_mm: f64) -> usize {
        let nth = ((height_mm - self.low_mm) / self.step_mm).floor().max(0.0) as usize;
        nth.min(self.steps.len() - 1)
    }

    /// The same as [`Solid::section`]; as quick only by planes square to the
    /// index's direction.
    pub fn section(&self, frame: &Frame) -> Outline {
        if frame.n != self.along {
            return self.solid.section(frame);
        }
        let at = self.step(frame.origin.coords.dot(&self.along));
        let height = |i: u32| frame.height(&self.solid.vertices()[i as usize]);
        let near = self.steps[at].iter();
        let triangles = near.map(|&t| &self.solid.triangles()[t as usize]);
        assembled(chains(self.solid, frame, height, triangles))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Point;

    proptest! {
        #[test]
        fn it_cuts_as_the_solid_does(
            lean in -0.5f64..0.5,
            radius in 3.0f64..40.0,
            at in -0.1f64..1.1,
        ) {
            let along = Vector::new(lean, 0.3, 1.0) * 200.0;
            let leg = Solid::cylinder(Point::origin(), along, radius, 48).unwrap();
            let box_of = leg.bounds().unwrap();
            for n in [Vector::x(), Vector::y(), Vector::z(), -Vector::z()] {
                let index = SectionIndex::along(&leg, n);
                let middle = box_of.min + (box_of.max - box_of.min) * at;
                let corners = [box_of.min, box_of.max, middle];
                for origin in corners {
                    let frame = Frame::facing(Point::from(n * n.dot(&origin.coords)), n);
                    prop_assert_eq!(index.section(&frame), leg.section(&frame));
                }
            }
        }
    }
}
