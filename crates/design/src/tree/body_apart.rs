//! A body that stands apart from the others by design: a drawer, a door, a loose shelf.

use solid::{KernelError, Point, RayCaster, Solid};

use crate::tree::planned_seam::PlannedSeam;
use crate::tree::seam_side::SeamSide;

/// What parts a region of a model.
#[derive(Clone, Debug, PartialEq)]
pub enum Parting {
    /// A plane, with joints on it.
    Seam(PlannedSeam),
    /// A body that nothing joins to the rest: it is on the side below, the rest above.
    Body(BodyApart),
}

impl From<PlannedSeam> for Parting {
    fn from(seam: PlannedSeam) -> Self {
        Self::Seam(seam)
    }
}

impl From<BodyApart> for Parting {
    fn from(body: BodyApart) -> Self {
        Self::Body(body)
    }
}

/// A body of a model that is cut and put together by itself, and then brought to its place
/// among the others.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyApart {
    /// What the maker, or the model's file, calls it.
    pub name: Option<String>,
    /// A point in it.
    pub at_mm: [f64; 3],
    /// The way it moves to go home; none where no straight one is free.
    pub way_in: Option<[f64; 3]>,
    /// What it is, for people.
    pub reason: String,
}

impl BodyApart {
    /// Whether a solid holds the point.
    ///
    /// ```
    /// use design::BodyApart;
    /// use solid::{Point, Solid};
    ///
    /// let drawer = Solid::cuboid(Point::origin(), Point::new(300.0, 200.0, 90.0));
    /// let body = |at_mm| BodyApart { name: None, at_mm, way_in: None, reason: String::new() };
    /// assert!(body([10.0, 10.0, 10.0]).is_in(&drawer));
    /// assert!(!body([10.0, 10.0, 100.0]).is_in(&drawer));
    /// ```
    pub fn is_in(&self, body: &Solid) -> bool {
        let at = Point::from(self.at_mm);
        let near = body.bounds().is_some_and(|b| b.contains(&at, 0.0));
        near && RayCaster::new(body).is_some_and(|rays| rays.contains(&at))
    }

    /// What of a solid is the body, or all the rest.
    ///
    /// ```
    /// use design::{BodyApart, SeamSide};
    /// use solid::{Point, Solid};
    ///
    /// let block = |x: f64| Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 10.0, 10.0, 10.0));
    /// let three = Solid::gathered(&[block(0.0), block(20.0), block(40.0)]);
    /// let (at_mm, reason) = ([25.0, 5.0, 5.0], String::new());
    /// let body = BodyApart { name: None, at_mm, way_in: None, reason };
    /// assert_eq!(body.side_of(&three, SeamSide::Below).bodies().len(), 1);
    /// assert_eq!(body.side_of(&three, SeamSide::Above).bodies().len(), 2);
    /// ```
    pub fn side_of(&self, solid: &Solid, side: SeamSide) -> Solid {
        let (own, others): (Vec<Solid>, Vec<Solid>) =
            solid.bodies().into_iter().partition(|b| self.is_in(b));
        Solid::gathered(match side {
            SeamSide::Below => &own,
            SeamSide::Above => &others,
        })
    }
}

impl Parting {
    /// What of a solid lies on one side.
    ///
    /// # Errors
    ///
    /// When the kernel refuses the solid.
    pub fn side_of(&self, solid: &Solid, side: SeamSide) -> Result<Solid, KernelError> {
        match self {
            Self::Seam(seam) => seam.side_of(solid, side),
            Self::Body(body) => Ok(body.side_of(solid, side)),
        }
    }
}
