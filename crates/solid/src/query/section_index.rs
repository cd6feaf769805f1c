//! Many plane sections along one direction.

use crate::Vector;
use crate::frame::Frame;
use crate::mesh::solid_type::Solid;
use crate::polygon::outline::Outline;
use crate::query::section::{assembled, chains};

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
/// A triangle whose normal leans from a plane's by no more than this sine lies in
/// it.
const IN_PLANE: f64 = 1e-4;
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
        let height = |i: u32| frame.height(&self.solid.vertices()[i as usize]);
        let triangles = self.near(frame).map(|t| &self.solid.triangles()[t]);
        assembled(chains(self.solid, frame, height, triangles))
    }

    /// The triangles, by number, that may meet a plane square to the direction.
    fn near(&self, frame: &Frame) -> impl Iterator<Item = usize> {
        let at = self.step(frame.origin.coords.dot(&self.along));
        self.steps[at].iter().map(|&t| t as usize)
    }

    /// Where a plane square to the index's direction meets the surface at less
    /// than an angle, so that one side of a cut ends in a feather edge: segments
    /// in the frame's `(u, v)`. What lies in the plane makes none. Of a plane that
    /// is not square to the direction not all are found.
    ///
    /// ```
    /// use solid::{Frame, Point, SectionIndex, Solid, Vector};
    ///
    /// // A ramp that rises by one in five.
    /// let ring = vec![[0.0, 0.0], [100.0, 0.0], [0.0, 20.0]];
    /// let drawn = Frame::with_axes(Point::origin(), -Vector::y(), Vector::x());
    /// let ramp = Solid::prism(&drawn, &ring, 0.0, 30.0).unwrap();
    /// let edges = |n: Vector, angle: f64| {
    ///     let at = Frame::facing(Point::new(40.0, 0.0, 8.0), n);
    ///     SectionIndex::along(&ramp, n).feather_edges(&at, angle).len()
    /// };
    /// assert_eq!(edges(Vector::z(), 0.1), 0);
    /// assert!(edges(Vector::z(), 0.3) > 0);
    /// assert_eq!(edges(Vector::x(), 0.3), 0);
    /// ```
    pub fn feather_edges(&self, frame: &Frame, angle_rad: f64) -> Vec<[[f64; 2]; 2]> {
        let mut out = Vec::new();
        for t in self.near(frame) {
            let sine = self.solid.normal(t).cross(&frame.n).norm();
            if sine < IN_PLANE || sine >= angle_rad.sin() {
                continue;
            }
            let corners = self.solid.corners(t);
            let height = corners.map(|p| frame.height(&p));
            let ends: Vec<[f64; 2]> = [(0, 1), (1, 2), (2, 0)]
                .into_iter()
                .filter(|&(a, b)| (height[a] >= 0.0) != (height[b] >= 0.0))
                .map(|(a, b)| {
                    let share = height[a] / (height[a] - height[b]);
                    let at = frame.coordinates(&(corners[a] + (corners[b] - corners[a]) * share));
                    [at.x, at.y]
                })
                .collect();
            if let [from, to] = ends[..] {
                out.push([from, to]);
            }
        }
        out
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
