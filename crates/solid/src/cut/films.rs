//! Films: parts of a solid without thickness that lie in a plane.

use std::collections::HashMap;

use crate::cut::cap::filled;
use crate::cut::parted::{Side, rim};
use crate::frame::Frame;
use crate::mesh::solid_type::Solid;
use crate::mesh::weld::inspect;

impl Solid {
    /// The solid with its faces in a frame's plane made anew from what stands on
    /// them, so that each side of the plane has a face only where there is
    /// material behind it. A boolean of solids that touch in the plane leaves films
    /// there, two faces back to back with nothing between.
    ///
    /// The solid stays as it is where that has no answer, as where what stands on
    /// the plane touches itself in it.
    ///
    /// ```
    /// use solid::{Frame, Point, Solid, Vector};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(4.0, 1.0, 1.0));
    /// let plane = Frame::facing(Point::origin(), Vector::x());
    /// assert!((block.without_films(&plane).volume_mm3() - 4.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn without_films(&self, plane: &Frame) -> Self {
        self.refaced(plane).unwrap_or_else(|| self.clone())
    }

    fn refaced(&self, plane: &Frame) -> Option<Self> {
        let heights: Vec<f64> = self.vertices().iter().map(|p| plane.height(p)).collect();
        let in_plane = |c: u32| Side::of(heights[c as usize]) == Side::In;
        let flat = |t: &[u32; 3]| t.iter().all(|&c| in_plane(c));
        if !self.triangles().iter().any(flat) {
            return None;
        }
        let one = self.one_a_place(in_plane);
        let mut triangles: Vec<[u32; 3]> = self
            .triangles()
            .iter()
            .filter(|t| !flat(t))
            .map(|t| t.map(|c| one[c as usize]))
            .collect();
        let open: Vec<[u32; 2]> = rim(&triangles, in_plane);
        let turned: Vec<[u32; 2]> = open.iter().map(|&[a, b]| [b, a]).collect();
        triangles.extend(filled(&turned, plane, |c| self.vertices()[c as usize])?);
        inspect(self.vertices(), &triangles).ok()?;
        Some(Self::trusted(self.vertices().to_vec(), triangles).without_unused())
    }

    /// For each corner the first at its place, where it lies in the plane.
    fn one_a_place(&self, in_plane: impl Fn(u32) -> bool) -> Vec<u32> {
        let mut first: HashMap<[u64; 3], u32> = HashMap::new();
        (0..self.vertices().len() as u32)
            .map(|c| {
                let p = self.vertices()[c as usize];
                match in_plane(c) {
                    true => {
                        let key = [p.x, p.y, p.z].map(|x| (x + 0.0).to_bits());
                        *first.entry(key).or_insert(c)
                    }
                    false => c,
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::{Frame, Point, Solid, Vector};

    /// A side and a shelf that meet at x = 18, and the space beyond.
    fn shelf_and_space() -> (Solid, Solid) {
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        let side = block([0.0, 0.0, 0.0], [18.0, 200.0, 300.0]);
        let shelf = block([10.0, 0.0, 100.0], [200.0, 200.0, 118.0]);
        let space = block([18.0, -25.0, -25.0], [300.0, 300.0, 400.0]);
        (side.union(&shelf).unwrap(), space)
    }

    #[test]
    fn what_touches_the_plane_leaves_no_film() {
        let (model, space) = shelf_and_space();
        let plane = Frame::facing(Point::new(18.0, 0.0, 0.0), Vector::x());
        let clean = model.intersection(&space).unwrap().without_films(&plane);
        assert_eq!(clean.touches_itself(), None);
        assert_eq!(clean.bodies().len(), 1);
        assert!((clean.volume_mm3() - 182.0 * 200.0 * 18.0).abs() < 1e-6);
        let flat = |k: &usize| clean.normal(*k).x < -0.5;
        let face_mm2: f64 = (0..clean.triangles().len())
            .filter(flat)
            .map(|k| {
                let [a, b, c] = clean.corners(k);
                (b - a).cross(&(c - a)).norm() / 2.0
            })
            .sum();
        assert!((face_mm2 - 200.0 * 18.0).abs() < 1e-6);
    }

    #[test]
    fn a_film_that_was_put_there_is_gone() {
        let block = Solid::cuboid(Point::origin(), Point::new(4.0, 4.0, 4.0));
        let mut soup: Vec<_> = block.triangle_corners().collect();
        // A flap that hangs on an edge: two faces back to back beside the block.
        let (a, b) = (Point::new(0.0, 0.0, 0.0), Point::new(0.0, 4.0, 0.0));
        let tip = Point::new(-0.0, 2.0, -3.0);
        soup.extend([[a, b, tip], [b, a, tip]]);
        let (vertices, triangles) = crate::mesh::weld::weld_exactly(&soup);
        let flapped = Solid::trusted(vertices, triangles);
        let plane = Frame::facing(Point::origin(), Vector::x());
        let clean = flapped.without_films(&plane);
        assert_eq!(clean.triangles().len(), 12);
        assert!((clean.volume_mm3() - 64.0).abs() < 1e-12);
    }
}
