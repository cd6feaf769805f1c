//! What is done to a surface so that it bounds a solid.

use crate::Point;
use crate::mesh::solid_type::Solid;

/// A way to mend a surface, that is certain where it is used, but for what is asked for by
/// [`Mends`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Remedy {
    /// Corners that are apart by less than the precision of a file, taken for one.
    Welded,
    /// Faces of no area, dropped.
    NoArea,
    /// Faces that were there twice, or against each other, dropped.
    Doubled,
    /// Edges parted at corners of other faces that lie in them.
    Junctions,
    /// Faces turned as those around them are.
    Turned,
    /// Edges of more than two faces, parted into the surfaces of bodies that touch there.
    Sheets,
    /// Rims of holes, flat, closed.
    Holes,
    /// Rims of other holes, closed by the faces of least area: a guess, made where it is asked
    /// for.
    Guessed,
    /// Surfaces without thickness, given one where it is asked for.
    Thickened,
    /// Bodies that enclose nothing, dropped.
    Films,
    /// Bodies inside out, turned outward.
    Bodies,
}

/// What is mended besides what is certain.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mends {
    /// Whether holes are closed whose rim is not flat.
    pub guess: bool,
    /// How thick surfaces without thickness are to be.
    pub thicken_mm: Option<f64>,
}

/// What was done to a surface: how often, and where first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mending {
    /// What.
    pub remedy: Remedy,
    /// How often.
    pub count: usize,
    /// Where the first is.
    pub at: Point,
}

/// A solid, and what had to be done so that it is one.
#[derive(Clone, Debug)]
pub struct Mended {
    /// It.
    pub solid: Solid,
    /// In the order in which it was done; nothing where the surface was sound.
    pub done: Vec<Mending>,
    /// The area of the faces that closed holes, in mm².
    pub closed_mm2: f64,
}
