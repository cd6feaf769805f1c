//! Many level slices of one piece.

use solid::Solid;

use crate::estimate::scan_lines::ScanLines;

/// The triangles of a piece by height: for many level slices of it.
pub(crate) struct Slices<'a> {
    piece: &'a Solid,
    low_mm: f64,
    step_mm: f64,
    /// The triangles, by number, that reach into each step of the height.
    steps: Vec<Vec<u32>>,
    lowest_y_mm: f64,
    lines: usize,
    apart_mm: f64,
}

/// Triangles a step.
const A_STEP: usize = 16;
const MOST_STEPS: usize = 512;

impl<'a> Slices<'a> {
    /// Of a piece, as lines so far from each other or a little less, so that they cover
    /// all of its box; `None` where it holds nothing.
    pub(crate) fn of(piece: &'a Solid, apart_mm: f64) -> Option<Self> {
        let bounds = piece.bounds()?;
        let size = bounds.size_mm();
        let lines = (size.y / apart_mm).ceil().max(1.0);
        let count = (piece.triangles().len() / A_STEP).clamp(1, MOST_STEPS);
        let mut slices = Self {
            piece,
            low_mm: bounds.min.z,
            step_mm: (size.z / count as f64).max(1e-9),
            steps: vec![Vec::new(); count],
            lowest_y_mm: bounds.min.y,
            lines: lines as usize,
            apart_mm: size.y / lines,
        };
        for (t, [a, b, c]) in (0..).zip(piece.triangle_corners()) {
            let first = slices.step(a.z.min(b.z).min(c.z));
            let last = slices.step(a.z.max(b.z).max(c.z));
            for step in &mut slices.steps[first..=last] {
                step.push(t);
            }
        }
        Some(slices)
    }

    fn step(&self, z: f64) -> usize {
        let nth = ((z - self.low_mm) / self.step_mm).floor().max(0.0) as usize;
        nth.min(self.steps.len() - 1)
    }

    /// The slice at a height, and its exact area.
    pub(crate) fn at(&self, z: f64) -> (ScanLines, f64) {
        let mut doubled = 0.0;
        let segments: Vec<[[f64; 2]; 2]> = self.steps[self.step(z)]
            .iter()
            .filter_map(|&t| self.segment(t as usize, z))
            .inspect(|[a, b]| doubled += a[0] * b[1] - a[1] * b[0])
            .collect();
        let lines = ScanLines::within(
            segments.into_iter(),
            self.lowest_y_mm,
            self.apart_mm,
            self.lines,
        );
        (lines, doubled / 2.0)
    }

    /// Where a triangle meets a height, material on the left; a corner at the height
    /// counts as above it.
    fn segment(&self, triangle: usize, z: f64) -> Option<[[f64; 2]; 2]> {
        let corners = self.piece.corners(triangle);
        let up = corners.map(|p| p.z >= z);
        if up[0] == up[1] && up[1] == up[2] {
            return None;
        }
        let crossing = |i: usize, j: usize| {
            // From the lower corner, so that both triangles at an edge get the same.
            let (a, b) = if up[i] {
                (corners[j], corners[i])
            } else {
                (corners[i], corners[j])
            };
            let t = (z - a.z) / (b.z - a.z);
            [a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)]
        };
        let (mut from, mut to) = ([0.0; 2], [0.0; 2]);
        for k in 0..3 {
            let next = (k + 1) % 3;
            match (up[k], up[next]) {
                (true, false) => from = crossing(k, next),
                (false, true) => to = crossing(k, next),
                _ => {}
            }
        }
        Some([from, to])
    }
}

#[cfg(test)]
mod tests {
    use geo::Area;
    use solid::{Frame, Point, Vector};

    use super::*;

    #[test]
    fn slices_have_the_area_of_sections() {
        let outer = Solid::cylinder(Point::origin(), Vector::z() * 60.0, 30.0, 64).unwrap();
        let hole = Solid::cuboid(Point::new(-9.0, -40.0, 20.0), Point::new(12.0, 40.0, 41.0));
        let piece = outer.difference(&hole).unwrap();
        let slices = Slices::of(&piece, 0.1).unwrap();
        for z in [0.5, 19.0, 20.5, 30.0, 40.9, 55.0] {
            let frame = Frame::facing(Point::new(0.0, 0.0, z), Vector::z());
            let exact = piece.section(&frame).unsigned_area();
            let (lines, area) = slices.at(z);
            assert!((area - exact).abs() < 1e-6, "{z}: {area} {exact}");
            assert!((lines.area_mm2() / exact - 1.0).abs() < 2e-3);
        }
    }
}
