//! Faces of any number of corners, in triangles.

use solid::{Point, TriangleCorners, facet};

/// Triangles, with the numbers that the file has for their corners.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Numbered {
    pub(crate) triangles: Vec<TriangleCorners>,
    pub(crate) numbers: Vec<[u32; 3]>,
}

impl Numbered {
    /// Adds the triangles of a face; the first number that names no place is an error. One of
    /// less than three corners has none.
    pub(super) fn add(&mut self, places: &[Point], face: &[u32]) -> Result<(), u32> {
        let corner = |&k: &u32| places.get(k as usize).copied().ok_or(k);
        if let &[a, b, c] = face {
            self.triangles.push([corner(&a)?, corner(&b)?, corner(&c)?]);
            self.numbers.push([a, b, c]);
            return Ok(());
        }
        let corners = face.iter().map(corner).collect::<Result<Vec<_>, _>>()?;
        for t in facet(&corners) {
            self.triangles.push(t.map(|k| corners[k]));
            self.numbers.push(t.map(|k| face[k]));
        }
        Ok(())
    }
}
