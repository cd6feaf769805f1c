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
