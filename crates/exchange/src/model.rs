//! A model as it was read: its parts, with the names that the file has for them.

use std::collections::HashMap;

use solid::{Point, TriangleCorners};

use crate::polygons::faces::Numbered;
use crate::unit::LengthUnit;

/// A model as it was read, in millimetres.
///
/// ```
/// use exchange::{LengthUnit, Named, read_model, write_3mf};
/// use solid::{Isometry, Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(2.0, 3.0, 4.0));
/// let leg = Named { name: "leg", solid: &block, placed: Isometry::identity() };
/// let bytes = write_3mf("a leg", &[leg], None).unwrap();
/// let model = read_model(&bytes, LengthUnit::Millimetre).unwrap();
/// assert_eq!(model.parts[0].name.as_deref(), Some("leg"));
/// assert_eq!(model.triangles().len(), 12);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// Its parts, in the order of the file.
    pub parts: Vec<Part>,
    /// The unit that its numbers were in; `None` where the file states one that
    /// has no name here.
    pub unit: Option<LengthUnit>,
}

/// A part of a model.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What the file calls it.
    pub name: Option<String>,
    /// Its triangles.
    pub triangles: Vec<TriangleCorners>,
    /// The numbers that the file has for their corners, where it has any; no two parts of a
    /// file have a number for different places.
    pub numbers: Option<Vec<[u32; 3]>>,
}

impl Part {
    pub(crate) fn numbered(name: Option<String>, faces: Numbered) -> Self {
        Self {
            name,
            triangles: faces.triangles,
            numbers: Some(faces.numbers),
        }
    }
}

impl Model {
    /// The corners and triangles of all parts as the file numbers them; `None` where it does
    /// not. Corners that no triangle names are left out.
    ///
    /// ```
    /// use exchange::{LengthUnit, read_model};
    ///
    /// let text = b"v 0 0 0\nv 9 9 9\nv 1 0 0\nv 0 1 0\nf 1 3 4\n";
    /// let model = read_model(text, LengthUnit::Millimetre).unwrap();
    /// let (corners, triangles) = model.indexed().unwrap();
    /// assert_eq!((corners.len(), triangles), (3, vec![[0, 1, 2]]));
    /// ```
    pub fn indexed(&self) -> Option<(Vec<Point>, Vec<[u32; 3]>)> {
        let mut places: HashMap<u32, u32> = HashMap::new();
        let (mut corners, mut out) = (Vec::new(), Vec::new());
        for part in &self.parts {
            let numbers = part.numbers.as_ref()?;
            for (triangle, numbers) in part.triangles.iter().zip(numbers) {
                let mut own = [0; 3];
                for k in 0..3 {
                    own[k] = *places.entry(numbers[k]).or_insert_with(|| {
                        corners.push(triangle[k]);
                        corners.len() as u32 - 1
                    });
                }
                out.push(own);
            }
        }
        Some((corners, out))
    }

    /// The triangles of all parts.
    pub fn triangles(self) -> Vec<TriangleCorners> {
        let mut parts = self.parts.into_iter().map(|p| p.triangles);
        let mut all = parts.next().unwrap_or_default();
        for mut part in parts {
            all.append(&mut part);
        }
        all
    }
}
