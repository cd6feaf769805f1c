//! A model as it was read: its parts, with the names that the file has for them.

use solid::TriangleCorners;

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
}

impl Model {
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
